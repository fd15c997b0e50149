import type { Track } from './track.ts';

/**
 * Visits, in time order, every instant at which one of two tracks has a reading and both are live: read then, or between two
 * readings within the gap limit; the value is the last one read. `anew` is true where a gap in either lies before the visit.
 * Returns whether the last visit still stands: no gap has been seen since.
 */
export function walkPair(
  a: Track,
  b: Track,
  gapLimitMs: number,
  visit: (atMs: number, a: number, b: number, anew: boolean) => void,
): boolean {
  const [walkA, walkB] = [new Walk(a, gapLimitMs), new Walk(b, gapLimitMs)];
  let anew = true;
  for (;;) {
    const atMs = Math.min(walkA.nextMs, walkB.nextMs);
    if (atMs === Number.POSITIVE_INFINITY) return !anew;
    walkA.passTo(atMs);
    walkB.passTo(atMs);
    if (walkA.isBroken(atMs) || walkB.isBroken(atMs)) anew = true;
    if (!walkA.isLive(atMs) || !walkB.isLive(atMs)) continue;
    visit(atMs, walkA.value, walkB.value, anew);
    anew = false;
  }
}

class Walk {
  /** Instant of the next reading; +∞ after the last. */
  nextMs: number;
  value = 0;
  readonly #track: Track;
  readonly #gapLimitMs: number;
  #next: number;
  #heldMs = Number.NEGATIVE_INFINITY;
  #followsGap = true;

  constructor(track: Track, gapLimitMs: number) {
    this.#track = track;
    this.#gapLimitMs = gapLimitMs;
    this.#next = track.first;
    this.nextMs = this.#instant();
  }

  passTo(atMs: number): void {
    this.#followsGap = this.nextMs === atMs && atMs - this.#heldMs > this.#gapLimitMs;
    while (this.nextMs === atMs) {
      this.#heldMs = atMs;
      this.value = this.#track.values[this.#next++] as number;
      this.nextMs = this.#instant();
    }
  }

  /** Whether `atMs` lies in a gap, or ends one. After the newest reading nobody knows yet, up to the gap limit. */
  isBroken(atMs: number): boolean {
    if (this.#followsGap) return true;
    const untilMs = this.#next < this.#track.end ? this.nextMs : atMs;
    return this.#heldMs !== atMs && untilMs - this.#heldMs > this.#gapLimitMs;
  }

  isLive(atMs: number): boolean {
    return this.#heldMs === atMs || this.nextMs - this.#heldMs <= this.#gapLimitMs;
  }

  #instant(): number {
    return this.#next < this.#track.end ? (this.#track.atMs[this.#next] as number) : Number.POSITIVE_INFINITY;
  }
}
