import { AHEAD_LIMIT_MS } from '../site/mistimed.ts';
import { PARTS_PER_UNIT, type Quantity } from '../site/quantity.ts';
import { KINDS, type Kind, type Measure, symbols } from './kinds.ts';
import { ABSOLUTE_TIME_SECONDS_MIN, type SenmlRecord } from './senml.ts';

export { inUnits, QUANTITIES, type Quantity } from '../site/quantity.ts';

/**
 * `own`: the probe's own clock. `relative`: so long before the arrival. `arrival`: the probe named no time. `imported`: from a
 * file, by the clock of the logger that wrote it.
 */
export type TimeBasis = 'own' | 'relative' | 'arrival' | 'imported';

/** The place in this list is the code under which a reading's time basis is stored: add at the end, never reorder. */
export const TIME_BASES: readonly TimeBasis[] = ['own', 'relative', 'arrival', 'imported'];

export interface Reading {
  readonly quantity: Quantity;
  /** UTC milliseconds. */
  readonly atMs: number;
  readonly basis: TimeBasis;
  /** A whole number of thousandths of the unit (m°C, m%RH, mV, m%, mΩ); of a level, micrometres. */
  readonly value: number;
}

/** Why something that arrived is set aside instead of being taken. */
export type QuarantineReason =
  | 'retained'
  | 'malformed'
  | 'too-large'
  | 'unknown-quantity'
  | 'wrong-unit'
  | 'out-of-range'
  | 'time-out-of-range'
  | 'ambiguous'
  | 'repeated'
  | 'conflicting-duplicate'
  | 'wrong-topic'
  | 'too-often';

export interface Refused {
  readonly reason: QuarantineReason;
  readonly detail: string;
}

const KNOWN = [...KINDS].map(([name, { units }]) => `${name} (${symbols(units)})`).join(', ');

const MINUTE_MS = 60_000;
const DAY_MS = 24 * 60 * MINUTE_MS;

/** What a one-wire master reports for a sensor that does not answer, °C. */
const MISSING_SENSOR_CELSIUS = -127;

/** No probe of this program is older: an earlier time is a clock that was never set. */
export const OWN_TIME_MIN_MS = Date.UTC(2015, 0, 1);
/** Beyond it no clock can be meant, however little our own is to be trusted: most likely milliseconds were sent as seconds. */
const OWN_TIME_MAX_MS = Date.UTC(2100, 0, 1);

/** What was measured before it was sent is never ahead of its arrival; this much is left for rounding. */
const ROUNDING_MS = 1000;
/** A buffered reading may be this old. */
const BACK_LIMIT_MS = 400 * DAY_MS;

/**
 * The readings in resolved records, in order of time (RFC 8428 section 4.6), and what was refused: one refusal for each reason,
 * with how many more were like it. A bad record does not keep out a good one beside it.
 * `arrivalMs` is the gateway's UTC clock when the pack came, a whole number; while it is not trusted (`clockTrusted` false) it
 * does not bound a probe's own time from above. Of a pack that was sent once before (`repeated`) only readings with a time of
 * their own are taken: the others would be made anew at each arrival.
 */
export function readingsOf(
  records: readonly SenmlRecord[],
  arrivalMs: number,
  clockTrusted: boolean,
  repeated = false,
): { readings: Reading[]; refused: Refused[] } {
  const readings: Reading[] = [];
  const refusals = new Refusals();
  const sensors = records.length > 1 ? new Sensors(records) : null;
  const circumstances = { arrivalMs, clockTrusted, repeated, sensors };
  let inOrder = true;
  for (const record of records) {
    const reading = readingOf(record, circumstances);
    if ('reason' in reading) {
      refusals.add(reading);
      continue;
    }
    const before = readings.at(-1);
    if (before !== undefined && before.atMs > reading.atMs) inOrder = false;
    readings.push(reading);
  }
  if (!inOrder) readings.sort((a, b) => a.atMs - b.atMs);
  return { readings, refused: refusals.list() };
}

interface Circumstances {
  readonly arrivalMs: number;
  readonly clockTrusted: boolean;
  readonly repeated: boolean;
  /** Null for a single record. */
  readonly sensors: Sensors | null;
}

function readingOf(record: SenmlRecord, { arrivalMs, clockTrusted, repeated, sensors }: Circumstances): Reading | Refused {
  const kind = KINDS.get(lastPart(record.name));
  if (kind === undefined)
    return { reason: 'unknown-quantity', detail: `"${record.name}" ends in no known quantity; known: ${KNOWN}` };
  if (record.value === null) return { reason: 'malformed', detail: `"${record.name}" holds no number; send its value in "v"` };
  const measure = measureIn(kind, record);
  if (measure === undefined) return wrongUnit(record, kind);

  const parts = PARTS_PER_UNIT[measure.quantity];
  // Adding 0 turns a negative zero into zero.
  const value = Math.round(record.value * parts) + 0;
  if (value < measure.least * parts || value > measure.most * parts) return outOfRange(record, measure, value / parts);

  const time = timeOf(record.timeSeconds, arrivalMs, clockTrusted);
  if (typeof time === 'string') return { reason: 'time-out-of-range', detail: `"${record.name}": ${time}` };
  const ambiguous = sensors?.refuse(measure.quantity);
  if (ambiguous) return ambiguous;
  if (repeated && time.basis !== 'own') return sentBefore(record);
  return { quantity: measure.quantity, atMs: time.atMs, basis: time.basis, value };
}

function measureIn(kind: Kind | undefined, { unit }: SenmlRecord): Measure | undefined {
  return unit === null ? undefined : kind?.units.get(unit);
}

/** What follows the last `:`, `/` or `.`. Which probe it is, the topic says. */
function lastPart(name: string): string {
  return name.slice(Math.max(name.lastIndexOf(':'), name.lastIndexOf('/'), name.lastIndexOf('.')) + 1);
}

function wrongUnit({ name, unit }: SenmlRecord, { units, hints }: Kind): Refused {
  const got = unit === null ? 'no unit' : `the unit ${JSON.stringify(unit.slice(0, 20))}`;
  const hint = hints.get(unit ?? '');
  return {
    reason: 'wrong-unit',
    detail: `"${name}" came with ${got}; expected ${symbols(units)}${hint === undefined ? '' : `: ${hint}`}`,
  };
}

function outOfRange({ name, value, unit }: SenmlRecord, { quantity, least, most }: Measure, rounded: number): Refused {
  const isMissing = quantity === 'temperature' && rounded === MISSING_SENSOR_CELSIUS;
  const hint = isMissing ? '; −127 means that the one-wire sensor does not answer: check its wiring' : '';
  return {
    reason: 'out-of-range',
    detail: `"${name}" is ${value} ${unit}; taken from ${least} to ${most} ${unit}${hint}`,
  };
}

/** When a reading was made, or what is wrong with its time. */
function timeOf(seconds: number, arrivalMs: number, clockTrusted: boolean): Pick<Reading, 'atMs' | 'basis'> | string {
  const ms = Math.round(seconds * 1000);
  if (seconds < ABSOLUTE_TIME_SECONDS_MIN) {
    if (ms < -BACK_LIMIT_MS || ms > ROUNDING_MS) return faultOfRelativeTime(seconds, arrivalMs);
    return { atMs: arrivalMs + ms, basis: seconds === 0 ? 'arrival' : 'relative' };
  }
  const latestMs = clockTrusted ? Math.min(arrivalMs + AHEAD_LIMIT_MS, OWN_TIME_MAX_MS) : OWN_TIME_MAX_MS;
  return ms < OWN_TIME_MIN_MS || ms > latestMs ? faultOfOwnTime(seconds, ms, arrivalMs) : { atMs: ms, basis: 'own' };
}

function faultOfRelativeTime(seconds: number, arrivalMs: number): string {
  const limit = seconds < 0 ? `more than ${BACK_LIMIT_MS / DAY_MS} days back` : 'ahead of its own arrival';
  const hint = 'times below 2**28 s count from the arrival, back from it; without a clock leave "t" out';
  return `its time is ${seconds} s from now, ${limit} (it arrived at ${instant(arrivalMs)}); ${hint}`;
}

function faultOfOwnTime(seconds: number, ms: number, arrivalMs: number): string {
  const arrived = `(it arrived at ${instant(arrivalMs)})`;
  if (ms > OWN_TIME_MAX_MS) return `its own time is ${seconds} s, beyond the year 2100 ${arrived}; times count in seconds`;
  const what = ms < OWN_TIME_MIN_MS ? 'before 2015' : `more than ${AHEAD_LIMIT_MS / MINUTE_MS} minutes ahead`;
  return `its own time is ${instant(ms)}, ${what} ${arrived}; set its clock, or leave "t" out`;
}

function instant(ms: number): string {
  return new Date(ms).toISOString();
}

function sentBefore({ name }: SenmlRecord): Refused {
  const detail = `"${name}" names no time of its own, and its message was sent before (DUP): when it was measured nobody knows`;
  return { reason: 'repeated', detail: `${detail}; send a fresh reading instead, or name times` };
}

/** Which sensors a pack tells of. One probe id is one place: of two sensors for one quantity either might be the wrong one. */
class Sensors {
  readonly #first = new Map<Quantity, string>();
  readonly #other = new Map<Quantity, string>();

  /** Records that are refused for a fault of their own name a sensor all the same. */
  constructor(records: readonly SenmlRecord[]) {
    for (const record of records) {
      const quantity = measureIn(KINDS.get(lastPart(record.name)), record)?.quantity;
      if (quantity === undefined) continue;
      const first = this.#first.get(quantity);
      if (first === undefined) this.#first.set(quantity, record.name);
      else if (first !== record.name) this.#other.set(quantity, record.name);
    }
  }

  refuse(quantity: Quantity): Refused | null {
    const other = this.#other.get(quantity);
    if (other === undefined) return null;
    const both = `"${this.#first.get(quantity)}" and "${other}"`;
    return { reason: 'ambiguous', detail: `${both} are two sensors under one probe id; give each a probe id of its own` };
  }
}

/** The refusals of one pack: one for each reason, the first of its kind. */
class Refusals {
  readonly #kept = new Map<QuarantineReason, { readonly first: Refused; count: number }>();

  add(refused: Refused): void {
    const same = this.#kept.get(refused.reason);
    if (same === undefined) this.#kept.set(refused.reason, { first: refused, count: 1 });
    else same.count++;
  }

  list(): Refused[] {
    return [...this.#kept.values()].map(({ first, count }) =>
      count === 1 ? first : { reason: first.reason, detail: `${first.detail} (and ${count - 1} more like it)` },
    );
  }
}
