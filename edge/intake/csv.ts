import { createHash, type Hash } from 'node:crypto';
import { pipeline } from 'node:stream';
import { setImmediate as othersTurn } from 'node:timers/promises';
import { type Info, parse } from 'csv-parse';
import { inTimeOrder, type RejectedRow, type Row, rowOf, withoutPowerOnValues } from './csvRows.ts';

/** One logger's readings in time order, no instant twice. */
export interface ColumnarReadings {
  readonly atMs: readonly number[];
  readonly milliC: readonly number[];
  /** m%RH; null where the row has none. */
  readonly milliRh: readonly (number | null)[];
}

export interface CsvReadings extends ColumnarReadings {
  readonly rejected: readonly RejectedRow[];
  /** Of the file's bytes, in hex. */
  readonly sha256: string;
}

/** The file as a whole cannot be used; the message is a sentence for the person who gave it. */
export class UnreadableFile extends Error {
  override name = 'UnreadableFile';
}

const COLUMNS = ['time', 'celsius', 'fahrenheit', 'humidity'];
const COLUMNS_SENTENCE = 'the first line must name the columns: time, celsius or fahrenheit, and humidity if there is one';

/** A line longer than this is no line of readings, but an unclosed quote or another kind of file. */
const RECORD_SIZE_MAX = 64 * 1024;
const SLICE_BYTES = 64 * 1024;

/** The bytes of a file in slices, with a turn for everybody else after each. */
export async function* slicesOf(bytes: Uint8Array): AsyncGenerator<Uint8Array> {
  for (let start = 0; start < bytes.length; start += SLICE_BYTES) {
    yield bytes.subarray(start, start + SLICE_BYTES);
    await othersTurn();
  }
}

/**
 * Reads a file of temperatures as its bytes come by, the first line whole in the first of `chunks`: UTF-8, or UTF-16 with a byte
 * order mark. Rows that cannot count are listed with their line and the reason, and so is a humidity that cannot, although its
 * temperature does; an equal reading twice is one reading; rows out of order are put in order. `name` is what people call the file;
 * `faultOfTime` says what is wrong with an instant.
 *
 * @throws UnreadableFile when the file is empty, no CSV, or its first line does not name the columns.
 */
export async function readingsIn(
  chunks: AsyncIterable<Uint8Array>,
  name: string,
  faultOfTime: (atMs: number) => string | null = () => null,
): Promise<CsvReadings> {
  const rows: Row[] = [];
  const rejected: RejectedRow[] = [];
  const hash = createHash('sha256');
  let columns: string[] | null = null;
  try {
    for await (const { info, record } of await recordsOf(textOf(chunks, hash))) {
      if (columns === null) {
        columns = columnsOf(record);
        continue;
      }
      const row = rowOf(columns, record, info.lines, rejected);
      const fault = row === null ? null : faultOfTime(row.atMs);
      if (fault !== null) rejected.push({ line: info.lines, reason: fault });
      else if (row !== null) rows.push(row);
    }
  } catch (error) {
    if (error instanceof UnreadableFile) throw error;
    throw new UnreadableFile(`${name} cannot be read: ${(error as Error).message}`);
  }
  if (columns === null) throw new UnreadableFile(`${name} is empty; ${COLUMNS_SENTENCE}`);

  const kept = withoutPowerOnValues(inTimeOrder(rows, rejected), rejected);
  return {
    atMs: kept.map((row) => row.atMs),
    milliC: kept.map((row) => row.milliC),
    milliRh: kept.map((row) => row.milliRh),
    rejected: rejected.sort((a, b) => a.line - b.line),
    sha256: hash.digest('hex'),
  };
}

/** Decodes what comes by, and hashes it. A byte order mark is left out. */
async function* textOf(chunks: AsyncIterable<Uint8Array>, hash: Hash): AsyncGenerator<string> {
  let decoder: TextDecoder | null = null;
  for await (const chunk of chunks) {
    hash.update(chunk);
    decoder ??= new TextDecoder(encodingOf(chunk));
    yield decoder.decode(chunk, { stream: true });
  }
  if (decoder !== null) yield decoder.decode();
}

function encodingOf(beginning: Uint8Array): string {
  const [first, second] = beginning;
  if (first === 0xff && second === 0xfe) return 'utf-16le';
  if (first === 0xfe && second === 0xff) return 'utf-16be';
  if (beginning.includes(0))
    throw new UnreadableFile('this is no text, or UTF-16 without a byte order mark; save it as CSV in UTF-8');
  return 'utf-8';
}

async function recordsOf(text: AsyncGenerator<string>): Promise<AsyncIterable<{ info: Info; record: string[] }>> {
  const first = await text.next();
  const beginning = first.done ? '' : first.value;
  const parser = parse({
    delimiter: delimiterOf(beginning),
    info: true,
    max_record_size: RECORD_SIZE_MAX,
    relax_column_count: true,
    skip_empty_lines: true,
    trim: true,
  });
  const whole = async function* () {
    yield beginning;
    yield* text;
  };
  // Whichever end stops takes the other one with it; whoever reads the parser meets the error.
  return pipeline(whole, parser, () => undefined);
}

/** The first line decides between comma, semicolon and tab: no column's name contains one. */
export function delimiterOf(beginning: string): string {
  const [firstLine = ''] = beginning.trimStart().split(/[\r\n]/, 1);
  return [';', '\t'].find((delimiter) => firstLine.includes(delimiter)) ?? ',';
}

/** The columns that the first line names. @throws UnreadableFile. */
export function columnsOf(header: readonly string[]): string[] {
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
