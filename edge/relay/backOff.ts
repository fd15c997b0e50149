const FIRST_MS = 2_000;

/** No wait of the mirror is longer. */
export const LONGEST_WAIT_MS = 5 * 60_000;

/** Spans of the waits after failures in a row, ms. */
export interface Spans {
  readonly firstMs: number;
  readonly longestMs: number;
}

const MIRROR_SPANS: Spans = { firstMs: FIRST_MS, longestMs: LONGEST_WAIT_MS };

/**
 * How long to wait after the `failures`-th failure in a row (1 and up), ms: the span doubles from the first to the longest (of the
 * mirror unless told otherwise), and chance picks from its upper half, so that many sites do not come back all at once. `chance` is
 * from 0 up to 1.
 */
export function waitMs(failures: number, chance: number, { firstMs, longestMs } = MIRROR_SPANS): number {
  return jittered(Math.min(firstMs * 2 ** (failures - 1), longestMs), chance);
}

/** The wait where trying again soon cannot help, ms. */
export function longWaitMs(chance: number): number {
  return jittered(LONGEST_WAIT_MS, chance);
}

function jittered(spanMs: number, chance: number): number {
  return Math.floor((spanMs * (1 + chance)) / 2);
}
