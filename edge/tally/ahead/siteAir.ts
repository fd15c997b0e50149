import { POWER_ON_MILLI_C } from '../../cure/inspect/powerOn.ts';
import { type AirRecord, airAhead, type Forecast } from '../../cure/outlook/air.ts';
import { type Comparison, forecastError, persistenceError } from '../../cure/outlook/airError.ts';
import type { AirError, AirOutlook } from '../../cure/outlook/input.ts';
import { HORIZON_MS } from '../../cure/outlook/project.ts';
import { stitched } from '../../cure/outlook/stitched.ts';
import { HOUR_MS } from '../../cure/schedule.ts';
import type { Readings } from '../../ledger/readings.ts';
import type { SiteState } from '../../site/state/site.ts';
import { type Counts, HUMIDITY, RESISTANCE, type ReadingSource, TEMPERATURE, temperaturesOf } from '../values.ts';
import { onGrid } from './grid.ts';
import { RecentReadings } from './recentReadings.ts';

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
/** So long a look at the air may read on in the long record. */
const LONG_INLINE_MS = 20;
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
  /** What was said lately, of whatever quantity. */
  readonly recent: RecentReadings;
  readonly #readings: ReadingSource;
  readonly #records = new Map<string, { readonly record: AirRecord; readonly atMs: number; untilMs: number }>();
  #said: { readonly grounds: string; readonly forecast: Forecast } = { grounds: '0', forecast: stitched([]) };
  readonly #errors = new Map<string, { readonly error: AirError; readonly atMs: number }>();
  /** Probes whose whole long record has been read, as far as it is asked for. */
  readonly #whole = new Set<string>();

  constructor(parts: SiteAirParts) {
    this.#parts = parts;
    this.recent = new RecentReadings(parts.readings, parts.counts, parts.nowMs);
    this.#readings = this.recent;
  }

  /**
   * The ambient probe that stands for the air about the whole site: the first registered one that has spoken within the last hour;
   * where none has, the first of all; null: there is none.
   */
  get probe(): string | null {
    const ambient = [...this.#parts.site.probes.values()].filter(({ role }) => role === 'ambient').map(({ probe }) => probe);
    return ambient.find((probe) => this.isHeard(probe, HOUR_MS)) ?? ambient[0] ?? null;
  }

  /** Whether anything was measured by a probe in the last `withinMs`. */
  isHeard(probe: string, withinMs: number): boolean {
    const { milliC } = this.record(probe);
    return milliC.slice(-1 - Math.floor(withinMs / RECORD_STEP_MS)).some((value) => value !== null);
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

  /** To be called when readings of a source came that were measured a while ago, from `sinceMs` on. */
  late(source: string, sinceMs: number): void {
    this.recent.late(source, sinceMs);
    const known = this.#records.get(source);
    if (known === undefined) return;
    known.untilMs = Math.min(known.untilMs, this.#parts.nowMs() + LATE_AGAIN_MS);
  }

  /** To be called when it has changed what counts. */
  forget(): void {
    this.recent.forget();
    this.#records.clear();
    this.#errors.clear();
    this.#whole.clear();
  }

  /** Reads on in the long records of the air, which tell how wrong guesses were, until `endMs`. */
  round(endMs: number): void {
    for (const key of this.#errors.keys()) {
      const probe = key.slice(key.indexOf(' ') + 1);
      if (probe === '' || this.#whole.has(probe)) continue;
      if (!this.#reached(probe, endMs)) return;
      this.#whole.add(probe);
      for (const each of [...this.#errors.keys()]) if (each.endsWith(` ${probe}`)) this.#errors.delete(each);
    }
  }

  /** Whether all of a probe's long record is there. */
  #reached(probe: string, endMs: number): boolean {
    const { nowMs } = this.#parts;
    const fromMs = nowMs() - LONG_RECORD_MS;
    for (const quantity of [TEMPERATURE, RESISTANCE]) {
      while (!this.recent.reach(probe, quantity, fromMs)) if (nowMs() >= endMs) return false;
    }
    return true;
  }

  /** The air to come at a probe; at none, that of the forecast alone. Null: nothing to go by. */
  ahead(probe: string | null): AirAhead | null {
    const nowMs = this.#parts.nowMs();
    const record = probe === null ? null : this.record(probe);
    const ahead = airAhead(record, this.forecast(), nowMs, HORIZON_MS);
    return ahead && { ...ahead, error: this.#error(probe, ahead.from) };
  }

  /** What all forecasts say together; null: nothing. */
  forecast(): Forecast | null {
    const { forecasts } = this.#parts.site;
    // A forecast that comes makes the newest another one, one that is taken back makes them fewer.
    const grounds = `${forecasts.length} ${forecasts.at(-1)?.seq}`;
    if (this.#said.grounds !== grounds) this.#said = { grounds, forecast: stitched(forecasts) };
    const { forecast } = this.#said;
    return forecast.atMs.length < 2 ? null : forecast;
  }

  #error(probe: string | null, from: 'forecast' | 'persistence'): AirError {
    const { nowMs, site } = this.#parts;
    const key = `${from} ${probe ?? ''}`;
    const known = this.#errors.get(key);
    if (known !== undefined && Math.abs(nowMs() - known.atMs) < ERROR_AGAIN_MS) return known.error;
    const record = probe === null ? null : this.#longRecord(probe);
    const error =
      from === 'forecast'
        ? forecastError(record === null ? [] : comparisonsOf(site, record))
        : persistenceError(record ?? { fromMs: nowMs(), stepMs: RECORD_STEP_MS, milliC: [], humidityMilliPercent: [] });
    this.#errors.set(key, { error, atMs: nowMs() });
    return error;
  }

  /** As far as it has been read; what is missing follows when nobody waits for it. */
  #longRecord(probe: string): AirRecord {
    const nowMs = this.#parts.nowMs();
    if (this.#reached(probe, nowMs + LONG_INLINE_MS)) this.#whole.add(probe);
    const knownMs = Math.min(
      ...[TEMPERATURE, RESISTANCE].map((quantity) => nowMs - (this.recent.knownFromMs(probe, quantity) ?? nowMs)),
    );
    const spanMs = Math.max(RECORD_MS, Math.min(LONG_RECORD_MS, Math.floor(knownMs / RECORD_STEP_MS) * RECORD_STEP_MS));
    const { fromMs, milliC } = this.#temperatures(probe, spanMs, nowMs);
    return { fromMs, stepMs: RECORD_STEP_MS, milliC, humidityMilliPercent: [] };
  }

  /** What a probe measured in the `spanMs` before `untilMs`, at even steps up to there. */
  measured(name: string, spanMs: number, untilMs: number): AirRecord {
    const { fromMs, grid, milliC } = this.#temperatures(name, spanMs, untilMs);
    const humidity = this.recent.range(name, HUMIDITY, fromMs, untilMs + 1);
    return { fromMs, stepMs: RECORD_STEP_MS, milliC, humidityMilliPercent: onGrid(grid, humidity.atMs, humidity.value) };
  }

  #temperatures(name: string, spanMs: number, untilMs: number) {
    const { site, counts } = this.#parts;
    const fromMs = untilMs - spanMs;
    const { atMs, milliC } = temperaturesOf(this.#readings, name, site.probes.get(name), fromMs, untilMs + 1, counts);
    const kept = Array.from(milliC.keys()).filter((row) => milliC[row] !== POWER_ON_MILLI_C);
    const grid = { fromMs, stepMs: RECORD_STEP_MS, count: Math.floor(spanMs / RECORD_STEP_MS) + 1 };
    const onIt = onGrid(
      grid,
      kept.map((row) => atMs[row] as number),
      kept.map((row) => milliC[row] as number),
    );
    return { fromMs, grid, milliC: onIt };
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
