import { DateTime } from 'luxon';
import { diurnal, type Extreme } from '../../../edge/cure/outlook/diurnal.ts';
import type { FaultAt } from '../../../edge/errors.ts';
import { numberOf } from '../../answer/typed.ts';
import { readWall } from '../../look/siteTime.ts';

/** One day as it is typed: its low, its high, and when. */
export interface DayDraft {
  /** On the site's calendar, `2026-01-15`. */
  readonly day: string;
  readonly low: string;
  /** On the site's clock, `06:00`. */
  readonly lowAt: string;
  readonly high: string;
  readonly highAt: string;
  /** What is left of today: its high alone is asked for, and need not be told. */
  readonly isHighOnly: boolean;
}

export const LOW_AT = '06:00';
export const HIGH_AT = '15:00';
export const DAYS_MOST = 3;

/** What each fault's sentence is; a file of words gives them. */
export interface DraftWords {
  readonly number: string;
  readonly time: string;
  readonly passed: string;
  readonly above: string;
  readonly order: string;
  readonly range: string;
}

/** °C that a forecast may name. */
const COLDEST_CELSIUS = -60;
const WARMEST_CELSIUS = 60;

/** From then on today's high has likely been. */
const HIGH_ASKED_UNTIL = '14:00';

/**
 * Empty days from the next low on. In the small hours that is this morning's; later it is tomorrow's. Until the early afternoon
 * today's high may be told first; without it, whatever is left of today follows from what is measured now.
 */
export function emptyDays(nowMs: number, zone: string): DayDraft[] {
  const today = DateTime.fromMillis(nowMs, { zone });
  const isBefore = (clock: string) => nowMs < (readWall(`${today.toISODate()}T${clock}`, zone)?.atMs ?? nowMs);
  if (isBefore(LOW_AT)) return [emptyDay(today)];
  const tomorrow = emptyDay(today.plus({ days: 1 }));
  return isBefore(HIGH_ASKED_UNTIL) ? [{ ...emptyDay(today), isHighOnly: true }, tomorrow] : [tomorrow];
}

/** Days that are told in full. */
export const fullDays = (days: readonly DayDraft[]) => days.filter(({ isHighOnly }) => !isHighOnly).length;

/** The days with one more. */
export function oneMore(days: readonly DayDraft[], zone: string): DayDraft[] {
  const last = days.at(-1);
  return last === undefined ? [] : [...days, emptyDay(DateTime.fromISO(last.day, { zone }).plus({ days: 1 }))];
}

const emptyDay = (day: DateTime): DayDraft => ({
  day: day.toISODate() ?? '',
  low: '',
  lowAt: LOW_AT,
  high: '',
  highAt: HIGH_AT,
  isHighOnly: false,
});

export interface Typed {
  readonly extremes: readonly Extreme[];
  readonly faults: readonly FaultAt[];
}

/** The lows and highs in order, and what is wrong with which field; nothing is wrong with a field that is still empty until all are asked for. */
export function readDays(
  days: readonly DayDraft[],
  { nowMs, zone, unit, words }: { nowMs: number; zone: string; unit: 'C' | 'F'; words: DraftWords },
): Typed {
  const faults: FaultAt[] = [];
  const extremes: Extreme[] = [];
  days.forEach((day, index) => {
    const before = extremes.length;
    if (day.isHighOnly && day.high.trim() === '') return;
    for (const kind of day.isHighOnly ? (['high'] as const) : (['low', 'high'] as const)) {
      const path = `days.${index}.${kind}`;
      const number = numberOf(day[kind]);
      const celsius = number === null ? null : unit === 'F' ? ((number - 32) * 5) / 9 : number;
      const at = readWall(`${day.day}T${kind === 'low' ? day.lowAt : day.highAt}`, zone);
      if (celsius === null) faults.push({ path, message: words.number });
      else if (celsius < COLDEST_CELSIUS || celsius > WARMEST_CELSIUS) faults.push({ path, message: words.range });
      if (at === null) faults.push({ path: `${path}At`, message: words.time });
      else if (at.atMs < nowMs) faults.push({ path: `${path}At`, message: words.passed });
      if (celsius !== null && at !== null) extremes.push({ kind, atMs: at.atMs, milliC: Math.round(celsius * 1000) });
    }
    const [low, high] = extremes.slice(before);
    if (day.isHighOnly || low === undefined || high === undefined) return;
    if (high.atMs <= low.atMs) faults.push({ path: `days.${index}.highAt`, message: words.order });
    if (low.milliC > high.milliC) faults.push({ path: `days.${index}.high`, message: words.above });
  });
  return { extremes, faults };
}

export interface Hour {
  readonly at: number;
  readonly celsius: number;
}

/**
 * Hour by hour from now to the end of the last day named, and at the lows and highs themselves, which need not lie on an hour.
 * `problem`: what is no weather, in the words of the model.
 */
export function hoursOf(
  extremes: readonly Extreme[],
  { nowMs, nowCelsius, zone }: { nowMs: number; nowCelsius: number | null; zone: string },
): { readonly hours: readonly Hour[]; readonly problem: string | null } {
  const last = extremes.at(-1);
  if (last === undefined) return { hours: [], problem: null };
  const untilMs = DateTime.fromMillis(last.atMs, { zone }).endOf('day').toMillis() + 1;
  const nowMilliC = nowCelsius === null ? null : Math.round(nowCelsius * 1000);
  try {
    const hours = diurnal({ nowMs, nowMilliC, extremes, untilMs });
    const all = new Map([...hours, ...extremes].map(({ atMs, milliC }) => [atMs, milliC]));
    const inOrder = [...all].sort(([one], [other]) => one - other);
    return { hours: inOrder.map(([at, milliC]) => ({ at, celsius: milliC / 1000 })), problem: null };
  } catch (fault) {
    if (fault instanceof RangeError) return { hours: [], problem: fault.message };
    throw fault;
  }
}
