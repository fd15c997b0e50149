import { z } from 'zod';
import { quantile } from '../../cure/outlook/project.ts';
import { iso } from './iso.ts';

const instant = z.string().nullable();

/** Why no time can be named. */
export const OutlookReason = z.enum([
  'not-laid-up',
  /** Nothing that its hours could count by is on the joint now. */
  'no-probe',
  /** It is being worked out. */
  'not-yet',
  /** Neither a forecast nor readings of the air to go by, or what is on the joint is silent. */
  'no-temperature',
  /** A moisture law, and nothing is known of the air's humidity. */
  'no-humidity',
  /** Not within the days that are looked at. */
  'beyond-horizon',
]);
export type OutlookReason = z.infer<typeof OutlookReason>;

/** When something will be so: 5, 50 and 95 of 100 worlds have it by then. Null with a reason: no time can be named. */
export const Times = z.strictObject({
  earliest: instant,
  likely: instant,
  latest: instant,
  /** For what is null; null when all three are named. */
  reason: OutlookReason.nullable(),
});
export type Times = z.infer<typeof Times>;

/** On what an outlook rests. */
export const OutlookBasis = z.strictObject({
  /** `forecast`; `persistence`: the site's own last day again; `own`: the joint's own last day again, since nothing measures the air. */
  air: z.enum(['forecast', 'persistence', 'own']),
  forecast: z.strictObject({ source: z.string(), givenAt: z.string(), by: z.string(), until: z.string() }).nullable(),
  lag: z.strictObject({
    hours: z.number(),
    offsetCelsius: z.number(),
    /** What the fit leaves over, °C; null: the documented default. */
    errorCelsius: z.number().nullable(),
    fittedHours: z.number(),
  }),
  /** Heat that is taken to be on. `seen`: the readings show it. */
  heat: z.strictObject({ kind: z.enum(['level', 'rise']), celsius: z.number(), since: z.string(), seen: z.boolean() }).nullable(),
  /** What the air may be off by a day ahead, °C (one standard deviation), and on how many comparisons of this site that rests. */
  airErrorCelsius: z.number(),
  airComparisons: z.int(),
});
export type OutlookBasis = z.infer<typeof OutlookBasis>;

export const ProjectionView = z.strictObject({
  joint: z.string(),
  asOf: z.string(),
  /** Null where there is nothing to go by. */
  basis: OutlookBasis.nullable(),
  stages: z.array(z.strictObject({ stage: z.string(), ...Times.shape })),
  /** Hour by hour: UTC ms, °C as a probe would show it, warm hours; each low, likely, high. Empty where there is nothing to go by. */
  band: z.array(
    z.strictObject({
      at: z.number(),
      celsius: z.tuple([z.number(), z.number(), z.number()]),
      warmHours: z.tuple([z.number(), z.number(), z.number()]),
    }),
  ),
});
export type ProjectionView = z.infer<typeof ProjectionView>;

/** Hours to come of one joint, in each of the worlds that are looked at, UTC ms; infinite: not within the days that are looked at. */
export interface StageReadiness {
  readonly stage: string;
  readonly membersMs: readonly number[];
}

/** What lies ahead of a joint. */
export interface JointProjection {
  readonly asOf: string;
  readonly air: OutlookBasis['air'];
  readonly stages: readonly ({ readonly stage: string } & Times)[];
  /** Not shown: what the sump's activities are worked out from, world by world. */
  readonly readiness: readonly StageReadiness[];
  /** Why nothing lies ahead; null: something does. */
  readonly reason: OutlookReason | null;
}

/** Earliest, likely and latest of the worlds; see `Times`. */
export function timesOf(membersMs: readonly number[]): Times {
  const at = (share: number) => {
    const ms = quantile(membersMs, share);
    return Number.isFinite(ms) ? iso(ms) : null;
  };
  const latest = at(0.95);
  return { earliest: at(0.05), likely: at(0.5), latest, reason: latest === null ? 'beyond-horizon' : null };
}

/** The same worlds, none of them before the present: what is not proven yet is not there yet, whatever was looked ahead to. */
export function notBefore(membersMs: readonly number[], nowMs: number): number[] {
  return membersMs.map((ms) => Math.max(ms, nowMs));
}

/** No time can be named, for this reason. */
export function noTimes(reason: OutlookReason): Times {
  return { earliest: null, likely: null, latest: null, reason };
}
