import { exp } from '../exp.ts';
import { HOUR_MS } from '../schedule.ts';
import { type AirRecord, airAhead } from './air.ts';
import type { AirError } from './input.ts';

/**
 * How far local forecasts of the air's temperature are off: growing to 2.5 °C, about 1.7 °C six hours ahead and 2.4 °C a day ahead,
 * for a forecast says a low and a high and little of the hours between. From memory of how good such forecasts are; how soon it
 * grows was chosen by the back-test.
 */
export const DEFAULT_FORECAST_ERROR: AirError = { sdMilliC: 2500, correlationMs: 20 * HOUR_MS, comparisons: 0 };

/** How far tomorrow is off yesterday: growing to 4 °C, about 3.6 °C a day ahead. From memory of how changeable weather is. */
export const DEFAULT_PERSISTENCE_ERROR: AirError = { sdMilliC: 4000, correlationMs: 30 * HOUR_MS, comparisons: 0 };

/** What a guess said and what came. */
export interface Comparison {
  /** How long before it came the guess was made. */
  readonly leadMs: number;
  /** Measured less guessed, m°C. */
  readonly errorMilliC: number;
  /** When it came, UTC ms. Those that came within the same three hours count as one; one without counts for itself. */
  readonly validMs?: number;
}

/** The default counts as if it rested on so many comparisons of its own. Our own choice. */
const DEFAULT_WEIGHT = 20;
/** Errors that come closer together tell the same thing. Our own choice. */
const APART_MS = 3 * HOUR_MS;
/** The site's own past is looked at as if it had been guessed at every so many hours, and to so far ahead. */
const ISSUE_MS = 6 * HOUR_MS;
const FURTHEST_MS = 48 * HOUR_MS;
const DAY_MS = 24 * HOUR_MS;

/** One standard deviation of the air's error so long after the present, m°C. */
export function errorAt({ sdMilliC, correlationMs }: AirError, leadMs: number): number {
  return sdMilliC * Math.sqrt(grownTo(leadMs, correlationMs));
}

/** How far this site's forecasts are off, as far as they can be compared with what came. */
export function forecastError(comparisons: readonly Comparison[]): AirError {
  return estimated(DEFAULT_FORECAST_ERROR, comparisons);
}

/** How far the site's air is off what `airAhead` would have guessed from the record alone, at every sixth hour of it. */
export function persistenceError(record: AirRecord): AirError {
  const endMs = record.fromMs + (record.milliC.length - 1) * record.stepMs;
  const comparisons: Comparison[] = [];
  for (let issueMs = endMs - APART_MS; issueMs >= record.fromMs + DAY_MS; issueMs -= ISSUE_MS) {
    const guess = airAhead(record, null, issueMs, Math.min(FURTHEST_MS, endMs - issueMs));
    if (guess === null) continue;
    guess.air.milliC.forEach((guessed, hour) => {
      const leadMs = hour * HOUR_MS;
      const measured = record.milliC[Math.round((issueMs + leadMs - record.fromMs) / record.stepMs)] ?? null;
      if (measured === null || leadMs === 0 || leadMs % APART_MS !== 0) return;
      comparisons.push({ leadMs, errorMilliC: measured - guessed, validMs: issueMs + leadMs });
    });
  }
  return estimated(DEFAULT_PERSISTENCE_ERROR, comparisons);
}

/** Share of the full variance that errors have grown to. */
function grownTo(leadMs: number, correlationMs: number): number {
  return 1 - exp(Math.max(-700, (-2 * leadMs) / correlationMs));
}

/**
 * The standard deviation that the comparisons tell, given how errors grow: the sum of the squared errors over the sum of the shares
 * of the full variance that they had grown to, so that early ones, which tell little of it, count little.
 */
function estimated(given: AirError, comparisons: readonly Comparison[]): AirError {
  const groups = new Map<number | Comparison, Comparison[]>();
  for (const comparison of comparisons) {
    if (comparison.leadMs <= 0) continue;
    const { validMs } = comparison;
    const group = validMs === undefined ? comparison : Math.floor(validMs / APART_MS);
    groups.set(group, [...(groups.get(group) ?? []), comparison]);
  }
  let squares = DEFAULT_WEIGHT * given.sdMilliC * given.sdMilliC;
  let shares = DEFAULT_WEIGHT;
  for (const group of groups.values()) {
    for (const { leadMs, errorMilliC } of group) {
      squares += (errorMilliC * errorMilliC) / group.length;
      shares += grownTo(leadMs, given.correlationMs) / group.length;
    }
  }
  const sdMilliC = Math.min(20_000, Math.round(Math.sqrt(squares / shares)));
  return { ...given, sdMilliC, comparisons: groups.size };
}
