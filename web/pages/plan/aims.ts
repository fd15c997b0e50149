import { SAFE_SHARE } from '../../../edge/cure/outlook/booking.ts';
import type { ActivityView } from '../../../edge/site/views/activity.ts';
import type { Times } from '../../../edge/site/views/outlook.ts';
import type { SumpView } from '../../../edge/site/views/sump.ts';
import type { SumpOutlook } from '../../api/shapes.ts';
import { atHour } from '../../look/siteTime.ts';
import { type Aim, jointsOf, type PlanAnswer } from './planAnswer.ts';

/** What is chosen on the page. */
export interface Chosen {
  readonly activity: string;
  readonly dueMs: number;
}

const MORNING_HOUR = 7;

/** What can still be planned. A joint is laid up by its own plan, and not by an appointment of hours that it needs. */
export const openActivities = ({ activities }: Pick<SumpView, 'activities'>): ActivityView[] =>
  activities.filter(({ state }) => state !== 'done');

/** The first appointment; without one the water test, or what comes next, tomorrow morning. Null: everything is done. */
export function firstChoice(view: Pick<SumpView, 'activities' | 'bookings'>, nowMs: number, zone: string): Chosen | null {
  const open = openActivities(view);
  const [booking] = view.bookings
    .filter(({ activity }) => open.some((each) => each.activity === activity))
    .toSorted((a, b) => Date.parse(a.due) - Date.parse(b.due));
  if (booking !== undefined) return { activity: booking.activity, dueMs: Date.parse(booking.due) };
  const next = open.find(({ waterTest }) => waterTest) ?? open[0];
  return next === undefined ? null : { activity: next.activity, dueMs: atHour(nowMs, zone, 1, MORNING_HOUR) };
}

/** Where it waits for a joint that is not on the site yet, or has to be done again, no needs are told, but that no time can be named. */
export function aimOf(
  { activities }: Pick<SumpOutlook, 'activities'>,
  { activity, dueMs }: Chosen,
  now: Pick<ActivityView, 'projected'> | undefined,
): Aim {
  const needs = activities.find((each) => each.activity === activity)?.needs ?? [];
  return { needs, reason: needs.length > 0 ? null : (now?.projected?.reason ?? null), dueMs };
}

/** Ids of findings that keep the activity waiting whatever the hours are. */
export function waitsFor({ activities, bookings }: Pick<SumpView, 'activities' | 'bookings'>, name: string): readonly string[] {
  const booked = bookings.find(({ activity }) => activity === name);
  if (booked !== undefined) return booked.waitsFor;
  const needs = activities.find(({ activity }) => activity === name)?.needs ?? [];
  return [...new Set(needs.flatMap(({ met, findings }) => (met ? [] : findings)))];
}

/** Nothing is waited for any more. */
export const areHoursThere = ({ latest, reason }: Times, nowMs: number) =>
  reason === null && (latest === null || Date.parse(latest) <= nowMs);

/** The joints that something is to be done about: those that are late by themselves, or else all whose hours are still to come. */
export function lateJoints({ joints }: Pick<PlanAnswer, 'joints'>, { needs }: Aim, nowMs: number): string[] {
  const open = joints.filter(({ ready }) => !areHoursThere(ready, nowMs));
  const late = open.filter(({ chance }) => chance !== null && chance < SAFE_SHARE);
  const chosen = (late.length > 0 ? late : open).map(({ joint }) => joint);
  return chosen.length > 0 ? chosen : jointsOf(needs);
}
