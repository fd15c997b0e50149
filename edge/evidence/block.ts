import { BitReader, BitWriter } from './bits.ts';
import { textOfUtf8 } from './utf8.ts';

/** One reading as it is kept. */
export interface StoredReading {
  /** UTC ms. */
  readonly atMs: number;
  /** Thousandths of the quantity's unit (m°C, m%RH, mV, mΩ); of a level, micrometres. */
  readonly value: number;
  /** Where `atMs` comes from: index into `TIME_BASES`. */
  readonly basis: number;
  /** Wall clock at arrival, UTC ms. */
  readonly arrivalMs: number;
  /** Monotonic clock at arrival, ms since the boot began. */
  readonly monoMs: number;
  /** Which run of the program took it; see the entry `boot.started`. */
  readonly boot: number;
}

/** Readings of one probe and quantity, sealed together: the unit of storage, of the hash tree, of replication and of replay. */
export interface Block {
  readonly probe: string;
  /** Index into `QUANTITIES`. */
  readonly quantity: number;
  /** One to 10,000, in time order, no instant twice. */
  readonly readings: readonly StoredReading[];
}

const FORMAT = 1;

/** A run of equal numbers takes six bits whatever its length: without a bound, a few bytes could claim millions of readings. */
const READINGS_MAX = 10_000;

/** Steps, in thousandths, that sensors count in. The first that reproduces every value of a block is used. */
const GRIDS = [1000, 500, 250, 125, 62.5, 100, 50, 10, 1] as const;

/**
 * A block as bytes: format 1 (8 bits), length of the probe's name (8) and the name in UTF-8, quantity (8), number of readings
 * (24), grid (4), then six series. A series is its first number and the run of differences between neighbours; that of the
 * instants is its first number and the *series* of differences, since probes report at even intervals. The series: instants;
 * values in grid steps; arrival minus instant; wall minus monotonic clock; time basis; boot.
 */
export function encodeBlock({ probe, quantity, readings }: Block): Uint8Array {
  if (readings.length > READINGS_MAX) throw new RangeError(`a block holds at most ${READINGS_MAX} readings`);
  const writer = new BitWriter();
  const name = new TextEncoder().encode(probe);
  const grid = GRIDS.findIndex((step) => readings.every(({ value }) => Math.round(Math.round(value / step) * step) === value));
  const step = GRIDS[grid] as number;
  writer.plain(FORMAT, 8);
  writer.plain(name.length, 8);
  for (const byte of name) writer.plain(byte, 8);
  writer.plain(quantity, 8);
  writer.plain(readings.length, 24);
  writer.plain(grid, 4);

  const series = (numbers: readonly number[]) => {
    if (numbers.length === 0) return;
    writer.signed(numbers[0] as number);
    writer.run(differences(numbers));
  };
  writer.signed((readings[0] as StoredReading).atMs);
  series(differences(readings.map(({ atMs }) => atMs)));
  series(readings.map(({ value }) => Math.round(value / step)));
  series(readings.map(({ arrivalMs, atMs }) => arrivalMs - atMs));
  series(readings.map(({ arrivalMs, monoMs }) => arrivalMs - monoMs));
  series(readings.map(({ basis }) => basis));
  series(readings.map(({ boot }) => boot));
  return writer.bytes();
}

/** The block that `encodeBlock` made these bytes of. Throws a RangeError that names the fault for bytes that are no block. */
export function decodeBlock(bytes: Uint8Array): Block {
  const reader = new BitReader(bytes);
  const format = reader.plain(8);
  if (format !== FORMAT) throw new RangeError(`this program reads block format ${FORMAT}, not ${format}`);
  const probe = textOfUtf8(Uint8Array.from({ length: reader.plain(8) }, () => reader.plain(8)));
  if (probe === null) throw new RangeError('the name of the probe is not UTF-8');
  const quantity = reader.plain(8);
  const count = reader.plain(24);
  if (count === 0) throw new RangeError('a block holds at least one reading');
  if (count > READINGS_MAX) throw new RangeError(`a block holds at most ${READINGS_MAX} readings, not ${count}`);
  const step = GRIDS[reader.plain(4)];
  if (step === undefined) throw new RangeError('the block names an unknown grid');

  const series = (length: number): number[] => (length === 0 ? [] : sums(reader.signed(), reader.run(length - 1)));
  const firstMs = reader.signed();
  const atMs = sums(firstMs, series(count - 1));
  const values = series(count).map((steps) => Math.round(steps * step));
  const lags = series(count);
  const offsets = series(count);
  const bases = series(count);
  const boots = series(count);
  reader.end();
  const readings = atMs.map((at, index): StoredReading => {
    const arrivalMs = at + (lags[index] as number);
    return {
      atMs: at,
      value: values[index] as number,
      basis: bases[index] as number,
      arrivalMs,
      monoMs: arrivalMs - (offsets[index] as number),
      boot: boots[index] as number,
    };
  });
  return { probe, quantity, readings };
}

function differences(numbers: readonly number[]): number[] {
  return numbers.slice(1).map((number, index) => number - (numbers[index] as number));
}

function sums(first: number, steps: readonly number[]): number[] {
  const numbers = [first];
  let sum = first;
  for (const step of steps) {
    sum += step;
    numbers.push(sum);
  }
  return numbers;
}
