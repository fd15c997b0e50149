import { type Info, parse } from 'csv-parse/sync';
import { z } from 'zod';
import { CodedError } from '../errors.ts';
import { columnsOf, delimiterOf, UnreadableFile } from '../intake/csv.ts';
import { type RejectedRow, type Row, rowOf } from '../intake/csvRows.ts';
import { notJson } from '../intake/senml.ts';
import { forecastOf, type ReceivedForecast, rowOfHour } from './hours.ts';

/** A forecast of ten days, hour by hour, has about 10 KB. */
export const DOCUMENT_BYTES_MOST = 1024 * 1024;

/** A longer line is none of a forecast, but an unclosed quote or another kind of file. */
const RECORD_SIZE_MOST = 64 * 1024;

const Document = z.strictObject({
  hours: z.array(z.unknown(), 'must be a list of hours'),
  source: z.string('must be text').optional(),
});

const Hour = z
  .strictObject({
    at: z.string('must be a time as text'),
    celsius: z.number('must be a number').optional(),
    fahrenheit: z.number('must be a number').optional(),
    humidity: z.number('must be a number').nullish(),
  })
  .refine(
    ({ celsius, fahrenheit }) => (celsius === undefined) !== (fahrenheit === undefined),
    'name either celsius or fahrenheit',
  );

/**
 * Reads a forecast: `csv` with a header row that names the columns time, celsius or fahrenheit, and humidity if there is one; or
 * `json`: `{"hours":[{"at","celsius" or "fahrenheit","humidity"?}],"source"?}`. Good rows are kept, bad ones named. `name` is what
 * people call it, and its source where it names none itself.
 * @throws CodedError `too-large`; `bad-entry` when it cannot be read or fewer than two of its hours can be used.
 */
export function forecastFrom(text: string, kind: 'csv' | 'json', name: string): ReceivedForecast {
  if (Buffer.byteLength(text) > DOCUMENT_BYTES_MOST)
    throw new CodedError('too-large', `a forecast has at most ${DOCUMENT_BYTES_MOST / 1024} KiB`);
  const plain = text.replace(/^\uFEFF/, '');
  return kind === 'csv' ? fromCsv(plain, name) : fromJson(plain, name);
}

function fromCsv(text: string, name: string): ReceivedForecast {
  const rows: Row[] = [];
  const rejected: RejectedRow[] = [];
  let columns: string[] | null = null;
  try {
    for (const { info, record } of recordsOf(text)) {
      if (columns === null) {
        columns = columnsOf(record);
        continue;
      }
      const row = rowOf(columns, record, info.lines, rejected);
      if (row !== null) rows.push(row);
    }
  } catch (fault) {
    const why = (fault as Error).message;
    throw new CodedError('bad-entry', fault instanceof UnreadableFile ? why : `it cannot be read as CSV: ${why}`);
  }
  return forecastOf(rows, name, rejected);
}

function recordsOf(text: string): { info: Info; record: string[] }[] {
  const records: unknown[] = parse(text, {
    delimiter: delimiterOf(text),
    info: true,
    max_record_size: RECORD_SIZE_MOST,
    relax_column_count: true,
    skip_empty_lines: true,
    trim: true,
  });
  return records as { info: Info; record: string[] }[];
}

function fromJson(text: string, name: string): ReceivedForecast {
  const document = Document.safeParse(parsed(text));
  if (!document.success) {
    const faults = document.error.issues.map(({ path, message }) => ({ path: path.join('.'), message }));
    const told = faults.map(({ path, message }) => (path === '' ? message : `${path}: ${message}`)).join('; ');
    throw new CodedError('bad-entry', `a forecast is {"hours":[{"at","celsius","humidity"}],"source"}: ${told}`, faults);
  }
  const rejected: RejectedRow[] = [];
  const rows = document.data.hours.flatMap((each, index) => {
    const line = index + 1;
    const hour = Hour.safeParse(each);
    if (!hour.success) {
      rejected.push({ line, reason: hour.error.issues.map(({ path, message }) => [...path, message].join(': ')).join('; ') });
      return [];
    }
    const { at, celsius, fahrenheit, humidity } = hour.data;
    const unit = celsius === undefined ? 'fahrenheit' : 'celsius';
    return rowOfHour({ time: at, unit, temperature: celsius ?? fahrenheit, humidity }, line, rejected) ?? [];
  });
  return forecastOf(rows, document.data.source ?? name, rejected);
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch (fault) {
    throw new CodedError('bad-entry', fault instanceof RangeError ? 'it is nested too deep' : notJson(text, fault));
  }
}
