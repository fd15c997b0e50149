import { DateTime } from 'luxon';

const HOUR_MS = 3_600_000;
/** When crews look at the day before them. */
const MORNING_HOUR = 6;

/** When a warning may be put off to, UTC ms: the morning is the next six o'clock on the clock of `zone`. */
export function remindTimes(nowMs: number, zone: string): Readonly<Record<'one' | 'four' | 'morning', number>> {
  const today = DateTime.fromMillis(nowMs, { zone }).startOf('day').set({ hour: MORNING_HOUR });
  const morning = today.toMillis() > nowMs ? today : today.plus({ days: 1 });
  return { one: nowMs + HOUR_MS, four: nowMs + 4 * HOUR_MS, morning: morning.toMillis() };
}
