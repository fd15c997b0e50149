/** Readings `first` (inclusive) to `end` (exclusive) of one quantity, in time order. A view: nothing is copied. */
export interface Track {
  readonly atMs: ArrayLike<number>;
  readonly values: ArrayLike<number>;
  readonly first: number;
  readonly end: number;
}

/** The part of `track` from `fromMs` to `toMs`, both inclusive. */
export function cut({ atMs, values, first, end }: Track, fromMs: number, toMs: number): Track {
  const cutFirst = indexFrom(atMs, first, end, (ms) => ms >= fromMs);
  return { atMs, values, first: cutFirst, end: indexFrom(atMs, cutFirst, end, (ms) => ms > toMs) };
}

/** First index at which `holds`, which holds for all later instants once it does; `end` if it never does. */
function indexFrom(atMs: ArrayLike<number>, first: number, end: number, holds: (ms: number) => boolean): number {
  let low = first;
  let high = end;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (holds(atMs[middle] as number)) high = middle;
    else low = middle + 1;
  }
  return low;
}

/** Neighbouring readings of a track, by index, both inclusive. */
export interface Run {
  readonly first: number;
  readonly last: number;
}

/**
 * Visits the longest runs of readings, without a gap between them, in which each reading belongs: the first by itself (`previous`
 * is null), each further one also beside the one before it.
 */
export function eachRun(
  track: Track,
  gapLimitMs: number,
  belongs: (value: number, previous: number | null) => boolean,
  visit: (first: number, last: number) => void,
): void {
  const { atMs, values } = track;
  let first = -1;
  for (let index = track.first; index < track.end; index++) {
    const value = values[index] as number;
    if (first >= 0) {
      const joined = (atMs[index] as number) - (atMs[index - 1] as number) <= gapLimitMs;
      if (joined && belongs(value, values[index - 1] as number)) continue;
      visit(first, index - 1);
    }
    first = belongs(value, null) ? index : -1;
  }
  if (first >= 0) visit(first, track.end - 1);
}

/** `track` without the readings of `runs`, which are in order. */
export function without(track: Track, runs: readonly Run[]): Track {
  if (runs.length === 0) return track;
  const kept = track.end - track.first - runs.reduce((sum, run) => sum + run.last - run.first + 1, 0);
  const atMs = new Float64Array(kept);
  const values = new Float64Array(kept);
  let end = 0;
  let next = 0;
  for (let index = track.first; index < track.end; index++) {
    const run = runs[next];
    if (run !== undefined && index >= run.first) {
      if (index === run.last) next++;
      continue;
    }
    atMs[end] = track.atMs[index] as number;
    values[end] = track.values[index] as number;
    end++;
  }
  return { atMs, values, first: 0, end };
}
