import type { ActivityView, NeedView } from '../../edge/site/views/activity.ts';
import type { Times } from '../../edge/site/views/outlook.ts';
import type { WhyNot } from './joint.ts';
import type { JointNow } from './sump.ts';

/** What an activity looks like at this moment. `unknown`: the link is down, and it was not done when it went. */
export type ActivityLook = ActivityView['state'] | 'unknown';

export function lookOf({ state }: ActivityView, isLost: boolean): ActivityLook {
  return isLost && state !== 'done' ? 'unknown' : state;
}

/** When a need that is a matter of hours would be met if nothing changed, or why no time can be named. */
export type NeedWhen =
  | { readonly kind: 'held'; readonly atMs: number }
  | { readonly kind: 'none'; readonly why: WhyNot }
  /** It is no matter of hours, or is met. */
  | null;

/** No time is named while the joint earns nothing, whatever the server's last word was. `joints` are those of the sump. */
export function whenOf({ met, joint, missingHours, ifHeldAt, findings }: NeedView, joints: readonly JointNow[]): NeedWhen {
  if (met || joint === null || missingHours === null) return null;
  const why = joints.find(({ view }) => view.joint === joint)?.facts.whyNot ?? null;
  if (why !== null) return { kind: 'none', why };
  // Nobody knows how long a decision takes.
  if (missingHours === 0 || findings.length > 0) return null;
  return ifHeldAt === null ? { kind: 'none', why: 'noReading' } : { kind: 'held', atMs: Date.parse(ifHeldAt) };
}

/** Somebody has to decide before the activity may start, whatever the hours are. */
export const waitsForDecision = ({ needs }: ActivityView) =>
  needs.some(({ met, need, findings }) => !met && (need === 'decided' || findings.length > 0));

/**
 * When the hours of an activity will likely be there; null: that is not looked ahead to, or a joint that it waits for is not heard. One
 * that is too cold now may well be warm tomorrow.
 */
export function hoursAhead({ projected, needs }: ActivityView, joints: readonly JointNow[]): Times | null {
  const missing = needs.filter(({ met }) => !met);
  const concerns = (joint: string) => missing.some((need) => need.need === 'allJoints' || need.joint === joint);
  const isHeard = ({ view, facts }: JointNow) => facts.whyNot === null || facts.whyNot === 'cold' || !concerns(view.joint);
  return joints.every(isHeard) ? projected : null;
}

/** When an activity may likely start. Nobody knows how long a decision takes, so nothing is said while it waits for one. */
export function activityAhead(activity: ActivityView, joints: readonly JointNow[]): Times | null {
  return waitsForDecision(activity) ? null : hoursAhead(activity, joints);
}

/** What comes after the water test. */
const isAfterTest = ({ needs }: ActivityView) => needs.some(({ need }) => need === 'passed');

/** What comes next: everything that has begun or may begin, and the first that waits. The water test and what follows it aside. */
export function nextOf(activities: readonly ActivityView[]): ActivityView[] {
  const open = activities.filter((each) => each.state !== 'done' && !each.waterTest && !isAfterTest(each));
  const firstWaiting = open.find(({ state }) => state === 'waiting');
  return open.filter((activity) => activity.state !== 'waiting' || activity === firstWaiting);
}

/** Whatever became of them since: what was started before its time is told for good. */
export function startedEarly(activities: readonly ActivityView[]): ActivityView[] {
  return activities.filter(({ early }) => early !== null);
}

export type Backfill = 'open' | 'started' | 'untested' | 'undecided' | 'waits' | 'unknown' | 'done';

/** May the sump be backfilled? `unknown` while the link is down, unless it is done. Null: nothing in its sequence follows the test. */
export function backfillOf(activities: readonly ActivityView[], isLost: boolean): Backfill | null {
  const last = activities.filter(isAfterTest).at(-1);
  if (last === undefined) return null;
  if (last.state === 'done') return 'done';
  if (isLost) return 'unknown';
  if (last.state !== 'waiting') return last.state === 'started' ? 'started' : 'open';
  const lacks = (wanted: string) => last.needs.some(({ need, met }) => need === wanted && !met);
  if (lacks('passed')) return 'untested';
  return lacks('decided') ? 'undecided' : 'waits';
}

/** What speaks against a backfill that has begun or is done, as things stand now; null: nothing does. */
export function backfillDoubt(activities: readonly ActivityView[]): 'untested' | 'undecided' | null {
  const last = activities.filter(isAfterTest).at(-1);
  if (last === undefined || (last.state !== 'done' && last.state !== 'started')) return null;
  const lacks = (wanted: string) => last.needs.some(({ need, met }) => need === wanted && !met);
  if (lacks('passed')) return 'untested';
  return lacks('decided') ? 'undecided' : null;
}
