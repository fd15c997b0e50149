import { saturationPascal } from '../dewPoint.ts';
import { exp } from '../exp.ts';
import { HOUR_MS } from '../schedule.ts';
import type { AirOutlook } from './input.ts';

/** The air of a site as it was measured: one value a step, `milliC[0]` at `fromMs`; null: nothing was. */
export interface AirRecord {
  readonly fromMs: number;
  readonly stepMs: number;
  readonly milliC: readonly (number | null)[];
  /** Relative humidity at the same instants, m%RH. */
  readonly humidityMilliPercent: readonly (number | null)[];
}

/** Air to come as somebody forecasts it, in rising order of time. Hours more than 6 h apart have a hole between them. */
export interface Forecast {
  readonly atMs: readonly number[];
  readonly milliC: readonly number[];
  /** Relative humidity, m%RH; null where the forecast names none. */
  readonly humidityMilliPercent: readonly (number | null)[];
}

export interface AirAhead {
  readonly air: AirOutlook;
  readonly from: 'forecast' | 'persistence';
}

const DAY_MS = 24 * HOUR_MS;
/** A forecast counts when it covers the air so far ahead. */
export const NEAR_MS = 3 * HOUR_MS;
/** What was measured longer ago is not what is measured now. */
const FRESH_MS = HOUR_MS;
/** Measurements further apart have a hole between them. */
const HOLE_MS = 3 * HOUR_MS;
/** So do hours of a forecast. */
const FORECAST_HOLE_MS = 6 * HOUR_MS;
/** With less of a record a day's shape cannot be told, nor a forecast's mean difference. */
const LEAST_RECORD_MS = 6 * HOUR_MS;
/** How fast the present difference between site and guess is forgotten. These times, and those above, are our own choice. */
const FORECAST_MEMORY_MS = 6 * HOUR_MS;
/** How fast the site's own last day, which has its own hours of low and high, gives way to a forecast. Chosen by the back-test. */
const OWN_DAY_MEMORY_MS = 12 * HOUR_MS;
const PERSISTENCE_MEMORY_MS = 12 * HOUR_MS;

/**
 * The best guess of the air to come, hour by hour from `nowMs`.
 *
 * A forecast that covers the present (or begins within 3 h) and reaches 3 h ahead is followed. What the site measures now differs
 * from it: that difference fades within hours towards the mean difference over the last day, where they overlap for 6 h at least,
 * else towards none. In a hole of the forecast, and beyond its end, the day before repeats. Where all of the site's own last day was
 * measured, it counts beside the forecast: fully now, hardly at all two days ahead.
 *
 * Otherwise the site's own last day repeats (the mean of the last two where both are whole), shifted to begin at what is measured
 * now; hours of the day that were not measured lie on a straight line between those that were. With less than 6 h of record what
 * was measured last holds on. Null where nothing was measured within the last day.
 *
 * Humidity is the forecast's. Without one the water in the air stays what it was when last measured (in `moist`, where that is
 * another record); it is null where none was.
 */
export function airAhead(
  record: AirRecord | null,
  forecast: Forecast | null,
  nowMs: number,
  horizonMs: number,
  moist: AirRecord | null = record,
): AirAhead | null {
  const count = Math.floor(horizonMs / HOUR_MS) + 1;
  const measured = record === null ? EMPTY : lastDays(record, nowMs);
  const line: Line = { atMs: forecast?.atMs ?? [], values: forecast?.milliC ?? [] };
  const isForecast = forecast !== null && isNear(line, nowMs);
  const lastDay = alongLastDay(measured, record?.stepMs ?? 0, nowMs, count);
  const said = isForecast ? alongForecast(line, measured, nowMs, count) : null;
  const guess =
    said === null || lastDay === null || !isWholeDay(measured, nowMs)
      ? (said ?? lastDay)
      : said.map((value, hour) => value + ((lastDay[hour] as number) - value) * exp((-hour * HOUR_MS) / OWN_DAY_MEMORY_MS));
  if (guess === null) return null;
  const milliC = guess.map((value) => Math.round(Math.min(70_000, Math.max(-60_000, value))));
  const given = isForecast ? humidityGiven(forecast, nowMs, count) : null;
  return {
    air: { fromMs: nowMs, stepMs: HOUR_MS, milliC, humidityMilliPercent: given ?? sameWater(moist, nowMs, milliC) },
    from: isForecast ? 'forecast' : 'persistence',
  };
}

/** One value of an outlook at any instant: on a straight line between two, the first and the last one holding on. */
export function outlookAt({ fromMs, stepMs }: AirOutlook, values: readonly number[], atMs: number): number {
  const place = Math.min(values.length - 1, Math.max(0, (atMs - fromMs) / stepMs));
  const before = values[Math.floor(place)] as number;
  const after = values[Math.ceil(place)] as number;
  return before + (after - before) * (place - Math.floor(place));
}

/** Values at instants in rising order. */
interface Line {
  readonly atMs: readonly number[];
  readonly values: readonly number[];
}
const EMPTY: Line = { atMs: [], values: [] };

/** On the straight line between the two neighbours; null before the first, after the last, and within a hole. */
function valueOn({ atMs, values }: Line, ms: number, holeMs: number): number | null {
  const next = atMs.findIndex((each) => each >= ms);
  if (next < 0) return null;
  const toMs = atMs[next] as number;
  const to = values[next] as number;
  if (toMs === ms) return to;
  const fromMs = atMs[next - 1];
  if (fromMs === undefined || toMs - fromMs > holeMs) return null;
  const from = values[next - 1] as number;
  return from + ((to - from) * (ms - fromMs)) / (toMs - fromMs);
}

/** What was measured in the last two days, and just before, so that their first hour has two neighbours. */
function lastDays({ fromMs, stepMs, milliC }: AirRecord, nowMs: number): Line {
  const atMs: number[] = [];
  const values: number[] = [];
  const first = Math.max(0, Math.ceil((nowMs - 2 * DAY_MS - HOLE_MS - fromMs) / stepMs));
  const last = Math.min(milliC.length - 1, Math.floor((nowMs - fromMs) / stepMs));
  for (let index = first; index <= last; index++) {
    const value = milliC[index] ?? null;
    if (value === null) continue;
    atMs.push(fromMs + index * stepMs);
    values.push(value);
  }
  return { atMs, values };
}

function measuredNow({ atMs, values }: Line, nowMs: number): number | null {
  const newestMs = atMs.at(-1);
  return newestMs === undefined || nowMs - newestMs > FRESH_MS ? null : (values.at(-1) ?? null);
}

function isNear(line: Line, nowMs: number): boolean {
  return valueOn(line, nowMs + NEAR_MS, FORECAST_HOLE_MS) !== null;
}

/** The same line with the present on it: with this value where it has none of its own, without one with that of its next hour. */
function throughNow(line: Line, nowMs: number, value: number | null): Line {
  if (valueOn(line, nowMs, FORECAST_HOLE_MS) !== null) return line;
  const { atMs, values } = line;
  const next = atMs.findIndex((each) => each > nowMs);
  return {
    atMs: [...atMs.slice(0, next), nowMs, ...atMs.slice(next)],
    values: [...values.slice(0, next), value ?? (values[next] as number), ...values.slice(next)],
  };
}

function alongForecast(forecast: Line, measured: Line, nowMs: number, count: number): number[] {
  const fresh = measuredNow(measured, nowMs);
  const given = throughNow(forecast, nowMs, fresh);
  const differences: number[] = [];
  let spanMs = 0;
  measured.atMs.forEach((atMs, index) => {
    const guessed = valueOn(forecast, atMs, FORECAST_HOLE_MS);
    if (guessed === null || atMs <= nowMs - DAY_MS) return;
    differences.push((measured.values[index] as number) - guessed);
    const nextMs = measured.atMs[index + 1] ?? nowMs;
    spanMs += Math.min(nextMs - atMs, HOUR_MS);
  });
  const mean = spanMs < LEAST_RECORD_MS ? 0 : differences.reduce((sum, each) => sum + each, 0) / differences.length;
  const known = (ms: number) => {
    const before = valueOn(measured, ms, HOLE_MS);
    // Taken off here because it is put on all hours below.
    return valueOn(given, ms, FORECAST_HOLE_MS) ?? (before === null ? null : before - mean);
  };
  const hours = goingOn(known, nowMs, count) as number[];
  const present = fresh === null ? mean : fresh - (hours[0] as number);
  return hours.map((value, hour) => value + mean + (present - mean) * exp((-hour * HOUR_MS) / FORECAST_MEMORY_MS));
}

/** Whether every hour of the last day was measured; the record may end a moment before the present. */
function isWholeDay(measured: Line, nowMs: number): boolean {
  return Array.from({ length: 24 }, (_, hour) => valueOn(measured, nowMs - (hour + 1) * HOUR_MS, HOLE_MS)).every(
    (value) => value !== null,
  );
}

function alongLastDay(measured: Line, stepMs: number, nowMs: number, count: number): number[] | null {
  const newestMs = measured.atMs.at(-1);
  const newest = measured.values.at(-1);
  if (newestMs === undefined || newest === undefined || nowMs - newestMs > DAY_MS) return null;
  if (measured.atMs.length * stepMs < LEAST_RECORD_MS) return new Array<number>(count).fill(newest);
  const at = (ms: number) => valueOn(measured, ms, HOLE_MS);
  const twoDays = Array.from({ length: 48 }, (_, hour) => at(nowMs - (hour + 1) * HOUR_MS));
  const areWhole = twoDays.every((value) => value !== null);
  const known = (ms: number) => {
    if (ms >= nowMs) return null;
    const [last, before] = [at(ms), at(ms - DAY_MS)];
    return areWhole && last !== null && before !== null ? (last + before) / 2 : (last ?? before);
  };
  const hours = goingOn(known, nowMs, count);
  // Readings that lie apart so that no hour falls between two of them.
  if (hours === null) return new Array<number>(count).fill(newest);
  const fresh = measuredNow(measured, nowMs);
  const shift = fresh === null ? 0 : fresh - (hours[0] as number);
  return hours.map((value, hour) => value + shift * exp((-hour * HOUR_MS) / PERSISTENCE_MEMORY_MS));
}

/** Hour by hour from the present on: what is known, and where nothing is, the day before once more. Null: nothing is known at all. */
function goingOn(known: (ms: number) => number | null, nowMs: number, count: number): number[] | null {
  const day = Array.from({ length: 24 }, (_, index) => known(nowMs + (index - 24) * HOUR_MS));
  const hours: number[] = [];
  for (let hour = 0; hour < count; hour++) {
    const value = known(nowMs + hour * HOUR_MS) ?? onceMore(day);
    if (value === null) return null;
    hours.push(value);
    day.shift();
    day.push(value);
  }
  return hours;
}

/** The first of 24 hours; where it is not known, on the straight line from the last one that is to the first one that is, a day on. */
function onceMore(day: readonly (number | null)[]): number | null {
  const first = day.findIndex((value) => value !== null);
  const last = day.findLastIndex((value) => value !== null);
  if (first < 0) return null;
  const [from, to] = [day[last] as number, day[first] as number];
  return from + ((to - from) * (24 - last)) / (24 - last + first);
}

function humidityGiven({ atMs, humidityMilliPercent }: Forecast, nowMs: number, count: number): number[] | null {
  const named = atMs.flatMap((ms, index) => {
    const value = humidityMilliPercent[index] ?? null;
    return value === null ? [] : [{ ms, value }];
  });
  const line: Line = { atMs: named.map(({ ms }) => ms), values: named.map(({ value }) => value) };
  if (!isNear(line, nowMs)) return null;
  const given = throughNow(line, nowMs, null);
  const hours = goingOn((ms) => valueOn(given, ms, FORECAST_HOLE_MS), nowMs, count);
  return hours?.map((value) => Math.round(Math.min(100_000, Math.max(0, value)))) ?? null;
}

/** Relative humidity of air that holds the water it held when it was last measured, at these temperatures. */
function sameWater(record: AirRecord | null, nowMs: number, milliC: readonly number[]): number[] | null {
  if (record === null) return null;
  const { fromMs, stepMs } = record;
  const last = Math.min(record.milliC.length - 1, Math.floor((nowMs - fromMs) / stepMs));
  for (let index = last; index >= 0 && nowMs - (fromMs + index * stepMs) <= DAY_MS; index--) {
    const [measured, humidity] = [record.milliC[index] ?? null, record.humidityMilliPercent[index] ?? null];
    if (measured === null || humidity === null) continue;
    const waterPascal = humidity * saturated(measured);
    return milliC.map((value) => Math.round(Math.min(100_000, waterPascal / saturated(value))));
  }
  return null;
}

/** Within the range of the formula, whose ends stand for what lies beyond. */
function saturated(milliC: number): number {
  return saturationPascal(Math.min(60, Math.max(-45, milliC / 1000)));
}
