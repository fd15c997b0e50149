import { type Readiness, together } from '../../cure/outlook/booking.ts';
import { type ActivityNow, stageOf } from './activity.ts';
import type { JointView } from './joint.ts';
import { type JointProjection, noTimes, notBefore, type OutlookReason, type Times, timesOf } from './outlook.ts';

/** A sump's order of work as it stands now: part of its view. */
export interface WorkNow {
  readonly activities: readonly ActivityNow[];
  readonly joints: readonly string[];
  readonly parts: readonly { readonly part: string; readonly joint: string | null }[];
}

/** From what the outlook of a sump's activities is worked out. */
export interface Around extends WorkNow {
  readonly viewOf: (joint: string) => JointView | undefined;
  /** What lies ahead of a joint; undefined: nothing is known. */
  readonly aheadOf: (joint: string) => Pick<JointProjection, 'readiness' | 'reason'> | undefined;
  readonly nowMs: number;
}

/** When the hours that an activity needs will be there. Findings, hold points and preparation are not hours and do not enter. */
export interface ActivityOutlook {
  /** In each world, UTC ms; null: no time can be named. */
  readonly membersMs: readonly number[] | null;
  /** The joints whose hours are still missing. */
  readonly missing: readonly Readiness[];
  /** All hours that it needs are there, or it needs none: whatever is looked ahead to, nothing of it is left to come. */
  readonly nothingMissing: boolean;
  /** The joint for which no time can be named; null: there is none, or it is not on the site yet. */
  readonly unknown: string | null;
  readonly ready: Times;
  /** Ids of open findings that keep it waiting whatever the hours are. */
  readonly waitsFor: readonly string[];
}

interface Waits {
  /** Null: a joint that is not on the site yet. */
  readonly hours: { readonly joint: string | null; readonly stage: string }[];
  /** Findings that wait for a decision on the sump as a whole. */
  readonly undecided: string[];
}

/**
 * The stages that an activity waits for, its own and those of the activities that have to be done before it; of a schedule without
 * a stage of that name, its last one. Empty: it waits for none, or for a joint that is not on the site yet or has to be done again,
 * so that nothing can be said of its hours.
 */
export function needsOf(
  work: WorkNow,
  activity: string,
  viewOf: Around['viewOf'],
): { readonly joint: string; readonly stage: string }[] {
  const needs: { joint: string; stage: string }[] = [];
  for (const { joint, stage: name } of waitsOf(work, activity).hours) {
    const view = joint === null ? undefined : viewOf(joint);
    const stage = view === undefined || view.phase === 'void' ? undefined : stageOf(view, name);
    if (view === undefined || stage === undefined) return [];
    if (!needs.some((need) => need.joint === view.joint && need.stage === stage.stage))
      needs.push({ joint: view.joint, stage: stage.stage });
  }
  return needs;
}

/** What lies ahead of an activity of the sump. */
export function activityOutlook(around: Around, activity: string): ActivityOutlook {
  const { hours, undecided } = waitsOf(around, activity);
  const waitsFor = new Set(undecided);
  const missing = new Map<string, readonly number[]>();
  /** Since when all hours are there that are. */
  let thereMs = Number.NEGATIVE_INFINITY;
  let without: { readonly joint: string | null; readonly reason: OutlookReason } | null = null;
  for (const { joint, stage: name } of hours) {
    const view = joint === null ? undefined : around.viewOf(joint);
    const stage = view === undefined ? undefined : stageOf(view, name);
    for (const id of stage?.blockedBy ?? []) waitsFor.add(id);
    if (view === undefined || stage === undefined || view.laidUpAt === null || view.phase === 'void') {
      without ??= { joint, reason: 'not-laid-up' };
      continue;
    }
    if (stage.reachedAt !== null) {
      thereMs = Math.max(thereMs, Date.parse(stage.reachedAt));
      continue;
    }
    const ahead = around.aheadOf(view.joint);
    const worlds = ahead?.readiness.find((each) => each.stage === stage.stage)?.membersMs;
    if (worlds === undefined) {
      without ??= { joint, reason: ahead?.reason ?? 'not-yet' };
      continue;
    }
    const membersMs = notBefore(worlds, around.nowMs);
    const other = missing.get(view.joint);
    const both = [membersMs, ...(other === undefined ? [] : [other])].map((each) => ({ joint: view.joint, membersMs: each }));
    missing.set(view.joint, together(both));
  }
  const found = { waitsFor: [...waitsFor], missing: [...missing].map(([joint, membersMs]) => ({ joint, membersMs })) };
  if (without !== null)
    return { ...found, nothingMissing: false, membersMs: null, unknown: without.joint, ready: noTimes(without.reason) };
  const membersMs = missing.size === 0 ? [thereMs] : together(found.missing).map((ms) => Math.max(ms, thereMs));
  const ready = timesOf(notBefore(membersMs, around.nowMs));
  return { ...found, nothingMissing: missing.size === 0, membersMs, unknown: null, ready };
}

/** What is shown of an activity itself: nothing of one that is under way, or waits for no hours. */
export function projectedOf(around: Around, { activity, state }: ActivityNow): Times | null {
  if (state !== 'waiting') return null;
  const { nothingMissing, ready } = activityOutlook(around, activity);
  return nothingMissing ? null : ready;
}

function waitsOf(work: WorkNow, name: string): Waits {
  const waits: Waits = { hours: [], undecided: [] };
  // An activity waits for earlier ones only, so this ends; several may wait for the same one.
  const looked = new Set<ActivityNow>();
  const look = (activity: ActivityNow | undefined) => {
    if (activity === undefined || looked.has(activity)) return;
    looked.add(activity);
    for (const { need, part, stage, activity: before, findings } of activity.needs) {
      if (need === 'stage') waits.hours.push({ joint: jointOf(work, part), stage: stage ?? '' });
      if (need === 'allJoints') for (const joint of allJointsOf(work)) waits.hours.push({ joint, stage: stage ?? '' });
      if (need === 'decided') waits.undecided.push(...findings);
      if (need === 'done') look(work.activities.find((one) => one.activity === before && isAhead(one)));
      if (need === 'passed') look(work.activities.find((one) => one.waterTest && isAhead(one)));
    }
  };
  look(work.activities.find((one) => one.activity === name));
  return waits;
}

/** Of one that has been started the hours do not matter any more. */
function isAhead({ state }: ActivityNow): boolean {
  return state === 'waiting' || state === 'ready';
}

function jointOf({ parts }: WorkNow, part: string | null): string | null {
  return parts.find((one) => one.part === part)?.joint ?? null;
}

function allJointsOf({ joints, parts }: WorkNow): (string | null)[] {
  const isWhole = joints.length > 0 && parts.every(({ joint }) => joint !== null);
  return isWhole ? [...joints] : [...joints, null];
}
