import { DateTime } from 'luxon';

const HOUR_MS = 3_600_000;
/** When crews look at the day before them. */
const MORNING_HOUR = 6;

export interface RemindTime {
  readonly name: 'one' | 'four' | 'morning';
  /** UTC ms. */
  readonly atMs: number;
}

/**
 * When a warning may be put off to: the morning is the next six o'clock on the clock of `zone`. A reminder that comes when what was
 * warned of is there is none, so all lie before `comesMs`; null: it has no hour.
 */
export function remindTimes(nowMs: number, zone: string, comesMs: number | null): readonly RemindTime[] {
  const today = DateTime.fromMillis(nowMs, { zone }).startOf('day').set({ hour: MORNING_HOUR });
  const morning = today.toMillis() > nowMs ? today : today.plus({ days: 1 });
  const times: readonly RemindTime[] = [
    { name: 'one', atMs: nowMs + HOUR_MS },
    { name: 'four', atMs: nowMs + 4 * HOUR_MS },
    { name: 'morning', atMs: morning.toMillis() },
  ];
  return times.filter(({ atMs }) => comesMs === null || atMs < comesMs);
}
