import { z } from 'zod';
import { MixRules } from '../../cure/mix.ts';
import { chanceBy, decidedBy, safeFromMs, type Wanted } from '../../cure/outlook/booking.ts';
import { THERMOSTAT_SD_MILLI_C } from '../../cure/outlook/fitLag.ts';
import { type Change, type Heat, OutlookInput } from '../../cure/outlook/input.ts';
import { HORIZON_MS } from '../../cure/outlook/project.ts';
import { Schedule, Slug } from '../../cure/schedule.ts';
import { CodedError } from '../../errors.ts';
import { Id, Instant, msOf } from '../../site/said/words.ts';
import type { Sump } from '../../site/state/sump.ts';
import { type Around, activityOutlook, needsOf } from '../../site/views/activityOutlook.ts';
import { iso, isoOrNull } from '../../site/views/iso.ts';
import { notBefore, OutlookBasis, OutlookReason, Times } from '../../site/views/outlook.ts';
import type { LiveSite } from '../liveSite.ts';
import type { Advice } from './advice.ts';
import { layUpPlanOf } from './layUpPlan.ts';
import type { Planner } from './planner.ts';

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

/**
 * What becomes of an appointment, as a booking of it would show, with a change or without; and what would help.
 * @throws CodedError `not-found`; `bad-request` for a moment that has passed, or lies beyond what is looked ahead to; `too-many`.
 */
export async function planOf(live: LiveSite, planner: Planner, question: PlanQuestion): Promise<PlanAnswer> {
  const { sump: name, activity, due, change } = question;
  const sump = sumpOf(live, name);
  if (!sump.sequence.activities.some((each) => each.activity === activity))
    throw new CodedError('not-found', `the sequence of sump "${name}" has no activity "${activity}"`);
  const dueMs = dueOf(due, live.nowMs);
  const jointsOf = (names: readonly string[]) => names.map((joint) => live.views.jointState(joint));
  await live.outlooks.ready(
    jointsOf(needsOf(live.views.sump(name), activity, (joint) => live.views.joint(joint)).map(({ joint }) => joint)),
  );

  // All of one moment, whatever comes in while the planner is at work.
  const view = live.views.sump(name);
  const views = new Map(view.joints.map((joint) => [joint, live.views.joint(joint)]));
  const outlooks = new Map(jointsOf(view.joints).map((joint) => [joint.joint, live.outlooks.of(joint)]));
  const around: Around = {
    activities: view.activities,
    joints: view.joints,
    parts: view.parts,
    viewOf: (joint) => views.get(joint),
    aheadOf: (joint) => {
      const known = outlooks.get(joint);
      return known && { readiness: known.outlook?.stages ?? [], reason: known.reason };
    },
    nowMs: live.nowMs,
  };
  const asItIs = activityOutlook(around, activity);
  if (asItIs.membersMs === null || asItIs.nothingMissing) return answerOf(asItIs, dueMs, around.nowMs, null);
  const missing = new Set(asItIs.missing.map(({ joint }) => joint));
  const wanted = needsOf(around, activity, around.viewOf).flatMap(({ joint, stage }): Wanted[] => {
    const input = outlooks.get(joint)?.ahead?.input;
    const isReached = views.get(joint)?.stages.find((each) => each.stage === stage)?.reachedAt != null;
    return input === undefined || isReached || !missing.has(joint) ? [] : [{ input, stage }];
  });
  const changes = new Map(
    wanted.flatMap(({ input }): [string, Change][] => {
      const own = changeFor(input, change);
      return own.hold === undefined && own.heat === undefined ? [] : [[input.joint, own]];
    }),
  );
  const advice = await planner.ask({ wanted, dueMs, changes, heat: HEAT });
  const aheadOf: Around['aheadOf'] = (joint) => {
    const readiness = advice.changed.get(joint);
    return readiness === undefined ? around.aheadOf(joint) : { readiness, reason: null };
  };
  return answerOf(activityOutlook({ ...around, aheadOf }, activity), dueMs, around.nowMs, advice);
}

function dueOf(due: string, nowMs: number): number {
  const dueMs = msOf(due);
  const fault = dueMs < nowMs ? 'has passed' : dueMs > nowMs + HORIZON_MS ? 'lies more than 8 days ahead' : null;
  if (fault !== null)
    throw new CodedError('bad-request', `"due" ${fault}`, [
      { path: 'due', message: `${fault}; name a moment within the next 8 days` },
    ]);
  return dueMs;
}

function answerOf(
  { membersMs, missing, nothingMissing, unknown, ready }: ReturnType<typeof activityOutlook>,
  dueMs: number,
  nowMs: number,
  advice: Advice | null,
): PlanAnswer {
  const hold = advice?.hold ?? null;
  const heat = advice?.heat ?? null;
  return {
    chance: membersMs === null ? null : chanceBy(membersMs, dueMs),
    decidedBy: membersMs === null ? unknown : nothingMissing ? null : decidedBy(missing, dueMs),
    ready,
    safeFrom: isoOrNull(membersMs === null ? null : safeFromMs(notBefore(membersMs, nowMs))),
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
export async function sumpOutlook(live: LiveSite, name: string): Promise<SumpOutlook> {
  const sump = sumpOf(live, name);
  await live.outlooks.ready(sump.joints.map((joint) => live.views.jointState(joint)));
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
