import type { Forecast } from '../../../edge/cure/outlook/air.ts';
import { diurnal, type Extreme } from '../../../edge/cure/outlook/diurnal.ts';
import type { Ambient } from '../../../edge/demo/weather.ts';
import { DAY_MS, HOUR_MS } from './climate.ts';
import { normal, seedOf } from './draw.ts';

/** When the crew types the forecast in, and the times that it leaves in the form for lows and highs: the usual ones, not the true ones. */
const TYPED_HOURS = [7, 15];
const LOW_HOUR = 6;
const HIGH_HOUR = 15;
/** One standard deviation of a local forecast's low or high on the first and the second day, °C. From memory [p]. */
const ERROR_CELSIUS = [1.3, 1.8];

/**
 * What a crew has typed in by `nowMs`: twice a day the next two lows and highs, as a local forecast gave them. Each hour is as the
 * newest forecast given by then had it, which is how the site keeps them.
 */
export function typedForecasts(trial: number, nowMs: number, ambient: Ambient, shownMilliC: (atMs: number) => number): Forecast {
  const seed = seedOf(trial, 'forecast');
  const today = Math.floor(nowMs / DAY_MS) * DAY_MS;
  const typedMs = [today - DAY_MS, today]
    .flatMap((day) => TYPED_HOURS.map((hour) => day + hour * HOUR_MS))
    .filter((ms) => ms <= nowMs);
  const forecast = { atMs: [] as number[], milliC: [] as number[], humidityMilliPercent: [] as null[] };
  typedMs.forEach((ms, index) => {
    const extremes = said(seed, ms, ambient);
    const hours = diurnal({ nowMs: ms, nowMilliC: shownMilliC(ms), extremes, untilMs: (extremes.at(-1) as Extreme).atMs });
    for (const { atMs, milliC } of hours) {
      if (atMs >= (typedMs[index + 1] ?? Number.POSITIVE_INFINITY)) break;
      forecast.atMs.push(atMs);
      forecast.milliC.push(milliC);
      forecast.humidityMilliPercent.push(null);
    }
  });
  return forecast;
}

/** The next two lows and highs after `givenMs`, with the error that forecasts have. */
function said(seed: number, givenMs: number, ambient: Ambient): Extreme[] {
  const day = Math.floor(givenMs / DAY_MS) * DAY_MS + (givenMs % DAY_MS < LOW_HOUR * HOUR_MS ? 0 : DAY_MS);
  let before = Number.POSITIVE_INFINITY;
  return [0, 1].flatMap((ahead) => {
    const from = day + ahead * DAY_MS;
    const around = (hour: number, pick: (...values: number[]) => number) =>
      pick(...Array.from({ length: 13 }, (_, each) => ambient(from + (hour - 6 + each) * HOUR_MS)));
    const off = (index: number) => normal(seed, (givenMs / HOUR_MS) * 4 + 2 * ahead + index, ERROR_CELSIUS[ahead] as number);
    // A low above its high is no forecast.
    const least = Math.min(before, around(LOW_HOUR, Math.min) + off(0));
    const most = Math.max(least, around(HIGH_HOUR, Math.max) + off(1));
    before = most;
    return [
      { kind: 'low' as const, atMs: from + LOW_HOUR * HOUR_MS, milliC: Math.round(least * 1000) },
      { kind: 'high' as const, atMs: from + HIGH_HOUR * HOUR_MS, milliC: Math.round(most * 1000) },
    ];
  });
}
