import { z } from 'zod';
import type { GivenForecast } from '../state/forecast.ts';
import { iso } from './iso.ts';

/** The forecast that is gone by: the newest one that was not taken back. */
export const ForecastView = z.strictObject({
  seq: z.int(),
  source: z.string(),
  by: z.string(),
  givenAt: z.string(),
  from: z.string(),
  until: z.string(),
  /** UTC ms, °C, %RH. */
  hours: z.array(z.strictObject({ at: z.number(), celsius: z.number(), humidity: z.number().nullable() })),
});
export type ForecastView = z.infer<typeof ForecastView>;

/** Which one it is and how old, without its hours. */
export const ForecastSummary = ForecastView.omit({ from: true, hours: true });
export type ForecastSummary = z.infer<typeof ForecastSummary>;

export function forecastView({ seq, source, by, recordedMs, hours }: GivenForecast): ForecastView {
  const { atMs, milliC, humidityMilliPercent } = hours;
  return {
    seq,
    source,
    by: by.name,
    givenAt: iso(recordedMs),
    from: iso(atMs[0] as number),
    until: iso(atMs.at(-1) as number),
    hours: atMs.map((at, index) => {
      const humidity = humidityMilliPercent[index] ?? null;
      return { at, celsius: (milliC[index] as number) / 1000, humidity: humidity === null ? null : humidity / 1000 };
    }),
  };
}

export function forecastSummary({ seq, source, by, recordedMs, hours }: GivenForecast): ForecastSummary {
  return { seq, source, by: by.name, givenAt: iso(recordedMs), until: iso(hours.atMs.at(-1) as number) };
}
