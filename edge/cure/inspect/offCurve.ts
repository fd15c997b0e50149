import type { Episode } from './episode.ts';
import { Stretches } from './stretches.ts';
import { eachRun } from './track.ts';
import { endOf, type Watch } from './watch.ts';

/** Readings that are no temperature on the sensor's curve: a broken wire, a short circuit, or the wrong kind of sensor on record. */
export function offCurve(watch: Watch): Episode[] {
  return watch.series.flatMap(({ probe, offCurve, rawTemperature }) => {
    const stretches = new Stretches('off-curve', [probe], watch);
    const { first, end } = rawTemperature;
    const goodMs = end > first ? (rawTemperature.atMs[end - 1] as number) : Number.NEGATIVE_INFINITY;
    eachRun(
      offCurve,
      watch.spec.gapLimitMs,
      () => true,
      (first, last) => {
        const lastMs = offCurve.atMs[last] as number;
        const toMs = endOf(watch, lastMs, last === offCurve.end - 1 && goodMs <= lastMs);
        stretches.add(offCurve.atMs[first] as number, toMs, 0, { count: last - first + 1 });
      },
    );
    return stretches.episodes;
  });
}
