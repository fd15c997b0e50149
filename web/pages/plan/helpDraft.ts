import { nextQuarter, QUARTER_MS } from '../../look/siteTime.ts';

/** What is tried out on the page. */
export interface HelpDraft {
  readonly way: 'hold' | 'heat';
  /** Null: those that are late by themselves. */
  readonly joints: readonly string[] | null;
  readonly holdCelsius: number;
  readonly thermostatCelsius: number;
  readonly heater: 'usual' | 'set';
  /** UTC ms; null: now. */
  readonly fromMs: number | null;
}

export const FIRST_DRAFT: HelpDraft = {
  way: 'hold',
  joints: null,
  holdCelsius: 15,
  thermostatCelsius: 20,
  heater: 'usual',
  fromMs: null,
};

/** Ends of a slider of temperatures and its step, in the unit that is shown. */
export const HOLD_RANGE = { C: { min: 0, max: 35, step: 0.5 }, F: { min: 32, max: 95, step: 1 } } as const;

/** How far the slider of times reaches. */
const FROM_HOURS_MOST = 48;

/** Quarters of an hour that a slider of times has: 0 is now, then each whole quarter until then. */
export function quartersUntil(nowMs: number, dueMs: number): number {
  const reachMs = Math.min(dueMs, nowMs + FROM_HOURS_MOST * 4 * QUARTER_MS);
  return Math.max(1, Math.floor((reachMs - nextQuarter(nowMs)) / QUARTER_MS) + 1);
}

export function quarterOf(fromMs: number | null, nowMs: number): number {
  return fromMs === null ? 0 : Math.max(0, Math.round((fromMs - nextQuarter(nowMs)) / QUARTER_MS) + 1);
}

export function msOfQuarter(quarter: number, nowMs: number): number | null {
  return quarter <= 0 ? null : nextQuarter(nowMs) + (quarter - 1) * QUARTER_MS;
}

const FAHRENHEIT_OF_STEP = 1.8;

/** A temperature on the slider's steps in the unit that is shown, and back. */
export const onSlider = (celsius: number, unit: 'C' | 'F') =>
  unit === 'F' ? Math.round(celsius * FAHRENHEIT_OF_STEP + 32) : celsius;
export const offSlider = (shown: number, unit: 'C' | 'F') => (unit === 'F' ? (shown - 32) / FAHRENHEIT_OF_STEP : shown);
