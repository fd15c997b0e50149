import { z } from 'zod';

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
