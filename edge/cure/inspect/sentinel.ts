import type { Episode } from './episode.ts';
import { Stretches } from './stretches.ts';
import { endOf, type Watch } from './watch.ts';

/** Power-on values of digital sensors: the sensor restarted (supply, contact, moisture) and measured nothing. */
export function sentinels(watch: Watch): Episode[] {
  return watch.series.flatMap(({ probe, rawTemperature, sentinels }) => {
    const { atMs, values, end } = rawTemperature;
    const stretches = new Stretches('sentinel', [probe], watch);
    for (const { first, last } of sentinels) {
      const toMs = endOf(watch, atMs[last] as number, last === end - 1);
      stretches.add(atMs[first] as number, toMs, 0, { milliC: values[first] as number, count: last - first + 1 });
    }
    return stretches.episodes;
  });
}
