import jsonpointer from 'jsonpointer';
import { z } from 'zod';
import { iso } from '../site/views/iso.ts';
import { checkRows, forecastOf, type ReceivedForecast, rowOfHour } from './hours.ts';
import { Rejections } from './rejections.ts';
import { UnusableForecast } from './unusable.ts';

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
 * @throws UnusableForecast `too-large`; `bad-entry` when it has not that shape, or fewer than two of its hours can be used.
 */
export function shapedForecast(shape: ForecastShape, text: string, name: string): ReceivedForecast {
  const rejections = new Rejections();
  const unit = shape.celsius === undefined ? 'fahrenheit' : 'celsius';
  const hours = cellsOf(shape, parsed(text));
  const rows = function* () {
    for (const [index, { time, temperature, humidity }] of hours.entries()) {
      const row = rowOfHour({ time: isoOf(time), unit, temperature, humidity }, index + 1, rejections);
      if (row !== null) yield row;
    }
  };
  return forecastOf(rows(), name, rejections);
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
  checkRows(found.length);
  return found;
}

/** What a document holds under a pointer; undefined where there is nothing, or only what the language adds to every object. */
function valueAt(document: unknown, pointer: string): unknown {
  if (pointer === '') return document;
  const found: unknown = typeof document === 'object' && document !== null ? jsonpointer.get(document, pointer) : undefined;
  return typeof found === 'function' ? undefined : found;
}

function isoOf(time: unknown): unknown {
  return typeof time === 'number' && time > 0 && time < UNIX_SECONDS_MOST ? iso(Math.round(time * 1000)) : time;
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    throw misshapen('it is not JSON');
  }
}

/** `detail` speaks of the pointers that are set, not of what the document holds. */
function misshapen(detail: string): UnusableForecast {
  const told = `the forecast has not the shape that is set: ${detail}`;
  return new UnusableForecast('bad-entry', told, told);
}
