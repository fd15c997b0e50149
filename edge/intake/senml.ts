/** Sections named in this file are those of RFC 8428, Sensor Measurement Lists (SenML), in its JSON form. */

/** One resolved record (section 4.6): base fields are applied, what the sender left out is null. */
export interface SenmlRecord {
  readonly name: string;
  readonly unit: string | null;
  /** `v`, in `unit`. */
  readonly value: number | null;
  /** `vs`. */
  readonly text: string | null;
  /** `vb`. */
  readonly flag: boolean | null;
  /** `vd`: base64 with the URL-safe alphabet, no padding. */
  readonly data: string | null;
  /** `s`, in `unit` times seconds. */
  readonly sum: number | null;
  /** Seconds since 1970 UTC from `ABSOLUTE_TIME_SECONDS_MIN` on; below it relative to the arrival of the pack (section 4.5.3). */
  readonly timeSeconds: number;
}

export type SenmlResult =
  | { readonly ok: true; readonly records: readonly SenmlRecord[] }
  | { readonly ok: false; readonly detail: string };

/** Smallest absolute time, seconds since 1970 UTC (section 4.5.3). */
export const ABSOLUTE_TIME_SECONDS_MIN = 2 ** 28;

/** A pack with more records is refused whole. A week of a reading a minute almost fits (10 080). */
export const RECORDS_MAX = 10_000;

/** Longest resolved name. Unbounded, a long base name would be multiplied by the number of records: gigabytes from one message. */
export const NAME_LENGTH_MAX = 255;

/** The version of this document, meant too when a pack names none (section 4.1), and the highest one understood. */
const VERSION = 10;

/** Section 4.5.1. */
const NAME = /^[A-Za-z0-9][A-Za-z0-9:./_-]*$/;

/** Note under table 1 of section 4.3. A last group of one character cannot come from whole bytes. */
const BASE64_URL = /^(?:[A-Za-z0-9_-]{4})*(?:[A-Za-z0-9_-]{2,3})?$/;

/** Longest stretch of the sender's own text that a detail repeats. */
const QUOTE_LENGTH_MAX = 60;

/** Table 2 of section 5: every label that is understood, with the JSON type of its value. */
const TYPE_OF_LABEL = new Map<string, 'string' | 'number' | 'boolean'>([
  ['bn', 'string'],
  ['bt', 'number'],
  ['bu', 'string'],
  ['bv', 'number'],
  ['bs', 'number'],
  ['bver', 'number'],
  ['n', 'string'],
  ['u', 'string'],
  ['v', 'number'],
  ['vs', 'string'],
  ['vb', 'boolean'],
  ['vd', 'string'],
  ['s', 'number'],
  ['t', 'number'],
  ['ut', 'number'],
]);

const VALUE_LABELS = ['v', 'vs', 'vb', 'vd'] as const;

/** A record whose known labels hold the types of `TYPE_OF_LABEL`. Update time (`ut`) has no place in a resolved record. */
interface Fields {
  readonly bn?: string;
  readonly bt?: number;
  readonly bu?: string;
  readonly bv?: number;
  readonly bs?: number;
  readonly bver?: number;
  readonly n?: string;
  readonly u?: string;
  readonly v?: number | null;
  readonly vs?: string;
  readonly vb?: boolean;
  readonly vd?: string;
  readonly s?: number;
  readonly t?: number;
  readonly ut?: number;
}

/** The base fields in force: each holds until a later record replaces it (section 4). */
interface Base {
  name: string;
  timeSeconds: number;
  unit: string | null;
  value: number;
  /** Null until a base sum comes: without one, a record without a sum has none (section 4.5.4). */
  sum: number | null;
  version: number;
}

/**
 * Reads a JSON pack and resolves its records, in the order of the pack. One fault refuses the whole pack, since later records
 * lean on the base fields of earlier ones. `detail` names the record (counted from 0), the field and what would be right.
 *
 * Left to the caller: the size of `text`; making relative times absolute and the order in time that section 4.6 asks for, since
 * both need the arrival. Left to the JSON parser: a key that stands twice (the last one counts), an exponent written with a
 * capital E (section 5 forbids senders to, the number is clear all the same), and nesting of any depth, which no known field may
 * hold and which is ignored in unknown ones. Time spans beyond reason are left to whoever knows the quantity.
 */
export function resolveSenml(text: string): SenmlResult {
  let pack: unknown;
  try {
    pack = JSON.parse(text);
  } catch (error) {
    return { ok: false, detail: notJson(text, error) };
  }
  if (!Array.isArray(pack)) {
    return {
      ok: false,
      detail: `the payload must be a JSON array of records, such as [{"n":"temperature","u":"Cel","v":21.5}]; got ${typeName(pack)}`,
    };
  }
  if (pack.length === 0) return { ok: false, detail: 'the pack holds no record; send one or more (section 3 of RFC 8428)' };
  if (pack.length > RECORDS_MAX) {
    return { ok: false, detail: `the pack holds ${pack.length} records; send at most ${RECORDS_MAX} at a time` };
  }

  const base: Base = { name: '', timeSeconds: 0, unit: null, value: 0, sum: null, version: VERSION };
  const records: SenmlRecord[] = [];
  for (let index = 0; index < pack.length; index++) {
    const candidate: unknown = pack[index];
    const fault = faultOfTypes(candidate) ?? resolve(candidate as Fields, index === 0, base, records);
    if (fault !== null) return { ok: false, detail: `record ${index}: ${fault}` };
  }
  return { ok: true, records };
}

/** Applies the base fields and adds the record to `records`. Returns what is wrong, or null. */
function resolve(fields: Fields, isFirst: boolean, base: Base, records: SenmlRecord[]): string | null {
  if (fields.bn !== undefined) base.name = fields.bn;
  if (fields.bt !== undefined) base.timeSeconds = fields.bt;
  if (fields.bu !== undefined) base.unit = fields.bu;
  if (fields.bv !== undefined) base.value = fields.bv;
  if (fields.bs !== undefined) base.sum = fields.bs;
  if (fields.bver !== undefined) {
    const fault = faultOfVersion(fields.bver, isFirst, base.version);
    if (fault !== null) return fault;
    base.version = fields.bver;
  }

  if (setsOnlyBase(fields)) return null;
  const valueFault = faultOfValue(fields);
  if (valueFault !== null) return valueFault;
  const ownName = fields.n ?? '';
  const nameLength = base.name.length + ownName.length;
  if (nameLength > NAME_LENGTH_MAX)
    return `"bn" and "n" together are ${nameLength} characters long; at most ${NAME_LENGTH_MAX} are taken`;
  const name = base.name + ownName;
  if (!NAME.test(name)) return faultOfName(name);
  if (fields.vd !== undefined && !BASE64_URL.test(fields.vd)) {
    return `"vd" must be base64 with the URL-safe alphabet and no padding; got ${quoted(fields.vd)}`;
  }

  // Adding a base of 0 is no idle step: it turns a negative zero into zero.
  const timeSeconds = base.timeSeconds + (fields.t ?? 0);
  const value = typeof fields.v === 'number' ? base.value + fields.v : null;
  const sum = fields.s === undefined ? base.sum : (base.sum ?? 0) + fields.s;
  if (!Number.isFinite(timeSeconds)) return '"t" and "bt" together exceed the range of a double';
  if (value !== null && !Number.isFinite(value)) return '"v" and "bv" together exceed the range of a double';
  if (sum !== null && !Number.isFinite(sum)) return '"s" and "bs" together exceed the range of a double';

  records.push({
    name,
    unit: fields.u ?? base.unit,
    value,
    text: fields.vs ?? null,
    flag: fields.vb ?? null,
    data: fields.vd ?? null,
    sum,
    timeSeconds,
  });
  return null;
}

/** Types as in table 2 of section 5. Unknown fields are ignored, unless their label ends in `_` (section 4.4). */
function faultOfTypes(record: unknown): string | null {
  if (typeof record !== 'object' || record === null || Array.isArray(record))
    return `must be a JSON object; got ${typeName(record)}`;
  const fields = record as Readonly<Record<string, unknown>>;
  for (const label in fields) {
    const type = TYPE_OF_LABEL.get(label);
    if (type === undefined) {
      if (label.endsWith('_'))
        return `the field ${quoted(label)} must be understood to read this pack, and is not known here; send packs without it`;
      continue;
    }
    const value = fields[label];
    // Probes send null for a sample they missed. That record measured nothing; the others in the batch did.
    if (value === null && label === 'v') continue;
    if (value === null) return `"${label}" is null; leave the field out, or the whole record when nothing was measured`;
    if (typeof value !== type) return `"${label}" must be a ${type}; got ${typeName(value)}`;
    // JSON has no infinity, but 1e999 parses as one.
    if (type === 'number' && !Number.isFinite(value)) return `"${label}" exceeds the range of a double`;
  }
  return null;
}

/** Section 4.4: one version for the whole pack, and none newer than what is understood. */
function faultOfVersion(version: number, isFirst: boolean, inForce: number): string | null {
  if (!Number.isInteger(version) || version < 1) return `"bver" must be a positive integer; got ${version}`;
  if (version > VERSION) return `"bver" is ${version}; versions up to ${VERSION} are understood here`;
  if (!isFirst && version !== inForce)
    return `"bver" is ${version}, but the records before are of version ${inForce}; one version holds for the whole pack`;
  return null;
}

/** Section 4.2: exactly one value field; none is allowed beside a sum. */
function faultOfValue(fields: Fields): string | null {
  const labels = VALUE_LABELS.filter((label) => fields[label] !== undefined);
  if (labels.length > 1) return `holds "${labels.join('" and "')}"; one value a record`;
  return labels.length === 1 || fields.s !== undefined ? null : 'holds no value; a number goes in "v"';
}

/** The first example of section 5.1.7 opens with a record that only sets a base name: it measures nothing. */
function setsOnlyBase(fields: Fields): boolean {
  let bases = 0;
  for (const label in fields) {
    if (!TYPE_OF_LABEL.has(label)) continue;
    if (!label.startsWith('b')) return false;
    bases++;
  }
  return bases > 0;
}

function faultOfName(name: string): string {
  if (name === '') return 'has no name; send "n", or "bn" in this record or one before it';
  return `the name ${quoted(name)} ("bn" and "n" joined) may hold letters, digits and - : . / _ and must start with a letter or digit`;
}

/** What keeps `text` from being JSON; `error` is what the parser threw. */
export function notJson(text: string, error: unknown): string {
  // The parser's message repeats some of the text, line breaks and all.
  const message =
    error instanceof Error
      ? error.message
          .replace(/[\s\p{Cc}]+/gu, ' ')
          .slice(0, 2 * QUOTE_LENGTH_MAX)
          .toWellFormed()
      : 'unreadable';
  const hint = /[:,[]\s*[+-]?(?:nan|inf)/i.test(text)
    ? '; NaN and infinity have no place in JSON: leave the record out when nothing was measured'
    : '';
  return `the payload is not JSON: ${message}${hint}`;
}

function typeName(value: unknown): string {
  if (value === null) return 'null';
  if (Array.isArray(value)) return 'an array';
  if (typeof value === 'string') return `the string ${quoted(value)}`;
  return typeof value === 'object' ? 'an object' : `the ${typeof value} ${value}`;
}

/** The beginning of a sender's own text. Escapes what could not be written down as it is, such as a lone surrogate. */
export function quoted(text: string): string {
  return JSON.stringify(text.length > QUOTE_LENGTH_MAX ? `${text.slice(0, QUOTE_LENGTH_MAX)}…` : text);
}
