import { z } from 'zod';
import type { Activity, Need } from '../sequence.ts';
import type { Sump } from '../state/sump.ts';
import { iso } from './iso.ts';
import type { JointView } from './joint.ts';
import { Times } from './outlook.ts';
import type { StageView } from './stage.ts';
import type { WaterTestView } from './waterTest.ts';

export const NeedView = z.strictObject({
  need: z.enum(['stage', 'allJoints', 'prep', 'done', 'hold', 'decided', 'passed']),
  met: z.boolean(),
  /** Since when it is met; null: it is not, or it is no matter of a moment. */
  metAt: z.string().nullable(),
  /** The joint that keeps it waiting; null: none, or it is not on the site yet. */
  joint: z.string().nullable(),
  part: z.string().nullable(),
  stage: z.string().nullable(),
  activity: z.string().nullable(),
  hold: z.strictObject({ hold: z.string(), label: z.string() }).nullable(),
  /** Warm hours still missing; null where it is no matter of hours. */
  missingHours: z.number().nullable(),
  /** When the hours would be there if the present temperature held. */
  ifHeldAt: z.string().nullable(),
  /** Findings that wait for a decision. */
  findings: z.array(z.string()),
});
export type NeedView = z.infer<typeof NeedView>;

export const ActivityView = z.strictObject({
  activity: z.string(),
  label: z.string(),
  part: z.string().nullable(),
  joint: z.string().nullable(),
  waterTest: z.boolean(),
  /** `waiting`: not before its needs are met. */
  state: z.enum(['waiting', 'ready', 'started', 'done']),
  startedAt: z.string().nullable(),
  startedBy: z.string().nullable(),
  doneAt: z.string().nullable(),
  doneBy: z.string().nullable(),
  /** Started before its time, with this reason. */
  early: z.strictObject({ reason: z.string() }).nullable(),
  needs: z.array(NeedView),
  /** When the hours that it waits for will be there; null: it waits for none. */
  projected: Times.nullable(),
});
export type ActivityView = z.infer<typeof ActivityView>;

/** An activity as it stands, without what lies ahead of it. */
export type ActivityNow = Omit<ActivityView, 'projected'>;

interface Around {
  readonly sump: Sump;
  /** Of the sump, in its order. */
  readonly joints: readonly JointView[];
  readonly tests: readonly WaterTestView[];
  /** Ids of open findings that hold the water test. */
  readonly undecided: readonly string[];
  /** When the last of those that hold it was decided; null: there never was one, or one is open. */
  readonly decidedAt: string | null;
}

/** The sump's activities in the order of its sequence. */
export function activitiesNow(around: Around): ActivityNow[] {
  const views: ActivityNow[] = [];
  for (const activity of around.sump.sequence.activities) views.push(viewOf(activity, around, views));
  return views;
}

function viewOf(activity: Activity, around: Around, before: readonly ActivityNow[]): ActivityNow {
  const { sump, joints, tests } = around;
  const joint = activity.part === undefined ? null : (joints.find(({ part }) => part === activity.part) ?? null);
  const started = sump.started.get(activity.activity);
  const needs = activity.needs.map((need) => needView(need, around, before));

  let startedAt = started === undefined ? null : iso(started.atMs);
  let done = sump.done.has(activity.activity) ? toldAt(sump.done.get(activity.activity)) : null;
  if (activity.part !== undefined) {
    // A surface may be prepared long before: work begins with a mix or a ply.
    if (joint !== null && (joint.mix !== null || joint.laidUpAt !== null)) startedAt ??= joint.openAt;
    done = joint?.laidUpAt != null && joint.phase !== 'void' ? { at: joint.laidUpAt, by: joint.laidUpBy ?? '' } : null;
  }
  if (activity.waterTest) {
    const newest = tests.at(-1);
    done = newest !== undefined && isPassed(newest, around) ? { at: newest.endedAt, by: newest.by } : null;
  }
  const ready = needs.every(({ met }) => met) && (activity.part === undefined || joint !== null);
  return {
    activity: activity.activity,
    label: activity.label,
    part: activity.part ?? null,
    joint: joint?.joint ?? null,
    waterTest: activity.waterTest,
    state: done !== null ? 'done' : startedAt !== null ? 'started' : ready ? 'ready' : 'waiting',
    startedAt,
    startedBy: started?.by.name ?? (joint === null ? null : joint.laidUpBy),
    doneAt: done?.at ?? null,
    doneBy: done?.by ?? null,
    early: started === undefined || started.early.length === 0 ? null : { reason: started.reason ?? '' },
    needs,
  };
}

function toldAt(told: { readonly atMs: number; readonly by: { readonly name: string } } | undefined) {
  return told === undefined ? null : { at: iso(told.atMs), by: told.by.name };
}

const NOTHING = {
  metAt: null as string | null,
  joint: null,
  part: null,
  stage: null,
  activity: null,
  hold: null,
  missingHours: null,
  ifHeldAt: null,
  findings: [] as string[],
};

function needView(need: Need, around: Around, before: readonly ActivityNow[]): NeedView {
  const { sump, joints, tests, undecided } = around;
  switch (need.need) {
    case 'stage': {
      const joint = joints.find(({ part }) => part === need.part);
      const base = { ...NOTHING, need: need.need, part: need.part, stage: need.stage };
      return joint === undefined ? { ...base, met: false } : { ...base, ...standingOf(joint, need.stage) };
    }
    case 'allJoints': {
      const slowest = slowestOf(joints, need.stage);
      const base = { ...NOTHING, need: need.need, stage: need.stage };
      if (slowest !== null) return { ...base, ...standingOf(slowest, need.stage) };
      const absent = sump.sequence.parts.find(({ part }) => !joints.some((joint) => joint.part === part));
      const last = lastOf(joints, need.stage);
      if (absent !== undefined || last === null) return { ...base, part: absent?.part ?? null, met: false };
      return { ...base, ...standingOf(last, need.stage) };
    }
    case 'prep': {
      const joint = joints.find(({ part }) => part === need.part);
      const metAt = joint?.prepAt ?? null;
      return { ...NOTHING, need: need.need, part: need.part, joint: joint?.joint ?? null, met: metAt !== null, metAt };
    }
    case 'done': {
      const done = before.find(({ activity, state }) => activity === need.activity && state === 'done');
      return { ...NOTHING, need: need.need, activity: need.activity, met: done !== undefined, metAt: done?.doneAt ?? null };
    }
    case 'hold': {
      const signed = sump.holds.get(need.hold);
      const hold = { hold: need.hold, label: need.label };
      return {
        ...NOTHING,
        need: need.need,
        hold,
        met: signed !== undefined,
        metAt: signed === undefined ? null : iso(signed.atMs),
      };
    }
    case 'decided':
      return { ...NOTHING, need: need.need, findings: [...undecided], met: undecided.length === 0, metAt: around.decidedAt };
    case 'passed': {
      const newest = tests.at(-1);
      const met = isPassed(newest, around);
      return { ...NOTHING, need: need.need, met, metAt: met ? (newest?.endedAt ?? null) : null };
    }
  }
}

/**
 * A test says nothing about a joint that was laid up after its hold began, or has to be; nor about one whose hours were not there
 * yet, unless somebody started it before its time with a reason.
 */
function isPassed(test: WaterTestView | undefined, { sump, joints }: Around): boolean {
  if (test?.verdict !== 'pass') return false;
  const startedMs = Date.parse(test.startedAt);
  const activity = sump.sequence.activities.find(({ waterTest }) => waterTest);
  const isOverridden = sump.startedEarly.some((early) => early.activity === activity?.activity && early.seq < test.seq);
  const wasReached = (joint: JointView) => {
    const reachedAt = stageOf(joint, 'hydro')?.reachedAt ?? null;
    return isOverridden || (reachedAt !== null && Date.parse(reachedAt) <= startedMs);
  };
  return joints.every(
    (joint) =>
      joint.phase !== 'void' && wasReached(joint) && (joint.laidUpAt === null || Date.parse(joint.laidUpAt) <= startedMs),
  );
}

function isClear(stage: StageView | undefined): boolean {
  return stage !== undefined && stage.reachedAt !== null && stage.blockedBy.length === 0;
}

/** A stage that a schedule does not have is asked of its last one: a joint must not pass for want of a name. */
export function stageOf(joint: JointView, name: string): StageView | undefined {
  return joint.stages.find(({ stage }) => stage === name) ?? joint.stages.at(-1);
}

function standingOf(joint: JointView, name: string) {
  const stage = stageOf(joint, name);
  return {
    met: joint.phase !== 'void' && isClear(stage),
    metAt: stage?.clearAt ?? null,
    joint: joint.joint,
    missingHours: stage?.remainingHours ?? null,
    ifHeldAt: stage?.ifHeldAt ?? null,
    findings: stage?.blockedBy ?? [],
  };
}

/** Of joints that are all clear, the one that was so last; null: there is none. */
function lastOf(joints: readonly JointView[], name: string): JointView | null {
  const clearMs = (joint: JointView) => Date.parse(stageOf(joint, name)?.clearAt ?? '');
  return [...joints].sort((a, b) => clearMs(b) - clearMs(a))[0] ?? null;
}

/** The joint with the most hours still missing among those that are not clear; null: all are. */
function slowestOf(joints: readonly JointView[], name: string): JointView | null {
  let slowest: JointView | null = null;
  for (const joint of joints) {
    if (standingOf(joint, name).met) continue;
    if (slowest === null || (stageOf(joint, name)?.remainingHours ?? 0) > (stageOf(slowest, name)?.remainingHours ?? 0))
      slowest = joint;
  }
  return slowest;
}
