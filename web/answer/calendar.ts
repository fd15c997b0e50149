import type { ActivityView } from '../../edge/site/views/activity.ts';
import type { BookingView } from '../../edge/site/views/booking.ts';
import type { SumpView } from '../../edge/site/views/sump.ts';
import { type Ahead, aheadOf } from './outlook.ts';

/** One activity to come with what is booked for it. */
export interface CalendarLine {
  readonly activity: ActivityView;
  /** Null: it may start now, has begun, or nothing is looked ahead to. */
  readonly ahead: Ahead | null;
  readonly bookings: readonly BookingView[];
}

/** Shorter bars cannot be told apart. */
const SPAN_LEAST_MS = 6 * 3_600_000;

/** What is still to be done on a sump, in its order of work, as far as something is known of when, or is booked. */
export function calendarOf({ activities, bookings }: SumpView, nowMs: number): CalendarLine[] {
  return activities.flatMap((activity) => {
    const booked = bookings.filter((booking) => booking.activity === activity.activity);
    if (activity.state === 'done') return [];
    const ahead = activity.state === 'waiting' && activity.projected !== null ? aheadOf(activity.projected, nowMs) : null;
    return ahead === null && booked.length === 0 && activity.state === 'waiting' ? [] : [{ activity, ahead, bookings: booked }];
  });
}

/** The end of what the bars show, UTC ms: the latest of all that is named. */
export function calendarEnd(lines: readonly CalendarLine[], nowMs: number): number {
  const instants = lines.flatMap(({ ahead, bookings }) => [
    ...(ahead?.kind === 'window' ? [ahead.latestMs ?? ahead.likelyMs] : []),
    ...bookings.map(({ due }) => Date.parse(due)),
  ]);
  return Math.max(nowMs + SPAN_LEAST_MS, ...instants);
}

/** Where an instant lies between now and the end, in percent of the way. */
export function placeOf(ms: number, nowMs: number, endMs: number): number {
  return Math.min(100, Math.max(0, (100 * (ms - nowMs)) / (endMs - nowMs)));
}
