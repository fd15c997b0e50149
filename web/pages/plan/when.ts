import { DateTime } from 'luxon';
import { HORIZON_MS } from '../../../edge/cure/outlook/project.ts';

const GRAIN_MS = 5 * 60_000;

/** One step of a time field, on the site's calendar: a day is a day even where the clock changes. */
export interface Step {
  readonly days?: number;
  readonly hours?: number;
}

/**
 * The time so much earlier or later, on full five minutes, since nobody books to the minute; but no time that has passed. UTC ms.
 * Whole days keep the clock time of `zone`.
 */
export function stepped(atMs: number, step: Step, nowMs: number, zone: string): number {
  const movedMs = DateTime.fromMillis(atMs, { zone }).plus(step).toMillis();
  return Math.max(Math.ceil(nowMs / GRAIN_MS) * GRAIN_MS, Math.round(movedMs / GRAIN_MS) * GRAIN_MS);
}

/** Why a time can not be asked about: it lies behind, or beyond the days that are looked at. Null: it can. */
export function whenFault(atMs: number, nowMs: number): 'passed' | 'beyond' | null {
  if (atMs < nowMs) return 'passed';
  return atMs > nowMs + HORIZON_MS ? 'beyond' : null;
}
