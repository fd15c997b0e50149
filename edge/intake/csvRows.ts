import { instantOf } from './instant.ts';

/** A row that does not count, or of which a part does not, and why. */
export interface RejectedRow {
  readonly line: number;
  readonly reason: string;
}

/** A row that counts. */
export interface Row {
  readonly line: number;
  readonly atMs: number;
  readonly milliC: number;
  readonly milliRh: number | null;
}

type Unit = 'celsius' | 'fahrenheit';

/** What a joint and the air around it can have; anything else is a fault of the sensor or of the unit. */
const LOWEST_MILLI_C = -60_000;
const HIGHEST_MILLI_C = 150_000;
/** Wet sensors read a little above saturation. */
const HIGHEST_MILLI_RH = 100_500;

/** Value of a one-wire sensor that does not answer, and the one it holds between power-on and its first measurement. */
const MISSING_SENSOR_MILLI_C = -127_000;
const POWER_ON_MILLI_C = 85_000;
const POWER_ON_JUMP_MILLI_C = 20_000;
const POWER_ON_REASON =
  '85.0 °C, more than 20 °C from its neighbours, is what a sensor reads between power-on and its first measurement';

const Decimal = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i;

/** The row, or null when it cannot count; what is wrong with it goes to `rejected`. */
export function rowOf(columns: readonly string[], record: readonly string[], line: number, rejected: RejectedRow[]): Row | null {
  const reject = (reason: string): null => {
    rejected.push({ line, reason });
    return null;
  };
  if (record.length !== columns.length) return reject(`fields: ${record.length}, where the first line has ${columns.length}`);
  const field = (name: string) => record[columns.indexOf(name)] ?? '';
  const unit: Unit = columns.includes('celsius') ? 'celsius' : 'fahrenheit';

  const instant = instantOf(field('time'));
  if ('reason' in instant) return reject(instant.reason);
  const written = field(unit);
  if (!Decimal.test(written)) return reject(`${unit} "${written}" is not a number`);
  const milliC = milliCOf(Number(written), unit);
  if (milliC === MISSING_SENSOR_MILLI_C) return reject('−127 °C is what a missing sensor reads');
  if (milliC < LOWEST_MILLI_C || milliC > HIGHEST_MILLI_C) return reject(`${unit} ${written} lies outside −60 … 150 °C`);
  const humidity = milliRhOf(field('humidity'));
  if (typeof humidity === 'string') reject(`${humidity}; the temperature counts without it`);
  return { line, atMs: instant.ms, milliC, milliRh: typeof humidity === 'string' ? null : humidity };
}

/** Whole m°C: rounded once, here. Adding 0 turns a negative zero into zero. */
function milliCOf(value: number, unit: Unit): number {
  return (unit === 'celsius' ? Math.round(value * 1000) : Math.round(((value - 32) * 5000) / 9)) + 0;
}

/** Whole m%RH, null for an empty field, or what is wrong with it. */
function milliRhOf(written: string): number | null | string {
  if (written === '') return null;
  if (!Decimal.test(written)) return `humidity "${written}" is not a number`;
  const milliRh = Math.round(Number(written) * 1000) + 0;
  return milliRh < 0 || milliRh > HIGHEST_MILLI_RH ? `humidity ${written} lies outside 0 … 100.5 %RH` : milliRh;
}

/** Sorted by time; of readings of one instant the first in the file stays, and those that contradict it are rejected. */
export function inTimeOrder(rows: readonly Row[], rejected: RejectedRow[]): Row[] {
  const kept: Row[] = [];
  for (const row of rows.toSorted((a, b) => a.atMs - b.atMs)) {
    const before = kept.at(-1);
    if (before?.atMs !== row.atMs) kept.push(row);
    else if (before.milliC !== row.milliC)
      rejected.push({
        line: row.line,
        reason: `contradicts line ${before.line}, which has the same time and another temperature`,
      });
    else if (before.milliRh === null) kept[kept.length - 1] = row;
    else if (row.milliRh !== null && row.milliRh !== before.milliRh)
      rejected.push({
        line: row.line,
        reason: `contradicts line ${before.line}, which has the same time and another humidity`,
      });
  }
  return kept;
}

/**
 * Takes out readings of exactly 85.0 °C that stand alone: the nearest other values before and after, as far as there are any,
 * are all more than 20 °C away. A joint that truly is that hot has neighbours that say so.
 */
export function withoutPowerOnValues(rows: readonly Row[], rejected: RejectedRow[]): Row[] {
  const kept: Row[] = [];
  let index = 0;
  while (index < rows.length) {
    const row = rows[index] as Row;
    if (row.milliC !== POWER_ON_MILLI_C) {
      kept.push(row);
      index++;
      continue;
    }
    let end = index;
    while (rows[end]?.milliC === POWER_ON_MILLI_C) end++;
    const run = rows.slice(index, end);
    const neighbours = [rows[index - 1], rows[end]].filter((neighbour) => neighbour !== undefined);
    const alone = neighbours.every(({ milliC }) => Math.abs(milliC - POWER_ON_MILLI_C) > POWER_ON_JUMP_MILLI_C);
    for (const hot of run) {
      if (neighbours.length > 0 && alone) rejected.push({ line: hot.line, reason: POWER_ON_REASON });
      else kept.push(hot);
    }
    index = end;
  }
  return kept;
}
