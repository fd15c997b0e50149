import { eachRun, type Run, type Track } from './track.ts';

/** What a digital one-wire sensor shows before its first conversion. Published by the makers of such sensors. */
export const POWER_ON_MILLI_C = 85_000;

/**
 * A joint can truly be that hot. Then its neighbours in time are close, nearer than a sensor that just woke up can be.
 * Our own choice, no source.
 */
export const TRULY_HOT_MILLI_C = 5000;

/** Runs of the power-on value in `track`, apart from those that a true temperature passed through. */
export function sentinelRuns(track: Track, gapLimitMs: number, sentinelMilliC = POWER_ON_MILLI_C): Run[] {
  const { atMs, values } = track;
  const isNear = (index: number, neighbour: number) =>
    neighbour >= track.first &&
    neighbour < track.end &&
    Math.abs((atMs[neighbour] as number) - (atMs[index] as number)) <= gapLimitMs &&
    Math.abs((values[neighbour] as number) - sentinelMilliC) < TRULY_HOT_MILLI_C;
  const runs: Run[] = [];
  eachRun(
    track,
    gapLimitMs,
    (value) => value === sentinelMilliC,
    (first, last) => {
      if (!isNear(first, first - 1) && !isNear(last, last + 1)) runs.push({ first, last });
    },
  );
  return runs;
}
