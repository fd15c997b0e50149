import { DateTime } from 'luxon';

const WALL = "yyyy-MM-dd'T'HH:mm";

/** A moment as a date and time field takes it, on the clock of `zone`. */
export const wallOf = (ms: number, zone: string) => DateTime.fromMillis(ms, { zone }).toFormat(WALL);

export interface WallRead {
  readonly atMs: number;
  /** That night the clock shows this time twice; the earlier one is meant. */
  readonly isTwice: boolean;
}

/** What a date and time field says, on the clock of `zone`. Null: no time, or one that a spring night leaves out. */
export function readWall(wall: string, zone: string): WallRead | null {
  const read = DateTime.fromISO(wall, { zone });
  if (!read.isValid || read.toFormat(WALL) !== wall.slice(0, 16)) return null;
  const possible = read.getPossibleOffsets().map((each) => each.toMillis());
  return { atMs: Math.min(...possible), isTwice: possible.length > 1 };
}

/** `hour` o'clock on the day that lies `days` after the one of `nowMs`. */
export function atHour(nowMs: number, zone: string, days: number, hour: number): number {
  return DateTime.fromMillis(nowMs, { zone }).startOf('day').plus({ days }).set({ hour }).toMillis();
}

/** The next full quarter of an hour, not before `ms`. */
export const nextQuarter = (ms: number) => Math.ceil(ms / QUARTER_MS) * QUARTER_MS;
export const QUARTER_MS = 15 * 60_000;
