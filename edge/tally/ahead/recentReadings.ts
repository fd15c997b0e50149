import type { ReadingColumns } from '../../evidence/readings.ts';
import type { Readings } from '../../ledger/readings.ts';
import type { Counts } from '../values.ts';

/** Of each minute one reading is enough to look ahead with. */
const THIN_MS = 60_000;
/** What came up to so long after it was measured is read again each time; of what came later somebody has to tell. */
const OVERLAP_MS = 2 * 60_000;
/** What lies within it is kept whenever it is asked for. */
const KEPT_MS = 49 * 3_600_000;
/** So much of the past is read in one go while nobody waits for it. */
const PIECE_MS = 6 * 3_600_000;
/** Series that are kept; of more, those asked for longest ago are read again when they are asked for. */
const SERIES_MOST = 256;

interface Series {
  /** Known from here (inclusive) … */
  fromMs: number;
  /** … to here (exclusive). */
  untilMs: number;
  /** The longest that was asked for: what is older need not be kept. */
  spanMs: number;
  columns: ReadingColumns;
}

/**
 * What sources said lately: the last reading of each minute, kept from one time to the next and extended by what came since, so that
 * two days need not be read from the ledger every minute.
 */
export class RecentReadings {
  readonly #readings: Readings;
  readonly #nowMs: () => number;
  readonly #counts: Counts;
  readonly #series = new Map<string, Series>();

  constructor(readings: Readings, counts: Counts, nowMs: () => number) {
    this.#readings = readings;
    this.#counts = counts;
    this.#nowMs = nowMs;
  }

  /** Readings with `fromMs` ≤ instant < `untilMs`, of each minute the last. What is long past is not kept. */
  range(source: string, quantity: number, fromMs: number, untilMs: number): ReadingColumns {
    const known = this.#of(source, quantity);
    const nowMs = this.#nowMs();
    const isRecent = untilMs >= nowMs - OVERLAP_MS || fromMs >= nowMs - KEPT_MS;
    if (known === undefined && !isRecent) return this.#read(source, quantity, fromMs, untilMs);
    if (known !== undefined && fromMs < known.fromMs && !isRecent) return this.#read(source, quantity, fromMs, untilMs);
    const series = known ?? this.#begun(source, quantity, nowMs);
    series.spanMs = Math.max(series.spanMs, untilMs - fromMs);
    this.#extendBack(source, quantity, series, fromMs);
    this.#extend(source, quantity, series, untilMs);
    return between(series.columns, fromMs, untilMs);
  }

  /** Reads one more piece of the past; whether all since `fromMs` is known now. */
  reach(source: string, quantity: number, fromMs: number): boolean {
    const nowMs = this.#nowMs();
    const series = this.#of(source, quantity) ?? this.#begun(source, quantity, nowMs);
    series.spanMs = Math.max(series.spanMs, nowMs - fromMs);
    this.#extendBack(source, quantity, series, Math.max(fromMs, series.fromMs - PIECE_MS));
    return series.fromMs <= fromMs;
  }

  /** From when on all is known; null: nothing is. */
  knownFromMs(source: string, quantity: number): number | null {
    return this.#series.get(keyOf(source, quantity))?.fromMs ?? null;
  }

  /** To be called when readings of a source came that were measured from `sinceMs` on: that is read again. */
  late(source: string, sinceMs: number): void {
    for (const [key, series] of this.#series) {
      if (!key.startsWith(keyOf(source, ''))) continue;
      const sinceMinuteMs = Math.floor(sinceMs / THIN_MS) * THIN_MS;
      if (sinceMinuteMs <= series.fromMs) this.#series.delete(key);
      else series.untilMs = Math.min(series.untilMs, sinceMinuteMs);
    }
  }

  /** To be called when what counts has changed. */
  forget(): void {
    this.#series.clear();
  }

  #of(source: string, quantity: number): Series | undefined {
    const key = keyOf(source, quantity);
    const known = this.#series.get(key);
    if (known === undefined) return undefined;
    // The newest used comes last.
    this.#series.delete(key);
    this.#series.set(key, known);
    return known;
  }

  #begun(source: string, quantity: number, atMs: number): Series {
    const minuteMs = Math.floor(atMs / THIN_MS) * THIN_MS;
    const series: Series = { fromMs: minuteMs, untilMs: minuteMs, spanMs: 0, columns: join([]) };
    this.#series.set(keyOf(source, quantity), series);
    const oldest = this.#series.keys().next().value;
    if (this.#series.size > SERIES_MOST && oldest !== undefined) this.#series.delete(oldest);
    return series;
  }

  #extendBack(source: string, quantity: number, series: Series, toMs: number): void {
    const fromMs = Math.floor(toMs / THIN_MS) * THIN_MS;
    if (fromMs >= series.fromMs) return;
    series.columns = join([this.#read(source, quantity, fromMs, series.fromMs), series.columns]);
    series.fromMs = fromMs;
  }

  #extend(source: string, quantity: number, series: Series, untilMs: number): void {
    if (untilMs <= series.untilMs) return;
    const sinceMs = Math.max(series.fromMs, Math.floor((series.untilMs - OVERLAP_MS) / THIN_MS) * THIN_MS);
    const oldestMs = Math.floor((untilMs - series.spanMs) / THIN_MS) * THIN_MS;
    const before = between(series.columns, Math.max(series.fromMs, oldestMs), sinceMs);
    series.columns = join([before, this.#read(source, quantity, sinceMs, untilMs)]);
    series.fromMs = Math.max(series.fromMs, oldestMs);
    series.untilMs = untilMs;
  }

  #read(source: string, quantity: number, fromMs: number, untilMs: number): ReadingColumns {
    return thinned(this.#readings.range(source, quantity, fromMs, untilMs, this.#counts));
  }
}

/** No name of a source has a line feed. */
function keyOf(source: string, quantity: number | ''): string {
  return `${source}\n${quantity}`;
}

function thinned({ atMs, value }: ReadingColumns): ReadingColumns {
  const minute = (row: number) => Math.floor((atMs[row] as number) / THIN_MS);
  const isLast = (row: number) => row === atMs.length - 1 || minute(row) !== minute(row + 1);
  const rows = Array.from(atMs.keys()).filter(isLast);
  return {
    atMs: Float64Array.from(rows, (row) => atMs[row] as number),
    value: Int32Array.from(rows, (row) => value[row] as number),
  };
}

function between({ atMs, value }: ReadingColumns, fromMs: number, untilMs: number): ReadingColumns {
  const first = firstAt(atMs, fromMs);
  const end = firstAt(atMs, untilMs);
  return { atMs: atMs.subarray(first, end), value: value.subarray(first, end) };
}

/** The first row that is not before an instant. */
function firstAt(atMs: Float64Array, ms: number): number {
  let [low, high] = [0, atMs.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((atMs[middle] as number) < ms) low = middle + 1;
    else high = middle;
  }
  return low;
}

function join(parts: readonly ReadingColumns[]): ReadingColumns {
  const length = parts.reduce((sum, part) => sum + part.atMs.length, 0);
  const [atMs, value] = [new Float64Array(length), new Int32Array(length)];
  let at = 0;
  for (const part of parts) {
    atMs.set(part.atMs, at);
    value.set(part.value, at);
    at += part.atMs.length;
  }
  return { atMs, value };
}
