/** A moment, ms. */
const MOMENT_MS = 100;

/** How long those who ask may be kept waiting in one moment, all together. */
export class Allowance {
  readonly #nowMs: () => number;
  #momentMs = Number.NEGATIVE_INFINITY;
  #spentMs = 0;

  constructor(nowMs: () => number) {
    this.#nowMs = nowMs;
  }

  /**
   * Does the work, which is told when it should come to its end, if less than `mostMs` of this moment have been spent; null: they
   * have, and nothing was done.
   */
  spend<Result>(mostMs: number, work: (untilMs: number) => Result): Result | null {
    const startMs = this.#nowMs();
    // A clock that was set back begins a moment too.
    if (startMs < this.#momentMs || startMs >= this.#momentMs + MOMENT_MS) {
      this.#momentMs = startMs;
      this.#spentMs = 0;
    }
    if (this.#spentMs >= mostMs) return null;
    const result = work(startMs + mostMs - this.#spentMs);
    const endMs = this.#nowMs();
    this.#spentMs += Math.max(0, endMs - startMs);
    // What took longer than a moment counts in the next one too.
    this.#momentMs = Math.max(this.#momentMs, endMs - MOMENT_MS / 2);
    return result;
  }
}
