import { HOUR_MS } from '../cure/schedule.ts';
import { type RejectedRow, type Row, rowOf } from '../intake/csvRows.ts';
import { instantOf } from '../intake/instant.ts';
import type { Statement } from '../site/entries.ts';
import { FORECAST_HOURS_MOST } from '../site/said/tomorrow.ts';
import { iso } from '../site/views/iso.ts';
import type { Rejection, Rejections } from './rejections.ts';
import { UnusableForecast } from './unusable.ts';

/** Hours as a `forecast.given` holds them. */
export type ForecastHours = Extract<Statement, { kind: 'forecast.given' }>['hours'];

/** A forecast that somebody sent, as far as it can be used. */
export interface ReceivedForecast {
  readonly hours: ForecastHours;
  /** Where it comes from, in words. */
  readonly source: string;
  /** The first of what cannot be used. `line`: of the file, or the place in the list, counted from 1. */
  readonly rejected: readonly RejectedRow[];
  readonly rejectedTotal: number;
}

/** One hour as it was written. */
export interface WrittenHour {
  /** ISO 8601 with an offset. */
  readonly time: unknown;
  readonly unit: 'celsius' | 'fahrenheit';
  readonly temperature: unknown;
  /** %RH; undefined or null: none. */
  readonly humidity?: unknown;
}

/** A week of minutes. Each row is judged, and that holds everybody up. */
export const ROWS_MOST = 10_000;

const HOTTEST_MILLI_C = 60_000;
const SATURATED_MILLI_RH = 100_000;
const SOURCE_LENGTH_MOST = 120;
const FAULTS_TOLD = 5;
/** So much of what was sent is repeated in what is said about it. */
const WRITTEN_LENGTH_MOST = 60;

/** @throws UnusableForecast `too-large`. */
export function checkRows(count: number): void {
  if (count <= ROWS_MOST) return;
  const detail = `a forecast has at most ${ROWS_MOST} rows`;
  throw new UnusableForecast('too-large', detail, detail);
}

/** The row that an hour of a list is; null when it cannot count, with the reason among those rejected. */
export function rowOfHour(hour: WrittenHour, line: number, rejections: Rejections): Row | null {
  const record = [hour.time, hour.temperature, hour.humidity].map(written);
  return rowOfRecord(['time', hour.unit, 'humidity'], record, line, rejections);
}

/** The row that a record is; null when it cannot count, with the reason among those rejected. */
export function rowOfRecord(
  columns: readonly string[],
  record: readonly string[],
  line: number,
  rejections: Rejections,
): Row | null {
  const faults: RejectedRow[] = [];
  const row = rowOf(columns, record, line, faults);
  for (const { reason } of faults)
    rejections.add(line, reason, () =>
      row === null ? plainFault(record[columns.indexOf('time')] ?? '') : 'its humidity is none',
    );
  return row;
}

function plainFault(time: string): string {
  if ('ms' in instantOf(time)) return 'its temperature is none';
  return 'ms' in instantOf(`${time}Z`) ? 'its time has no offset' : 'its time is not ISO 8601 with an offset';
}

/** Numbers and texts as they are; anything else becomes a text that is no number. */
function written(value: unknown): string {
  if (value === undefined || value === null) return '';
  const text = typeof value === 'number' || typeof value === 'string' ? String(value) : String(JSON.stringify(value));
  return text.slice(0, WRITTEN_LENGTH_MOST);
}

/**
 * What can be used of rows in the order of the sender, who has to put them in order: one that does not come after those before it
 * is named. Rows that are closer than needed are thinned to the first of each hour when there are more than a forecast holds.
 * @throws UnusableForecast `bad-entry` with the first of what is wrong, when fewer than two hours are left.
 */
export function forecastOf(rows: Iterable<Row>, source: string, rejections: Rejections): ReceivedForecast {
  const usable: Row[] = [];
  for (const row of rows) {
    const fault = faultOf(row, usable.at(-1));
    if (fault === null) usable.push(row);
    else rejections.add(row.line, fault.reason, () => fault.plain);
  }
  const thinned = usable.length > FORECAST_HOURS_MOST ? firstOfEachHour(usable) : usable;
  const beyond = thinned[FORECAST_HOURS_MOST];
  if (beyond !== undefined) {
    const reason = `a forecast holds ${FORECAST_HOURS_MOST} hours; this one and those after it are left out`;
    rejections.add(beyond.line, reason, () => reason);
  }
  if (usable.length < 2) throw unusable(rejections);
  return {
    hours: thinned.slice(0, FORECAST_HOURS_MOST).map(hourOf),
    source: labelOf(source),
    rejected: rejections.first.map(({ line, reason }) => ({ line, reason })),
    rejectedTotal: rejections.total,
  };
}

/** Whether each of `hours` stands in `known` just so: then it is no news, although some that have passed may be missing. */
export function isNoNews(hours: ForecastHours, known: ForecastHours): boolean {
  const before = new Map(known.map(({ at, celsius, humidity }) => [Date.parse(at), { celsius, humidity }]));
  return hours.every(({ at, celsius, humidity }) => {
    const same = before.get(Date.parse(at));
    return same !== undefined && same.celsius === celsius && same.humidity === humidity;
  });
}

/** The beginning of what is wrong with `total` rows, as one sentence. */
export function toldOf(rejected: readonly RejectedRow[], total: number): string {
  const told = rejected.slice(0, FAULTS_TOLD).map(({ line, reason }) => `line ${line}: ${reason}`);
  return told.join('; ') + (total > told.length ? ` (and ${total - told.length} more)` : '');
}

function unusable({ first, total }: Rejections): UnusableForecast {
  const needed = 'a forecast needs at least two hours that can be used';
  const told = (rejected: readonly RejectedRow[]) => (total === 0 ? needed : `${needed}: ${toldOf(rejected, total)}`);
  return new UnusableForecast(
    'bad-entry',
    told(first),
    told(first.map(({ line, plain }) => ({ line, reason: plain }))),
    first.slice(0, FAULTS_TOLD).map(({ line, reason }) => ({ path: `line ${line}`, message: reason })),
  );
}

function faultOf({ atMs, milliC }: Row, before: Row | undefined): Omit<Rejection, 'line'> | null {
  if (milliC > HOTTEST_MILLI_C)
    return { reason: `${milliC / 1000} °C lies outside −60 … 60 °C`, plain: 'its temperature lies outside −60 … 60 °C' };
  if (before === undefined || atMs > before.atMs) return null;
  const reason = `its time is not after that of line ${before.line}`;
  return { reason, plain: reason };
}

function firstOfEachHour(rows: readonly Row[]): Row[] {
  let last = Number.NEGATIVE_INFINITY;
  return rows.filter(({ atMs }) => {
    const hour = Math.floor(atMs / HOUR_MS);
    const isFirst = hour > last;
    last = hour;
    return isFirst;
  });
}

function hourOf({ atMs, milliC, milliRh }: Row): ForecastHours[number] {
  const hour = { at: iso(atMs), celsius: milliC / 1000 };
  return milliRh === null ? hour : { ...hour, humidity: Math.min(milliRh, SATURATED_MILLI_RH) / 1000 };
}

/** As a label may be: no blanks at its ends, not empty, not too long. */
function labelOf(source: string): string {
  const label = source.trim().slice(0, SOURCE_LENGTH_MOST).toWellFormed().trim();
  return label === '' ? 'forecast' : label;
}
