import { z } from 'zod';
import { MixRules } from '../../cure/mix.ts';
import {
  chanceBy,
  decidedBy,
  heatFor,
  holdFor,
  type Readiness,
  safeFromMs,
  together,
  type Wanted,
} from '../../cure/outlook/booking.ts';
import { THERMOSTAT_SD_MILLI_C } from '../../cure/outlook/fitLag.ts';
import { type Change, type Heat, OutlookInput } from '../../cure/outlook/input.ts';
import { project } from '../../cure/outlook/project.ts';
import { Schedule, Slug } from '../../cure/schedule.ts';
import { CodedError } from '../../errors.ts';
import { Id, Instant, msOf } from '../../site/said/words.ts';
import type { Sump } from '../../site/state/sump.ts';
import { needsOf } from '../../site/views/activityOutlook.ts';
import { iso } from '../../site/views/iso.ts';
import { OutlookBasis, OutlookReason, Times, timesOf } from '../../site/views/outlook.ts';
import type { LiveSite } from '../liveSite.ts';
import { layUpPlanOf } from './layUpPlan.ts';

const celsius = z.number().min(-20).max(60);
const joints = z.array(Id).min(1).max(50).optional();

/** "Would the booking hold if …?" */
export const PlanQuestion = z.strictObject({
  sump: Id,
  activity: Slug,
  due: Instant,
  change: z
    .strictObject({
      /** The joints themselves (all that the activity waits for, or those named) are held at or above that temperature. */
      hold: z.strictObject({ from: Instant.optional(), celsius, joints }).optional(),
      /** Their surroundings are held at or above it; null: heat is off. The joints follow with their lag. */
      heat: z.strictObject({ from: Instant.optional(), celsius, joints }).nullable().optional(),
    })
    .optional(),
});
export type PlanQuestion = z.infer<typeof PlanQuestion>;

export const PlanAnswer = z.strictObject({
  chance: z.number().nullable(),
  decidedBy: z.string().nullable(),
  ready: Times,
  safeFrom: z.string().nullable(),
  advice: z.strictObject({
    /** The least temperature at or above which these joints, as their probes show it, would have to be held from now on; null: none, or none that would do. */
    hold: z.strictObject({ joints: z.array(z.string()), celsius: z.number() }).nullable(),
    /** The latest moment for heat about these joints that holds their surroundings at that temperature. */
    heatBy: z.strictObject({ joints: z.array(z.string()), from: z.string(), celsius: z.number() }).nullable(),
  }),
});
export type PlanAnswer = z.infer<typeof PlanAnswer>;

/** What heat is asked about where nobody says: a shelter at 20 °C. Our own choice. */
const HEAT: Heat = { kind: 'level', milliC: 20_000, sdMilliC: THERMOSTAT_SD_MILLI_C };

/** @throws CodedError `not-found`; `entry-refused` where an activity waits for a joint of which nothing can be said. */
export function planOf(live: LiveSite, { sump: name, activity: wanted, due, change }: PlanQuestion): PlanAnswer {
  const sump = sumpOf(live, name);
  const activity = sump.sequence.activities.find((each) => each.activity === wanted);
  if (activity === undefined) throw new CodedError('not-found', `the sequence of sump "${name}" has no activity "${wanted}"`);
  const dueMs = msOf(due);
  const needed = needsOf(live.views.sump(name), wanted, (joint) => live.views.joint(joint));
  const known = needed.flatMap((need): Wanted[] => {
    const ahead = live.outlooks.of(live.views.jointState(need.joint)).ahead;
    return ahead === null ? [] : [{ input: ahead.input, stage: need.stage }];
  });
  if (known.length < needed.length || needed.length === 0) {
    const ready = { earliest: null, likely: null, latest: null, reason: reasonOf(live, needed) };
    return { chance: null, decidedBy: null, ready, safeFrom: null, advice: { hold: null, heatBy: null } };
  }
  const readiness = known.map(({ input, stage }): Readiness => {
    const outlook = project(input, { change: changeFor(input, change) });
    return { joint: input.joint, membersMs: outlook.stages.find((each) => each.stage === stage)?.membersMs ?? [] };
  });
  const membersMs = together(readiness);
  const safeMs = safeFromMs(membersMs);
  const hold = holdFor(known, dueMs);
  const heat = heatFor(known, dueMs, HEAT);
  return {
    chance: chanceBy(membersMs, dueMs),
    decidedBy: decidedBy(readiness, dueMs),
    ready: timesOf(membersMs),
    safeFrom: safeMs === null ? null : iso(safeMs),
    advice: {
      hold: hold === null || hold.joints.length === 0 ? null : { joints: hold.joints, celsius: hold.milliC / 1000 },
      heatBy:
        heat === null || heat.joints.length === 0
          ? null
          : { joints: heat.joints, from: iso(heat.fromMs), celsius: HEAT.milliC / 1000 },
    },
  };
}

function changeFor({ joint, nowMs }: OutlookInput, change: PlanQuestion['change']): Change {
  const touches = (named: readonly string[] | undefined) => named === undefined || named.includes(joint);
  const { hold, heat } = change ?? {};
  const fromMs = (from: string | undefined) => (from === undefined ? nowMs : msOf(from));
  return {
    ...(hold !== undefined && touches(hold.joints)
      ? { hold: { fromMs: fromMs(hold.from), milliC: Math.round(hold.celsius * 1000) } }
      : {}),
    ...(heat === null ? { heat: { fromMs: nowMs, heat: null } } : {}),
    ...(heat != null && touches(heat.joints)
      ? { heat: { fromMs: fromMs(heat.from), heat: { ...HEAT, milliC: Math.round(heat.celsius * 1000) } } }
      : {}),
  };
}

function reasonOf(live: LiveSite, needed: readonly { readonly joint: string }[]): OutlookReason | null {
  if (needed.length === 0) return 'not-laid-up';
  for (const { joint } of needed) {
    const { reason } = live.outlooks.of(live.views.jointState(joint));
    if (reason !== null) return reason;
  }
  return null;
}

function sumpOf(live: LiveSite, name: string): Sump {
  const sump = live.state.sumps.get(name);
  if (sump === undefined) throw new CodedError('not-found', `there is no sump "${name}" on this site`);
  return sump;
}

/** What a lay-up ahead takes: an input without a beginning. */
const PlanInput = OutlookInput.omit({ credit: true, startMs: true, startMilliC: true });

/** All that a browser needs to answer "what if" for a sump by itself. */
export const SumpOutlook = z.strictObject({
  asOf: z.string(),
  timeZone: z.string(),
  joints: z.array(
    z.strictObject({
      joint: z.string(),
      label: z.string(),
      input: OutlookInput.nullable(),
      reason: OutlookReason.nullable(),
      basis: OutlookBasis.nullable(),
    }),
  ),
  activities: z.array(
    z.strictObject({
      activity: z.string(),
      label: z.string(),
      needs: z.array(z.strictObject({ joint: z.string(), stage: z.string() })),
    }),
  ),
  /** Lay-ups that may come: of each part of the sequence that is not laid up, and of each schedule. */
  plans: z.array(
    z.strictObject({
      schedule: z.string(),
      title: z.string(),
      part: z.string().nullable(),
      label: z.string(),
      plan: z.strictObject({ input: PlanInput, materialMilliC: z.int() }),
      use: Schedule.shape.use.unwrap().nullable(),
      mix: MixRules.nullable(),
    }),
  ),
  /** The air of the last two days, UTC ms and m°C, null in a hole. */
  past: z
    .strictObject({
      fromMs: z.int(),
      stepMs: z.int(),
      milliC: z.array(z.int().nullable()),
      humidityMilliPercent: z.array(z.int().nullable()),
    })
    .nullable(),
});
export type SumpOutlook = z.infer<typeof SumpOutlook>;

/** @throws CodedError `not-found`. */
export function sumpOutlook(live: LiveSite, name: string): SumpOutlook {
  const sump = sumpOf(live, name);
  const view = live.views.sump(name);
  const { air } = live;
  return {
    asOf: iso(live.nowMs),
    timeZone: live.state.timeZone,
    joints: sump.joints.map((joint) => {
      const state = live.views.jointState(joint);
      const { ahead, reason } = live.outlooks.of(state);
      return { joint, label: state.label, input: ahead?.input ?? null, reason, basis: ahead?.basis ?? null };
    }),
    activities: sump.sequence.activities.map(({ activity, label }) => ({
      activity,
      label,
      needs: needsOf(view, activity, (joint) => live.views.joint(joint)),
    })),
    plans: layUpPlanOf(live, sump),
    past: air.probe === null ? null : mutable(air.record(air.probe)),
  };
}

function mutable<T extends { milliC: readonly (number | null)[]; humidityMilliPercent: readonly (number | null)[] }>(record: T) {
  return { ...record, milliC: [...record.milliC], humidityMilliPercent: [...record.humidityMilliPercent] };
}
