import type { Episode } from './episode.ts';
import { Stretches } from './stretches.ts';
import { cut, eachRun } from './track.ts';
import { endOf, type Watch, type WatchedSeries } from './watch.ts';

// Our own choices, no source. A twelve-bit sensor shows steps of 0.0625 °C, and a joint out of doors crosses several of them in
// three hours even where its daily curve turns; only a joint that is shut off from any weather rests on one for longer.
export const FROZEN_MS = 3 * 3_600_000;
/** With nobody to speak against it. */
export const FROZEN_ALONE_MS = 6 * 3_600_000;
/** Few readings can be alike by chance. */
export const FROZEN_READINGS = 30;
/** How far another probe of the joint must have moved meanwhile. */
export const OTHER_MOVED_MILLI_C = 1000;

/**
 * The same value all the time while another probe of the joint moved. A probe that nobody can speak against, being the only one or
 * among others that rest as still as it does, has twice as long: a box that repeats the last values of all its sensors is as
 * broken as one sensor. A probe beside others that move a little, but not much, is taken to be in a steady place.
 */
export function frozen(watch: Watch): Episode[] {
  return watch.series.flatMap((own) => {
    const { atMs, values, end } = own.temperature;
    const stretches = new Stretches('frozen', [own.probe], watch);
    eachRun(
      own.temperature,
      watch.spec.gapLimitMs,
      (value, previous) => previous === null || value === previous,
      (first, last) => {
        const [fromMs, lastMs] = [atMs[first] as number, atMs[last] as number];
        const count = last - first + 1;
        if (lastMs - fromMs < FROZEN_MS || count < FROZEN_READINGS) return;
        const othersMovedMilliC = mostMoved(watch.series, own, fromMs, lastMs);
        const isAlone = othersMovedMilliC === 0 && lastMs - fromMs >= FROZEN_ALONE_MS;
        if (!isAlone && othersMovedMilliC < OTHER_MOVED_MILLI_C) return;
        const numbers = { milliC: values[first] as number, othersMovedMilliC, count };
        stretches.add(fromMs, endOf(watch, lastMs, last === end - 1), lastMs - fromMs, numbers);
      },
    );
    return stretches.episodes;
  });
}

/** The widest range that any other series went through in that time. */
function mostMoved(all: readonly WatchedSeries[], own: WatchedSeries, fromMs: number, toMs: number): number {
  let most = 0;
  for (const other of all) {
    if (other === own) continue;
    const { values, first, end } = cut(other.temperature, fromMs, toMs);
    let lowest = Number.POSITIVE_INFINITY;
    let highest = Number.NEGATIVE_INFINITY;
    for (let index = first; index < end; index++) {
      lowest = Math.min(lowest, values[index] as number);
      highest = Math.max(highest, values[index] as number);
    }
    most = Math.max(most, highest - lowest);
  }
  return most;
}
