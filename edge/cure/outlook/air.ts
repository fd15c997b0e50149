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

/** Air to come as somebody forecasts it, in rising order of time. */
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
/** A forecast counts when it begins no later than this, and reaches at least as far. */
const NEAR_MS = 3 * HOUR_MS;
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
 * else towards none. Beyond its end the forecast's last day repeats. Where all of the site's own last day was
 * measured, it counts beside the forecast: fully now, hardly at all two days ahead.
 *
 * Otherwise the site's own last day repeats (the mean of the last two where both are whole), shifted to begin at what is measured
 * now; hours of the day that were not measured lie on a straight line between those that were. With less than 6 h of record what
 * was measured last holds on. Null where nothing was measured within the last day.
 *
 * Humidity is the forecast's. Without one the water in the air stays what it was when last measured; it is null where none was.
 */
export function airAhead(record: AirRecord | null, forecast: Forecast | null, nowMs: number, horizonMs: number): AirAhead | null {
  const count = Math.floor(horizonMs / HOUR_MS) + 1;
  const measured = record === null ? EMPTY : lastDays(record, nowMs);
  const isForecast = forecast !== null && isNear(forecast.atMs, nowMs);
  const lastDay = alongLastDay(measured, record?.stepMs ?? 0, nowMs, count);
  const said = isForecast ? alongForecast({ atMs: forecast.atMs, values: forecast.milliC }, measured, nowMs, count) : null;
  const guess =
    said === null || lastDay === null || !isWholeDay(measured, nowMs)
      ? (said ?? lastDay)
      : said.map((value, hour) => value + ((lastDay[hour] as number) - value) * exp((-hour * HOUR_MS) / OWN_DAY_MEMORY_MS));
  if (guess === null) return null;
  const milliC = guess.map((value) => Math.round(Math.min(70_000, Math.max(-60_000, value))));
  const given = isForecast ? humidityGiven(forecast, nowMs, count) : null;
  return {
    air: { fromMs: nowMs, stepMs: HOUR_MS, milliC, humidityMilliPercent: given ?? sameWater(record, nowMs, milliC) },
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

function isNear(atMs: readonly number[], nowMs: number): boolean {
  const [firstMs, lastMs] = [atMs[0], atMs.at(-1)];
  return firstMs !== undefined && lastMs !== undefined && firstMs <= nowMs + NEAR_MS && lastMs >= nowMs + NEAR_MS;
}

/** The same line, begun at the present with this value where it begins later. */
function begunAt({ atMs, values }: Line, nowMs: number, value: number): Line {
  return (atMs[0] as number) <= nowMs ? { atMs, values } : { atMs: [nowMs, ...atMs], values: [value, ...values] };
}

function alongForecast(forecast: Line, measured: Line, nowMs: number, count: number): number[] {
  const fresh = measuredNow(measured, nowMs);
  const given = begunAt(forecast, nowMs, fresh ?? (forecast.values[0] as number));
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
  const hours = goingOn(known, nowMs, given.atMs.at(-1) as number, count) as number[];
  const present = fresh === null ? mean : fresh - (hours[0] as number);
  return hours.map((value, hour) => value + mean + (present - mean) * exp((-hour * HOUR_MS) / FORECAST_MEMORY_MS));
}

/** Whether every hour of the last day was measured. */
function isWholeDay(measured: Line, nowMs: number): boolean {
  return Array.from({ length: 24 }, (_, hour) => valueOn(measured, nowMs - hour * HOUR_MS, HOLE_MS)).every(
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
    const [last, before] = [at(ms), at(ms - DAY_MS)];
    return areWhole && last !== null && before !== null ? (last + before) / 2 : (last ?? before);
  };
  const hours = goingOn(known, nowMs, nowMs - HOUR_MS, count);
  // Readings that lie apart so that no hour falls between two of them.
  if (hours === null) return new Array<number>(count).fill(newest);
  const fresh = measuredNow(measured, nowMs);
  const shift = fresh === null ? 0 : fresh - (hours[0] as number);
  return hours.map((value, hour) => value + shift * exp((-hour * HOUR_MS) / PERSISTENCE_MEMORY_MS));
}

/** Hour by hour from the present on: what is known up to `untilMs`, and from there its last day again and again. */
function goingOn(known: (ms: number) => number | null, nowMs: number, untilMs: number, count: number): number[] | null {
  const last = Math.floor((untilMs - nowMs) / HOUR_MS);
  const day = new Array<number | null>(24).fill(null);
  for (let hour = last - 23; hour <= last; hour++) day[(hour + 48) % 24] = known(nowMs + hour * HOUR_MS);
  const whole = roundTheClock(day);
  if (whole === null) return null;
  return Array.from({ length: count }, (_, hour) => {
    const value = hour <= last ? known(nowMs + hour * HOUR_MS) : null;
    return value ?? (whole[hour % 24] as number);
  });
}

/** Hours of the day that are not known lie on a straight line between those that are. */
function roundTheClock(day: readonly (number | null)[]): number[] | null {
  const found = (hour: number, way: 1 | -1) => {
    for (let away = 0; away < 24; away++) {
      const value = day[(hour + way * away + 24) % 24] ?? null;
      if (value !== null) return { away, value };
    }
    return null;
  };
  const whole: number[] = [];
  for (let hour = 0; hour < 24; hour++) {
    const [before, after] = [found(hour, -1), found(hour, 1)];
    if (before === null || after === null) return null;
    const apart = before.away + after.away;
    whole.push(apart === 0 ? before.value : before.value + ((after.value - before.value) * before.away) / apart);
  }
  return whole;
}

function humidityGiven({ atMs, humidityMilliPercent }: Forecast, nowMs: number, count: number): number[] | null {
  const named = atMs.flatMap((ms, index) => {
    const value = humidityMilliPercent[index] ?? null;
    return value === null ? [] : [{ ms, value }];
  });
  const line: Line = { atMs: named.map(({ ms }) => ms), values: named.map(({ value }) => value) };
  if (!isNear(line.atMs, nowMs)) return null;
  const given = begunAt(line, nowMs, line.values[0] as number);
  const hours = goingOn((ms) => valueOn(given, ms, FORECAST_HOLE_MS), nowMs, given.atMs.at(-1) as number, count);
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
