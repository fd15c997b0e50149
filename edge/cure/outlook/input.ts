import { z } from 'zod';
import { RateTable } from '../rateTable.ts';

/** Air to come, best guess: one value every `stepMs` from `fromMs` on, a straight line between two, the last one holding on. */
export const AirOutlook = z.strictObject({
  fromMs: z.int(),
  stepMs: z.int().min(60_000).max(21_600_000),
  milliC: z.array(z.int().min(-60_000).max(70_000)).min(1).max(1500),
  /** Relative humidity at the same instants, m%RH; null where nothing is known of it. */
  humidityMilliPercent: z.array(z.int().min(0).max(100_000)).max(1500).nullable(),
});
export type AirOutlook = z.infer<typeof AirOutlook>;

/**
 * How wrong the air to come may be: 0 now, growing with lead time towards `sdMilliC`, as an Ornstein–Uhlenbeck process with the
 * correlation time `correlationMs` that starts from what is measured: variance `sd²·(1 − exp(−2·lead/correlation))`.
 */
export const AirError = z.strictObject({
  sdMilliC: z.int().min(0).max(20_000),
  correlationMs: z.int().min(60_000),
  /** How many comparisons on this site it rests on; 0: the documented default. */
  comparisons: z.int().min(0),
});
export type AirError = z.infer<typeof AirError>;

/** First-order lag of a joint behind its air: `τ·dT/dt = air + offset − T`. */
export const Lag = z.strictObject({
  timeConstantMs: z
    .int()
    .min(60_000)
    .max(7 * 86_400_000),
  /** How much warmer (or, below 0, colder) than the air it comes to rest, m°C. */
  offsetMilliC: z.int().min(-40_000).max(60_000),
  /** One standard deviation of where it comes to rest, m°C. */
  offsetSdMilliC: z.int().min(0).max(40_000),
  /** Root mean square of what the fit leaves over, m°C; null: nothing was fitted. */
  errorMilliC: z.int().min(0).nullable(),
  /** Hours of the joint's own readings that it rests on; 0: the documented default. */
  fittedHours: z.number().min(0),
});
export type Lag = z.infer<typeof Lag>;

/**
 * What heat about the joint does. `level`: its surroundings do not fall below `milliC`. `rise`: they are so much warmer than
 * without it.
 */
export const Heat = z.strictObject({
  kind: z.enum(['level', 'rise']),
  milliC: z.int().min(-20_000).max(90_000),
  sdMilliC: z.int().min(0).max(40_000),
});
export type Heat = z.infer<typeof Heat>;

/** All that is needed to look ahead for one joint: plain whole numbers, the same here and in a browser. UTC ms, m°C, ppm·ms. */
export const OutlookInput = z.strictObject({
  joint: z.string(),
  /** The present: errors of the air grow from here. */
  nowMs: z.int(),
  /** Credit so far, as the fold has settled it. */
  credit: z.strictObject({
    frontierMs: z.int(),
    creditPpmMs: z.int().min(0),
    reached: z.array(z.strictObject({ stage: z.string(), reachedAtMs: z.int() })),
  }),
  table: RateTable,
  gapLimitMs: z.int().min(1),
  stages: z.array(z.strictObject({ stage: z.string(), requiredPpmMs: z.int() })),
  /** What the credit follows: a probe on the material, or the air itself. */
  follows: z.enum(['material', 'air']),
  /** Where the walk begins: what was measured then, no guard band taken off. Not before `credit.frontierMs`. */
  startMs: z.int(),
  startMilliC: z.int(),
  /** Taken off before the law sees a value: m°C of the temperature that is followed and of the air, m%RH of the humidity. */
  guardMilliC: z.int().min(0),
  airGuardMilliC: z.int().min(0),
  humidityGuardMilliPercent: z.int().min(0),
  lag: Lag,
  /** Heat that is on now; null: none. */
  heat: Heat.nullable(),
  air: AirOutlook,
  error: AirError,
  /** Picks the joint's own chances; those of the air are the same for all joints of a site. */
  stream: z.int().min(0),
});
export type OutlookInput = z.infer<typeof OutlookInput>;

/** What somebody might do. */
export interface Change {
  /** The joint itself is held at or above so many m°C, as its probe would show it, from then on. */
  readonly hold?: { readonly fromMs: number; readonly milliC: number };
  /** From then on this heat is on instead of what is on now; null: heat is switched off. The joint follows with its lag. */
  readonly heat?: { readonly fromMs: number; readonly heat: Heat | null };
}
