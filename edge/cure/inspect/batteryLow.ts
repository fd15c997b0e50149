import type { Episode } from './episode.ts';
import { Stretches } from './stretches.ts';
import type { Track } from './track.ts';
import type { Watch, WatchedSeries } from './watch.ts';

/** A battery below this share may not last through a cure. Our own choice, no source. */
export const BATTERY_LOW_MILLI_PERCENT = 20_000;

/** A probe's battery below that share, or below the voltage given for it, from the first such reading until one is back above. */
export function batteryLow(watch: Watch): Episode[] {
  return watch.series.flatMap((series) => {
    const stretches = new Stretches('battery-low', [series.probe], watch);
    let fromMs: number | null = null;
    let numbers: Record<string, number> = {};
    eachLevel(series, (atMs, key, value, isLow) => {
      if (!isLow) {
        if (fromMs !== null) stretches.add(fromMs, atMs, atMs - fromMs, numbers);
        fromMs = null;
        return;
      }
      if (fromMs === null) {
        fromMs = atMs;
        numbers = {};
      }
      numbers[key] = Math.min(value, numbers[key] ?? value);
    });
    if (fromMs !== null) {
      // A battery that was low and is silent now has not got better.
      const toMs = watch.spec.doneMs === null ? null : watch.endMs;
      stretches.add(fromMs, toMs, watch.endMs - fromMs, numbers);
    }
    return stretches.episodes;
  });
}

type Level = 'milliPercent' | 'milliVolts';

/** Visits the readings of share and voltage in time order; `isLow`: either is, as last read. */
function eachLevel(series: WatchedSeries, visit: (atMs: number, key: Level, value: number, isLow: boolean) => void): void {
  const { batteryPercent, batteryVolts, batteryLowMilliVolts } = series;
  let [percent, volts] = [batteryPercent.first, batteryVolts.first];
  let [isPercentLow, isVoltsLow] = [false, false];
  while (percent < batteryPercent.end || volts < batteryVolts.end) {
    const percentMs = instantAt(batteryPercent, percent);
    const voltsMs = instantAt(batteryVolts, volts);
    if (percentMs <= voltsMs) {
      const milliPercent = batteryPercent.values[percent++] as number;
      isPercentLow = milliPercent < BATTERY_LOW_MILLI_PERCENT;
      visit(percentMs, 'milliPercent', milliPercent, isPercentLow || isVoltsLow);
    } else {
      const milliVolts = batteryVolts.values[volts++] as number;
      isVoltsLow = batteryLowMilliVolts !== null && milliVolts < batteryLowMilliVolts;
      visit(voltsMs, 'milliVolts', milliVolts, isPercentLow || isVoltsLow);
    }
  }
}

function instantAt(track: Track, index: number): number {
  return index < track.end ? (track.atMs[index] as number) : Number.POSITIVE_INFINITY;
}
