import type { Episode } from './episode.ts';
import { Stretches } from './stretches.ts';
import { eachRun } from './track.ts';
import { endOf, type Watch } from './watch.ts';

/** Readings on the material above the schedule's limit: too much catalyst or too thick a lay-up, which may crack or craze it. */
export function hotJoint(watch: Watch): Episode[] {
  const { hotAboveMilliC, gapLimitMs } = watch.spec;
  if (hotAboveMilliC === null) return [];
  return watch.materials.flatMap(({ probe, temperature }) => {
    const { atMs, values, end } = temperature;
    const stretches = new Stretches('hot-joint', [probe], watch);
    eachRun(
      temperature,
      gapLimitMs,
      (value) => value > hotAboveMilliC,
      (first, last) => {
        let milliC = hotAboveMilliC;
        for (let index = first; index <= last; index++) milliC = Math.max(milliC, values[index] as number);
        const toMs = endOf(watch, atMs[last] as number, last === end - 1);
        stretches.add(atMs[first] as number, toMs, milliC, { milliC, hotAboveMilliC, count: last - first + 1 });
      },
    );
    return stretches.episodes;
  });
}
