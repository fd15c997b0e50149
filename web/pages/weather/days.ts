import { DateTime } from 'luxon';

/** Whether a day of the site's calendar is today, tomorrow, or another. */
export function dayDistance(day: string, nowMs: number, zone: string): 'today' | 'tomorrow' | 'other' {
  const today = DateTime.fromMillis(nowMs, { zone });
  if (day === today.toISODate()) return 'today';
  return day === today.plus({ days: 1 }).toISODate() ? 'tomorrow' : 'other';
}

/** `Thursday, Jan 15`. */
export const dayName = (day: string, locale: string) =>
  DateTime.fromISO(day, { locale }).toLocaleString({ weekday: 'long', month: 'short', day: 'numeric' });
