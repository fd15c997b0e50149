import { z } from 'zod';
import { chanceBy, decidedBy, safeFromMs } from '../../cure/outlook/booking.ts';
import type { Booking, Sump } from '../state/sump.ts';
import { type ActivityOutlook, type Around, activityOutlook } from './activityOutlook.ts';
import { iso, isoOrNull } from './iso.ts';
import { notBefore, Times } from './outlook.ts';

/** An appointment and what becomes of it. */
export const BookingView = z.strictObject({
  /** Place of its entry in the ledger. */
  seq: z.int(),
  activity: z.string(),
  label: z.string(),
  due: z.string(),
  by: z.string(),
  note: z.string().nullable(),
  /** Share of the worlds in which the hours are there by then, 0 … 1; null where no time can be named. */
  chance: z.number().nullable(),
  /** The joint that most often comes last, or for which no time can be named; null: none is missing, or it is not on the site yet. */
  decidedBy: z.string().nullable(),
  /** When the hours that the activity needs will be there. */
  ready: Times,
  /** The first quarter of an hour by which 90 of 100 worlds have them; null: none that can be named. */
  safeFrom: z.string().nullable(),
  /** Ids of open findings that keep the activity waiting whatever the hours are. */
  waitsFor: z.array(z.string()),
});
export type BookingView = z.infer<typeof BookingView>;

/** What becomes of the bookings of activities that are not under way yet, the earliest first. */
export function bookingViews(sump: Sump, around: Around): BookingView[] {
  return [...sump.bookings.values()]
    .sort((a, b) => a.dueMs - b.dueMs || a.seq - b.seq)
    .flatMap((booking) => {
      const activity = around.activities.find((one) => one.activity === booking.activity);
      if (activity === undefined || activity.state === 'done' || activity.state === 'started') return [];
      return bookingView(booking, activity.label, activityOutlook(around, booking.activity), around.nowMs);
    });
}

function bookingView(booking: Booking, label: string, outlook: ActivityOutlook, nowMs: number): BookingView {
  const { seq, activity, dueMs, by, note } = booking;
  const { membersMs, missing, nothingMissing, unknown, ready, waitsFor } = outlook;
  const safeMs = membersMs === null ? null : safeFromMs(notBefore(membersMs, nowMs));
  return {
    seq,
    activity,
    label,
    due: iso(dueMs),
    by: by.name,
    note,
    chance: membersMs === null ? null : chanceBy(membersMs, dueMs),
    decidedBy: membersMs === null ? unknown : nothingMissing ? null : decidedBy(missing, dueMs),
    ready,
    safeFrom: isoOrNull(safeMs),
    waitsFor: [...waitsFor],
  };
}

/** A booking with less of a chance than this will rather not hold. */
const LATE_BELOW = 0.5;

/** Whether a joint is what will rather keep a booking of its sump from holding. */
export function isLate(joint: string, bookings: readonly BookingView[]): boolean {
  return bookings.some(({ chance, decidedBy }) => chance !== null && chance < LATE_BELOW && decidedBy === joint);
}
