import jsonpointer from 'jsonpointer';
import { z } from 'zod';
import { CodedError } from '../errors.ts';
import type { RejectedRow } from '../intake/csvRows.ts';
import { iso } from '../site/views/iso.ts';
import { forecastOf, type ReceivedForecast, rowOfHour } from './hours.ts';

const Pointer = z
  .string()
  .max(256, 'use at most 256 characters')
  .regex(/^(?:\/(?:[^~/]|~[01])*)*$/, 'use a JSON Pointer (RFC 6901) such as /hourly/time');

/** Where the hours stand in the JSON of a weather source. */
export const ForecastShape = z
  .strictObject(
    {
      /** A list of hours; the other pointers begin at each of its elements. Left out: they lead to lists of equal length. */
      rows: Pointer.optional(),
      /** ISO 8601 with an offset, or Unix seconds. */
      time: Pointer,
      celsius: Pointer.optional(),
      fahrenheit: Pointer.optional(),
      humidity: Pointer.optional(),
    },
    {
      error: ({ code }) =>
        code === 'invalid_type' ? 'use JSON such as {"rows":"/hourly","time":"/time","celsius":"/temperature"}' : undefined,
    },
  )
  .refine(
    ({ celsius, fahrenheit }) => (celsius === undefined) !== (fahrenheit === undefined),
    'name either celsius or fahrenheit',
  );
export type ForecastShape = z.infer<typeof ForecastShape>;

/** A time in seconds is between 1970 and 2100. */
const UNIX_SECONDS_MOST = 4_102_444_800;

interface Cells {
  readonly time: unknown;
  readonly temperature: unknown;
  readonly humidity: unknown;
}

/**
 * Reads a forecast in another program's JSON. `name` is its source.
 * @throws CodedError `bad-entry` when it has not that shape, or fewer than two of its hours can be used.
 */
export function shapedForecast(shape: ForecastShape, text: string, name: string): ReceivedForecast {
  const rejected: RejectedRow[] = [];
  const unit = shape.celsius === undefined ? 'fahrenheit' : 'celsius';
  const rows = cellsOf(shape, parsed(text)).flatMap(({ time, temperature, humidity }, index) => {
    return rowOfHour({ time: isoOf(time), unit, temperature, humidity }, index + 1, rejected) ?? [];
  });
  return forecastOf(rows, name, rejected);
}

function cellsOf({ rows, time, celsius, fahrenheit, humidity }: ForecastShape, document: unknown): Cells[] {
  const temperature = celsius ?? fahrenheit ?? '';
  if (rows !== undefined)
    return listAt(document, rows).map((row) => ({
      time: valueAt(row, time),
      temperature: valueAt(row, temperature),
      humidity: humidity === undefined ? null : valueAt(row, humidity),
    }));
  const times = listAt(document, time);
  const others = [temperature, ...(humidity === undefined ? [] : [humidity])].map((pointer) => {
    const list = listAt(document, pointer);
    if (list.length !== times.length) throw misshapen(`${pointer} holds ${list.length} values, ${time} ${times.length}`);
    return list;
  });
  return times.map((each, index) => ({ time: each, temperature: others[0]?.[index], humidity: others[1]?.[index] }));
}

function listAt(document: unknown, pointer: string): unknown[] {
  const found = valueAt(document, pointer);
  if (!Array.isArray(found)) throw misshapen(`there is no list at ${pointer === '' ? 'the top' : pointer}`);
  return found;
}

/** What a document holds under a pointer; undefined where there is nothing. */
function valueAt(document: unknown, pointer: string): unknown {
  if (pointer === '') return document;
  return typeof document === 'object' && document !== null ? jsonpointer.get(document, pointer) : undefined;
}

function isoOf(time: unknown): unknown {
  return typeof time === 'number' && time > 0 && time < UNIX_SECONDS_MOST ? iso(Math.round(time * 1000)) : time;
}

/** Objects without what the language adds, so that no pointer finds a `constructor`. */
function parsed(text: string): unknown {
  try {
    return JSON.parse(text, (_key, value: unknown) =>
      typeof value === 'object' && value !== null && !Array.isArray(value) ? Object.assign(Object.create(null), value) : value,
    );
  } catch {
    throw misshapen('it is not JSON');
  }
}

function misshapen(detail: string): CodedError {
  return new CodedError('bad-entry', `the forecast has not the shape that is set: ${detail}`);
}
