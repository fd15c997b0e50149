import jsonpointer from 'jsonpointer';
import type { MappedField, Mapping } from '../site/mapping.ts';
import { instantOf } from './instant.ts';
import { ABSOLUTE_TIME_SECONDS_MIN, notJson, quoted, type SenmlRecord } from './senml.ts';

export interface MappedRecords {
  readonly records: readonly SenmlRecord[];
  /** What could not be read, each in words that name the pointer and what was found there. */
  readonly faults: readonly string[];
}

/** A number that is written as text: no exponent, no blanks, no thousands, no decimal comma. */
const PLAIN_DECIMAL = /^[+-]?(?:\d+(?:\.\d+)?|\.\d+)$/;

/**
 * Reads a message of another device: its values become SenML records, converted to SenML's units. A field that cannot be read is
 * a fault and does not keep out the others; a time that cannot be read keeps out all, because when they were measured nobody knows.
 * Left to the caller: the size of `payloadText`, and whether the values and times are plausible.
 */
export function applyMapping(mapping: Mapping, payloadText: string): MappedRecords {
  let document: unknown;
  try {
    document = JSON.parse(payloadText, withoutPrototype);
  } catch (fault) {
    const detail = fault instanceof RangeError ? 'the payload is nested too deep' : notJson(payloadText, fault);
    return { records: [], faults: [detail] };
  }
  const timeSeconds = mapping.time === undefined ? 0 : secondsAt(document, mapping.time);
  if (typeof timeSeconds === 'string') return { records: [], faults: [`time: ${timeSeconds}`] };

  const records: SenmlRecord[] = [];
  const faults: string[] = [];
  for (const field of mapping.fields) {
    const found = numberAt(document, field.pointer);
    if (typeof found === 'string') faults.push(`${field.quantity}: ${found}`);
    else records.push(recordOf(field, found, timeSeconds));
  }
  return { records, faults };
}

function recordOf(field: MappedField, found: number, timeSeconds: number): SenmlRecord {
  const { unit, value } = inSenmlUnit(field, found);
  return { name: field.quantity, unit, value, text: null, flag: null, data: null, sum: null, timeSeconds };
}

/** Units as in RFC 8428 section 12.1. An inch is 0.0254 m exactly. */
function inSenmlUnit({ quantity, unit }: MappedField, value: number): { readonly unit: string; readonly value: number } {
  switch (unit) {
    case 'Far':
      return { unit: 'Cel', value: ((value - 32) * 5) / 9 };
    case 'K':
      return { unit: 'Cel', value: value - 273.15 };
    case '%':
      return { unit: quantity === 'humidity' ? '%RH' : '%EL', value };
    case 'mV':
      return { unit: 'V', value: value / 1000 };
    case 'kOhm':
      return { unit: 'Ohm', value: value * 1000 };
    case 'mm':
      return { unit: 'm', value: value / 1000 };
    case 'cm':
      return { unit: 'm', value: value / 100 };
    case 'in':
      return { unit: 'm', value: value * 0.0254 };
    default:
      return { unit, value };
  }
}

/** Seconds since 1970 UTC, or what is wrong with the time. */
function secondsAt(document: unknown, { pointer, format }: NonNullable<Mapping['time']>): number | string {
  const seconds = format === 'iso' ? isoSecondsAt(document, pointer) : numberAt(document, pointer);
  if (typeof seconds === 'string') return seconds;
  const absolute = format === 'unix-milliseconds' ? seconds / 1000 : seconds;
  // To SenML a smaller one would count from the arrival.
  if (absolute < ABSOLUTE_TIME_SECONDS_MIN)
    return `${placeOf(pointer)} holds a time before July 1978; set the clock of the device, or look at the format (${format})`;
  return absolute;
}

function isoSecondsAt(document: unknown, pointer: string): number | string {
  const found = valueAt(document, pointer);
  if (typeof found !== 'string') return `${foundAt(pointer, found)}, where a time as text is expected`;
  const instant = instantOf(found);
  return 'ms' in instant ? instant.ms / 1000 : `${foundAt(pointer, found)}, which is no ISO 8601 time with an offset`;
}

function numberAt(document: unknown, pointer: string): number | string {
  const found = valueAt(document, pointer);
  if (typeof found === 'string' && !PLAIN_DECIMAL.test(found))
    return `${foundAt(pointer, found)}; a number that is written as text must be a plain decimal, such as "21.5"`;
  if (typeof found !== 'string' && typeof found !== 'number') return `${foundAt(pointer, found)}, where a number is expected`;
  const value = Number(found);
  return Number.isFinite(value) ? value : `${placeOf(pointer)} holds a number beyond the range of a double`;
}

/** What a document holds under a pointer; undefined where there is nothing. */
function valueAt(document: unknown, pointer: string): unknown {
  if (pointer === '') return document;
  return typeof document === 'object' && document !== null ? jsonpointer.get(document, pointer) : undefined;
}

/**
 * Every object and array becomes an object that has what the JSON says and nothing that the language adds, so that no pointer
 * finds a `constructor` or the `length` of an array.
 */
function withoutPrototype(_key: string, value: unknown): unknown {
  return typeof value === 'object' && value !== null ? Object.assign(Object.create(null), value) : value;
}

function placeOf(pointer: string): string {
  return pointer === '' ? 'the message' : quoted(pointer);
}

function foundAt(pointer: string, found: unknown): string {
  const place = placeOf(pointer);
  if (found === undefined) return `${place} is not there`;
  if (typeof found === 'string') return `${place} holds the text ${quoted(found)}`;
  return `${place} holds ${typeof found === 'object' && found !== null ? 'an object or array' : found}`;
}
