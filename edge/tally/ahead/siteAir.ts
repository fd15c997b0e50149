import { POWER_ON_MILLI_C } from '../../cure/inspect/powerOn.ts';
import { type AirRecord, airAhead, type Forecast } from '../../cure/outlook/air.ts';
import { type Comparison, forecastError, persistenceError } from '../../cure/outlook/airError.ts';
import type { AirError, AirOutlook } from '../../cure/outlook/input.ts';
import { HORIZON_MS } from '../../cure/outlook/project.ts';
import { HOUR_MS } from '../../cure/schedule.ts';
import type { Readings } from '../../ledger/readings.ts';
import type { SiteState } from '../../site/state/site.ts';
import { type Counts, HUMIDITY, temperaturesOf } from '../values.ts';
import { onGrid } from './grid.ts';

export const RECORD_STEP_MS = 10 * 60_000;
const DAY_STEPS = (24 * HOUR_MS) / RECORD_STEP_MS;
/** What the air did so long ago shapes an outlook … */
export const RECORD_MS = 48 * HOUR_MS;
/** … and so long ago tells how good outlooks were. */
const LONG_RECORD_MS = 14 * 24 * HOUR_MS;
const RECORD_AGAIN_MS = 60_000;
/** Where readings came of an earlier time it is looked at again so soon. */
export const LATE_AGAIN_MS = 2_000;
const ERROR_AGAIN_MS = HOUR_MS;
/** Lead times at which forecasts are compared with what came. */
const LEADS_MS = [3, 6, 12, 24, 48].map((hours) => hours * HOUR_MS);
/** What was measured when a forecast was given takes so long to lose its weight; see `airAhead`. */
const ANCHOR_MS = 6 * HOUR_MS;
/** Forecasts given closer together say nearly the same. */
const APART_MS = 3 * HOUR_MS;

interface SiteAirParts {
  readonly site: SiteState;
  readonly readings: Readings;
  readonly counts: Counts;
  readonly nowMs: () => number;
}

export interface AirAhead {
  readonly air: AirOutlook;
  readonly from: 'forecast' | 'persistence';
  readonly error: AirError;
}

/** The air at each ambient probe: what it was, what it will likely be, and how wrong that may be. */
export class SiteAir {
  readonly #parts: SiteAirParts;
  readonly #records = new Map<string, { readonly record: AirRecord; readonly atMs: number; untilMs: number }>();
  readonly #errors = new Map<string, { readonly error: AirError; readonly atMs: number }>();

  constructor(parts: SiteAirParts) {
    this.#parts = parts;
  }

  /** The ambient probe that stands for the air about the whole site: the first that was registered; null: there is none. */
  get probe(): string | null {
    for (const { probe, role } of this.#parts.site.probes.values()) if (role === 'ambient') return probe;
    return null;
  }

  /** What was measured in the last two days, up to now. */
  record(probe: string): AirRecord {
    const nowMs = this.#parts.nowMs();
    const known = this.#records.get(probe);
    if (known !== undefined && nowMs >= known.atMs && nowMs < known.untilMs) return known.record;
    const record = this.measured(probe, RECORD_MS, nowMs);
    this.#records.set(probe, { record, atMs: nowMs, untilMs: nowMs + RECORD_AGAIN_MS });
    return record;
  }

  /** Mean of the site's air over the last day, m°C; null where less than a quarter of it was measured. */
  lastDayMilliC(): number | null {
    const { probe } = this;
    if (probe === null) return null;
    const day = this.record(probe).milliC.slice(-DAY_STEPS);
    const known = day.filter((milliC) => milliC !== null);
    return known.length < DAY_STEPS / 4 ? null : known.reduce((sum, milliC) => sum + milliC, 0) / known.length;
  }

  /** To be called when readings of a probe came that were measured a while ago. */
  late(probe: string): void {
    const known = this.#records.get(probe);
    if (known !== undefined) known.untilMs = Math.min(known.untilMs, this.#parts.nowMs() + LATE_AGAIN_MS);
  }

  /** The air to come at a probe; at none, that of the forecast alone. Null: nothing to go by. */
  ahead(probe: string | null): AirAhead | null {
    const nowMs = this.#parts.nowMs();
    const record = probe === null ? null : this.record(probe);
    const ahead = airAhead(record, this.#forecast(nowMs), nowMs, HORIZON_MS);
    return ahead && { ...ahead, error: this.#error(probe, ahead.from) };
  }

  /** What the forecasts said, each hour by the newest that had been given by then, and the newest for all that is to come. */
  #forecast(nowMs: number): Forecast | null {
    const { forecasts } = this.#parts.site;
    const atMs: number[] = [];
    const milliC: number[] = [];
    const humidityMilliPercent: (number | null)[] = [];
    forecasts.forEach((forecast, place) => {
      const untilMs = forecasts[place + 1]?.recordedMs ?? Number.POSITIVE_INFINITY;
      const fromMs = Math.max(nowMs - 24 * HOUR_MS, atMs.at(-1) ?? Number.NEGATIVE_INFINITY);
      const { hours } = forecast;
      hours.atMs.forEach((ms, index) => {
        if (ms <= fromMs || ms >= untilMs) return;
        atMs.push(ms);
        milliC.push(hours.milliC[index] as number);
        humidityMilliPercent.push(hours.humidityMilliPercent[index] ?? null);
      });
    });
    return atMs.length < 2 ? null : { atMs, milliC, humidityMilliPercent };
  }

  #error(probe: string | null, from: 'forecast' | 'persistence'): AirError {
    const { nowMs, site } = this.#parts;
    const key = `${from} ${probe ?? ''}`;
    const known = this.#errors.get(key);
    if (known !== undefined && Math.abs(nowMs() - known.atMs) < ERROR_AGAIN_MS) return known.error;
    const record = probe === null ? null : this.measured(probe, LONG_RECORD_MS, nowMs());
    const error =
      from === 'forecast'
        ? forecastError(record === null ? [] : comparisonsOf(site, record))
        : persistenceError(record ?? { fromMs: nowMs(), stepMs: RECORD_STEP_MS, milliC: [], humidityMilliPercent: [] });
    this.#errors.set(key, { error, atMs: nowMs() });
    return error;
  }

  /** What a probe measured in the `spanMs` before `untilMs`, at even steps up to there. */
  measured(name: string, spanMs: number, untilMs: number): AirRecord {
    const { site, readings, counts } = this.#parts;
    const fromMs = untilMs - spanMs;
    const probe = site.probes.get(name);
    const temperatures = temperaturesOf(readings, name, probe, fromMs, untilMs + 1, counts);
    const kept = Array.from(temperatures.milliC.keys()).filter((row) => temperatures.milliC[row] !== POWER_ON_MILLI_C);
    const humidity = readings.range(name, HUMIDITY, fromMs, untilMs + 1, counts);
    const grid = { fromMs, stepMs: RECORD_STEP_MS, count: Math.floor(spanMs / RECORD_STEP_MS) + 1 };
    return {
      fromMs,
      stepMs: RECORD_STEP_MS,
      milliC: onGrid(
        grid,
        kept.map((row) => temperatures.atMs[row] as number),
        kept.map((row) => temperatures.milliC[row] as number),
      ),
      humidityMilliPercent: onGrid(grid, humidity.atMs, humidity.value),
    };
  }
}

/** How far off the forecasts were, at some lead times, once they start from what was measured when they were given. */
export function comparisonsOf(site: Pick<SiteState, 'forecasts'>, { fromMs, stepMs, milliC }: AirRecord): Comparison[] {
  const measuredAt = (ms: number) => milliC[Math.round((ms - fromMs) / stepMs)] ?? null;
  const comparisons: Comparison[] = [];
  let lastMs = Number.NEGATIVE_INFINITY;
  for (const forecast of site.forecasts) {
    const givenMs = forecast.recordedMs;
    if (givenMs - lastMs < APART_MS) continue;
    const saidAt = (ms: number) => valueAt(forecast.hours.atMs, forecast.hours.milliC, ms);
    const measuredThen = measuredAt(givenMs);
    const saidThen = saidAt(givenMs);
    const anchorMilliC = measuredThen === null || saidThen === null ? 0 : measuredThen - saidThen;
    for (const leadMs of LEADS_MS) {
      const said = saidAt(givenMs + leadMs);
      const measured = measuredAt(givenMs + leadMs);
      if (said === null || measured === null) continue;
      const anchored = said + anchorMilliC * Math.exp(-leadMs / ANCHOR_MS);
      comparisons.push({ leadMs, errorMilliC: Math.round(measured - anchored), validMs: givenMs + leadMs });
    }
    lastMs = givenMs;
  }
  return comparisons;
}

function valueAt(atMs: readonly number[], values: readonly number[], ms: number): number | null {
  const next = atMs.findIndex((each) => each >= ms);
  if (next < 0) return null;
  if (atMs[next] === ms) return values[next] as number;
  if (next === 0) return null;
  const [beforeMs, afterMs] = [atMs[next - 1] as number, atMs[next] as number];
  const [before, after] = [values[next - 1] as number, values[next] as number];
  return before + ((after - before) * (ms - beforeMs)) / (afterMs - beforeMs);
}
