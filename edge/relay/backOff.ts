const FIRST_MS = 2_000;

/** No wait is longer. */
export const LONGEST_WAIT_MS = 5 * 60_000;

/**
 * How long to wait after the `failures`-th failure in a row (1 and up), ms: the span doubles from 2 s to 5 min, and chance picks
 * from its upper half, so that many sites do not come back to an engine all at once. `chance` is from 0 up to 1.
 */
export function waitMs(failures: number, chance: number): number {
  return jittered(Math.min(FIRST_MS * 2 ** (failures - 1), LONGEST_WAIT_MS), chance);
}

/** The wait where trying again soon cannot help, ms. */
export function longWaitMs(chance: number): number {
  return jittered(LONGEST_WAIT_MS, chance);
}

function jittered(spanMs: number, chance: number): number {
  return Math.floor((spanMs * (1 + chance)) / 2);
}
