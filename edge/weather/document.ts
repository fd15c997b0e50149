import { type Info, parse } from 'csv-parse/sync';
import { columnsOf, delimiterOf, UnreadableFile } from '../intake/csv.ts';
import type { Row } from '../intake/csvRows.ts';
import { notJson, quoted } from '../intake/senml.ts';
import { checkRows, forecastOf, type ReceivedForecast, ROWS_MOST, rowOfHour, rowOfRecord } from './hours.ts';
import { Rejections } from './rejections.ts';
import { UnusableForecast } from './unusable.ts';

/** A forecast of ten days, hour by hour, has about 10 KB. */
export const DOCUMENT_BYTES_MOST = 1024 * 1024;

/** A longer line is none of a forecast, but an unclosed quote or another kind of file. */
const RECORD_SIZE_MOST = 64 * 1024;

/** So much of what a document calls its columns and fields is repeated. */
const TOLD_MOST = 300;

const DOCUMENT_FIELDS: readonly string[] = ['hours', 'source'];
const HOUR_FIELDS: readonly string[] = ['at', 'celsius', 'fahrenheit', 'humidity'];

interface Document {
  readonly hours: readonly unknown[];
  readonly source?: string;
}

interface Hour {
  readonly at: string;
  readonly celsius?: number;
  readonly fahrenheit?: number;
  readonly humidity?: number | null;
}

/**
 * Reads a forecast: `csv` with a header row that names the columns time, celsius or fahrenheit, and humidity if there is one; or
 * `json`: `{"hours":[{"at","celsius" or "fahrenheit","humidity"?}],"source"?}`. Good rows are kept, the first bad ones named. `name`
 * is what people call it, and its source where it names none itself.
 * @throws UnusableForecast `too-large`; `bad-entry` when it cannot be read or fewer than two of its hours can be used.
 */
export function forecastFrom(text: string, kind: 'csv' | 'json', name: string): ReceivedForecast {
  if (Buffer.byteLength(text) > DOCUMENT_BYTES_MOST) {
    const detail = `a forecast has at most ${DOCUMENT_BYTES_MOST / 1024} KiB`;
    throw new UnusableForecast('too-large', detail, detail);
  }
  const plain = text.replace(/^\uFEFF/, '');
  return kind === 'csv' ? fromCsv(plain, name) : fromJson(plain, name);
}

function fromCsv(text: string, name: string): ReceivedForecast {
  const { columns, records } = tableOf(text);
  checkRows(records.length);
  const rejections = new Rejections();
  const rows = function* () {
    for (const { info, record } of records) yield* kept(rowOfRecord(columns, record, info.lines, rejections));
  };
  return forecastOf(rows(), name, rejections);
}

function tableOf(text: string): { columns: string[]; records: { info: Info; record: string[] }[] } {
  try {
    const [header, ...records] = recordsOf(text);
    return { columns: header === undefined ? [] : columnsOf(header.record), records };
  } catch (fault) {
    const why = (fault as Error).message.slice(0, TOLD_MOST);
    const told = fault instanceof UnreadableFile ? why : `it cannot be read as CSV: ${why}`;
    throw new UnusableForecast('bad-entry', told, 'it cannot be read as CSV');
  }
}

/** The header and, where there are more rows than are taken, one more than that. */
function recordsOf(text: string): { info: Info; record: string[] }[] {
  const records: unknown[] = parse(text, {
    delimiter: delimiterOf(text),
    info: true,
    max_record_size: RECORD_SIZE_MOST,
    relax_column_count: true,
    skip_empty_lines: true,
    to: ROWS_MOST + 2,
    trim: true,
  });
  return records as { info: Info; record: string[] }[];
}

/** Checked by hand: a schema takes far longer to say no than to say yes. */
function fromJson(text: string, name: string): ReceivedForecast {
  const { hours, source } = documentIn(text);
  checkRows(hours.length);
  const rejections = new Rejections();
  const rows = function* () {
    for (const [index, hour] of hours.entries()) {
      const line = index + 1;
      const fault = faultOfHour(hour);
      if (fault !== null) {
        rejections.add(line, fault, () => 'it is no {"at","celsius","humidity"}');
        continue;
      }
      const { at, celsius, fahrenheit, humidity } = hour as Hour;
      const unit = celsius === undefined ? 'fahrenheit' : 'celsius';
      yield* kept(rowOfHour({ time: at, unit, temperature: celsius ?? fahrenheit, humidity }, line, rejections));
    }
  };
  return forecastOf(rows(), source ?? name, rejections);
}

function kept(row: Row | null): Row[] {
  return row === null ? [] : [row];
}

function documentIn(text: string): Document {
  const document = parsed(text);
  const form = 'a forecast is {"hours":[{"at","celsius","humidity"}],"source"}';
  if (!isObject(document)) throw new UnusableForecast('bad-entry', form, form);
  const { hours, source } = document;
  if (!Array.isArray(hours)) throw misshapen(form, 'hours', 'must be a list');
  if (source !== undefined && typeof source !== 'string') throw misshapen(form, 'source', 'must be text');
  const stranger = Object.keys(document).find((field) => !DOCUMENT_FIELDS.includes(field));
  if (stranger !== undefined)
    throw new UnusableForecast('bad-entry', `${form}: there is no field ${quoted(stranger)}`, `${form}: it has another field`);
  return { hours, ...(source === undefined ? {} : { source }) };
}

function misshapen(form: string, path: string, message: string): UnusableForecast {
  const detail = `${form}: ${path}: ${message}`;
  return new UnusableForecast('bad-entry', detail, detail, [{ path, message }]);
}

/** Why something is no `Hour`; null: it is one. */
function faultOfHour(hour: unknown): string | null {
  if (!isObject(hour)) return 'it is no object {"at","celsius","humidity"}';
  const stranger = Object.keys(hour).find((field) => !HOUR_FIELDS.includes(field));
  if (stranger !== undefined) return `there is no field ${quoted(stranger)}`;
  const { at, celsius, fahrenheit, humidity } = hour;
  if (typeof at !== 'string') return 'at: must be a time as text';
  const wrong = Object.entries({ celsius, fahrenheit, humidity: humidity ?? undefined }).find(
    ([, value]) => value !== undefined && typeof value !== 'number',
  );
  if (wrong !== undefined) return `${wrong[0]}: must be a number`;
  return (celsius === undefined) === (fahrenheit === undefined) ? 'name either celsius or fahrenheit' : null;
}

function isObject(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch (fault) {
    if (fault instanceof RangeError) throw new UnusableForecast('bad-entry', 'it is nested too deep', 'it is nested too deep');
    throw new UnusableForecast('bad-entry', notJson(text, fault), 'it is not JSON');
  }
}
