import { createReadStream } from 'node:fs';
import { open } from 'node:fs/promises';
import { pipeline } from 'node:stream';
import { type Info, parse } from 'csv-parse';
import { z } from 'zod';

/** A row that does not count, and why. */
export interface RejectedRow {
  readonly line: number;
  readonly reason: string;
}

/** One probe's readings in time order, no instant twice. */
export interface CsvReadings {
  readonly atMs: readonly number[];
  readonly milliC: readonly number[];
  readonly rejected: readonly RejectedRow[];
}

/** The file as a whole cannot be used; the message is a sentence for the person who gave it. */
export class UnreadableFile extends Error {
  override name = 'UnreadableFile';
}

interface Row {
  readonly line: number;
  readonly atMs: number;
  readonly milliC: number;
}

type Unit = 'celsius' | 'fahrenheit';

const COLUMNS = ['time', 'celsius', 'fahrenheit', 'humidity'];
const COLUMNS_SENTENCE = 'the first line must name the columns: time, celsius or fahrenheit, and humidity if there is one';

/** What a joint and the air around it can have; anything else is a fault of the sensor or of the unit. */
const LOWEST_MILLI_C = -60_000;
const HIGHEST_MILLI_C = 150_000;

/** Value of a one-wire sensor that does not answer, and the one it holds between power-on and its first measurement. */
const MISSING_SENSOR_MILLI_C = -127_000;
const POWER_ON_MILLI_C = 85_000;
const POWER_ON_JUMP_MILLI_C = 20_000;
const POWER_ON_REASON =
  '85.0 °C, more than 20 °C from its neighbours, is what a sensor reads between power-on and its first measurement';

/** A line longer than this is no line of readings, but an unclosed quote or another kind of file. */
const RECORD_SIZE_MAX = 64 * 1024;

const Decimal = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i;
const InstantWithOffset = z.union([z.iso.datetime({ offset: true }), z.iso.datetime({ offset: true, precision: -1 })]);
const InstantWithout = z.iso.datetime({ local: true });

/** UTC milliseconds of an ISO 8601 time with offset, or the reason why it is none. A blank may stand for the T. */
export function instantOf(text: string): { readonly ms: number } | { readonly reason: string } {
  const written = text.replace(/^(\d{4}-\d\d-\d\d) (?=\d)/, '$1T');
  if (InstantWithOffset.safeParse(written).success) return { ms: Date.parse(written) };
  if (InstantWithout.safeParse(written).success || InstantWithOffset.safeParse(`${written}Z`).success)
    return { reason: `time "${text}" has no offset; write it as in 2026-01-15T14:30:00-08:00, or with Z for UTC` };
  return { reason: `time "${text}" is not ISO 8601 with an offset, such as 2026-01-15T14:30:00-08:00` };
}

/**
 * Reads a file of temperatures as it streams by. Rows that cannot count are listed with their line and the reason; an equal
 * reading twice is one reading; rows out of order are put in order.
 *
 * @throws UnreadableFile when the file is missing, empty, no CSV, or its first line does not name the columns.
 */
export async function readCsv(file: string): Promise<CsvReadings> {
  const rows: Row[] = [];
  const rejected: RejectedRow[] = [];
  let columns: string[] | null = null;
  try {
    for await (const { info, record } of await recordsOf(file)) {
      if (columns === null) {
        columns = columnsOf(record);
        continue;
      }
      const row = rowOf(columns, record, info.lines);
      if ('reason' in row) rejected.push(row);
      else rows.push(row);
    }
  } catch (error) {
    if (error instanceof UnreadableFile) throw error;
    const { code, message } = error as NodeJS.ErrnoException;
    throw new UnreadableFile(code === 'ENOENT' ? `there is no file ${file}` : `${file} cannot be read: ${message}`);
  }
  if (columns === null) throw new UnreadableFile(`${file} is empty; ${COLUMNS_SENTENCE}`);

  const kept = withoutPowerOnValues(inTimeOrder(rows, rejected), rejected);
  return {
    atMs: kept.map((row) => row.atMs),
    milliC: kept.map((row) => row.milliC),
    rejected: rejected.sort((a, b) => a.line - b.line),
  };
}

async function recordsOf(file: string): Promise<AsyncIterable<{ info: Info; record: string[] }>> {
  const parser = parse({
    bom: true,
    delimiter: await delimiterOf(file),
    info: true,
    max_record_size: RECORD_SIZE_MAX,
    relax_column_count: true,
    skip_empty_lines: true,
    trim: true,
  });
  // Whichever end stops takes the other one with it; whoever reads the parser meets the error.
  return pipeline(createReadStream(file), parser, () => undefined);
}

/** The first line decides between comma, semicolon and tab: no column's name contains one. */
async function delimiterOf(file: string): Promise<string> {
  await using handle = await open(file);
  const { buffer, bytesRead } = await handle.read(Buffer.alloc(4096), 0, 4096, 0);
  const [firstLine = ''] = buffer
    .toString('utf8', 0, bytesRead)
    .trimStart()
    .split(/[\r\n]/, 1);
  return [';', '\t'].find((delimiter) => firstLine.includes(delimiter)) ?? ',';
}

function columnsOf(header: readonly string[]): string[] {
  const columns = header.map((name) => name.toLowerCase());
  if (!columns.some((name) => COLUMNS.includes(name))) throw new UnreadableFile(`no header found; ${COLUMNS_SENTENCE}`);
  const unknown = columns.filter((name) => !COLUMNS.includes(name)).map((name) => `"${name}"`);
  if (unknown.length > 0) throw new UnreadableFile(`unknown column ${unknown.join(', ')}; ${COLUMNS_SENTENCE}`);
  const twice = columns.find((name, index) => columns.indexOf(name) !== index);
  if (twice !== undefined) throw new UnreadableFile(`column "${twice}" is there twice; ${COLUMNS_SENTENCE}`);
  if (!columns.includes('time')) throw new UnreadableFile(`there is no column "time"; ${COLUMNS_SENTENCE}`);
  const units = columns.filter((name) => name === 'celsius' || name === 'fahrenheit').length;
  if (units === 0) throw new UnreadableFile(`there is no column "celsius" or "fahrenheit"; ${COLUMNS_SENTENCE}`);
  if (units === 2) throw new UnreadableFile(`there are both "celsius" and "fahrenheit"; leave one of them`);
  return columns;
}

function rowOf(columns: readonly string[], record: readonly string[], line: number): Row | RejectedRow {
  if (record.length !== columns.length)
    return { line, reason: `fields: ${record.length}, where the first line has ${columns.length}` };
  const field = (name: string) => record[columns.indexOf(name)] ?? '';
  const unit: Unit = columns.includes('celsius') ? 'celsius' : 'fahrenheit';

  const instant = instantOf(field('time'));
  if ('reason' in instant) return { line, reason: instant.reason };
  const written = field(unit);
  if (!Decimal.test(written)) return { line, reason: `${unit} "${written}" is not a number` };
  const milliC = milliCOf(Number(written), unit);
  if (milliC === MISSING_SENSOR_MILLI_C) return { line, reason: '−127 °C is what a missing sensor reads' };
  if (milliC < LOWEST_MILLI_C || milliC > HIGHEST_MILLI_C)
    return { line, reason: `${unit} ${written} lies outside −60 … 150 °C` };
  return { line, atMs: instant.ms, milliC };
}

/** Whole m°C: rounded once, here. */
function milliCOf(value: number, unit: Unit): number {
  return unit === 'celsius' ? Math.round(value * 1000) : Math.round(((value - 32) * 5000) / 9);
}

/** Sorted by time; of readings of one instant the first in the file stays, and those that contradict it are rejected. */
function inTimeOrder(rows: readonly Row[], rejected: RejectedRow[]): Row[] {
  const kept: Row[] = [];
  for (const row of rows.toSorted((a, b) => a.atMs - b.atMs)) {
    const before = kept.at(-1);
    if (before?.atMs !== row.atMs) kept.push(row);
    else if (before.milliC !== row.milliC)
      rejected.push({
        line: row.line,
        reason: `contradicts line ${before.line}, which has the same time and another temperature`,
      });
  }
  return kept;
}

/**
 * Takes out readings of exactly 85.0 °C that stand alone: the nearest other values before and after, as far as there are any,
 * are all more than 20 °C away. A joint that truly is that hot has neighbours that say so.
 */
function withoutPowerOnValues(rows: readonly Row[], rejected: RejectedRow[]): Row[] {
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
