import { exp } from '../../cure/exp.ts';
import { type AirRecord, airAhead, type Forecast, type AirAhead as Guess } from '../../cure/outlook/air.ts';
import { DEFAULT_COVER, DEFAULT_HEATER, type HeatPrior, type LagFit, THERMOSTAT_SD_MILLI_C } from '../../cure/outlook/fitLag.ts';
import type { Heat } from '../../cure/outlook/input.ts';
import { DEFAULT_LAG } from '../../cure/outlook/lag.ts';
import { HORIZON_MS } from '../../cure/outlook/project.ts';
import { HOUR_MS } from '../../cure/schedule.ts';
import { type HeatingSpan, heatingAt } from '../../site/state/heating.ts';

/** Kinds of heat that were about a joint; those of one kind are taken to do the same. */
export function kindsOf(spans: readonly HeatingSpan[]): { readonly kinds: readonly string[]; readonly priors: HeatPrior[] } {
  const kinds = [...new Set(spans.map(kindOf))];
  const priors = kinds.map((kind) => priorOf(spans.findLast((span) => kindOf(span) === kind) as HeatingSpan));
  return { kinds, priors };
}

/** Which of the kinds of heat was on; −1: none. */
export function heatIndexAt(spans: readonly HeatingSpan[], kinds: readonly string[], atMs: number): number {
  const span = onAt(spans, atMs);
  return span === null ? -1 : kinds.indexOf(kindOf(span));
}

export interface HeatNow {
  readonly heat: Heat;
  readonly seen: boolean;
  readonly sinceMs: number;
}

/** What is on now, and what it does, of what each kind was found to do. */
export function heatNow(spans: readonly HeatingSpan[], heats: LagFit['heats'], nowMs: number): HeatNow | null {
  const span = onAt(spans, nowMs);
  if (span === null) return null;
  const found = heats[kindsOf(spans).kinds.indexOf(kindOf(span))];
  if (found === undefined) return null;
  const { seen, ...heat } = found;
  return { heat, seen, sinceMs: span.fromMs };
}

function kindOf({ what, holdMilliC }: HeatingSpan): string {
  return `${what} ${holdMilliC ?? ''}`;
}

/** Of a heater and a cover that are both on, the heater: what it brings includes the cover. */
function onAt(spans: readonly HeatingSpan[], atMs: number): HeatingSpan | null {
  const on = heatingAt(spans, atMs);
  return on.findLast(({ what }) => what === 'heater') ?? on.at(-1) ?? null;
}

function priorOf({ what, holdMilliC }: HeatingSpan): HeatPrior {
  if (holdMilliC !== null) return { kind: 'level', milliC: holdMilliC, sdMilliC: THERMOSTAT_SD_MILLI_C };
  return what === 'heater' ? DEFAULT_HEATER : DEFAULT_COVER;
}

/** So long after heat was put on or off what is measured is on its way from the one to the other. Our own choice. */
const SETTLES_MS = 2 * DEFAULT_LAG.timeConstantMs;
/** How far off a guess is that rests on a record within which heat changed, m°C, one standard deviation. Our own choice. */
export const CHANGED_SD_MILLI_C = 3000;

/** The air ahead where it is measured inside what is heated. */
export interface HeatedAir {
  readonly guess: Guess;
  /** Heat was put on or off within the last day of the record. */
  readonly isChanged: boolean;
}

/**
 * The air ahead by a record that has the heat in it already, so that none is to be added to it. Only what was measured while the same
 * was on as now counts of it, from when that had settled. Where nothing was, what is measured now holds on; what heat that was taken
 * off is believed to have left in it is taken off too, since it goes. Null: nothing to go by.
 */
export function heatedAir(
  record: AirRecord,
  spans: readonly HeatingSpan[],
  forecast: Forecast | null,
  nowMs: number,
): HeatedAir | null {
  const { fromMs, stepMs } = record;
  const { kinds } = kindsOf(spans);
  const kindAt = (ms: number) => heatIndexAt(spans, kinds, ms);
  const changesMs = spans
    .flatMap(({ fromMs: onMs, untilMs }) => [onMs, untilMs ?? Number.POSITIVE_INFINITY])
    .filter((ms) => ms <= nowMs && kindAt(ms) !== kindAt(ms - 1));
  const isAsNow = (ms: number) => kindAt(ms) === kindAt(nowMs) && !changesMs.some((at) => at <= ms && ms - at < SETTLES_MS);
  const milliC = record.milliC.map((value, index) => (isAsNow(fromMs + index * stepMs) ? value : null));
  const isChanged = record.milliC.some(
    (value, index) => value !== milliC[index] && fromMs + index * stepMs > nowMs - 24 * HOUR_MS,
  );
  const guess = airAhead(isChanged ? { ...record, milliC } : record, forecast, nowMs, HORIZON_MS, record);
  const last = record.milliC.findLastIndex((value) => value !== null);
  if (guess !== null || last < 0) return guess && { guess, isChanged };
  const changedMs = Math.max(...changesMs);
  const left = broughtAt(spans, changedMs - 1) - broughtAt(spans, changedMs);
  const leftNow = Math.max(0, left) * exp(-Math.min(700, (nowMs - changedMs) / DEFAULT_LAG.timeConstantMs));
  const held = record.milliC.map((value, index) => (index === last && value !== null ? Math.round(value - leftNow) : null));
  const holding = airAhead({ ...record, milliC: held }, null, nowMs, HORIZON_MS, record);
  return holding && { guess: holding, isChanged };
}

/** By how much what was on at an instant is believed to have warmed, m°C; of a thermostat as much as of a heater without one. */
function broughtAt(spans: readonly HeatingSpan[], atMs: number): number {
  const span = onAt(spans, atMs);
  if (span === null) return 0;
  return span.what === 'heater' ? DEFAULT_HEATER.milliC : DEFAULT_COVER.milliC;
}
