import type { DatabaseSync, StatementSync } from 'node:sqlite';
import { type Block, decodeBlock, type StoredReading } from './block.ts';
import type { Leaves } from './leaves.ts';

/** A reading on its way into the ledger. */
export interface IncomingReading extends StoredReading {
  readonly probe: string;
  /** Index into `QUANTITIES`. */
  readonly quantity: number;
}

/** What became of one: new, the same as one already kept, or another value for an instant that has one (first come is kept). */
export type Fate =
  | { readonly kind: 'new' }
  | { readonly kind: 'same' }
  | { readonly kind: 'conflict'; readonly keptValue: number };

/** Readings of one series in time order, as columns. */
export interface ReadingColumns {
  readonly atMs: Float64Array;
  /** Thousandths of the unit. */
  readonly value: Int32Array;
}

interface Series {
  readonly n: number;
  readonly probe: string;
  readonly quantity: number;
  /** Newest sealed instant: what is later cannot be in a block. */
  sealedUntilMs: number;
  latest: { atMs: number; value: number } | null;
}

/** Blocks hold one hour of readings at most; see `seal`. */
export const SEAL_SPAN_MS = 3_600_000;
const DECODED_BLOCKS_MOST = 64;
const NEW: Fate = { kind: 'new' };
const SAME: Fate = { kind: 'same' };

/** Every reading that was ever accepted: hot rows and sealed blocks as one. */
export class Readings {
  readonly #database: DatabaseSync;
  readonly #leaves: Leaves;
  readonly #series = new Map<string, Series>();
  readonly #byNumber = new Map<number, Series>();
  readonly #decoded = new Map<number, Block>();
  readonly #insert: StatementSync;
  readonly #hotValue: StatementSync;
  readonly #hotRange: StatementSync;
  readonly #spansOver: StatementSync;
  readonly #addSeries: StatementSync;
  #taken: number;

  constructor(database: DatabaseSync, leaves: Leaves) {
    this.#database = database;
    this.#leaves = leaves;
    this.#insert = database.prepare(
      'INSERT INTO hot (series, at_ms, value, basis, arrival_ms, mono_ms, boot, taken) VALUES (?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING',
    );
    this.#hotValue = database.prepare('SELECT value FROM hot WHERE series = ? AND at_ms = ?');
    this.#hotRange = database.prepare(
      'SELECT at_ms, value FROM hot WHERE series = ? AND at_ms >= ? AND at_ms < ? ORDER BY at_ms',
    );
    this.#hotRange.setReturnArrays(true);
    this.#spansOver = database.prepare(
      'SELECT seq FROM span WHERE series = ? AND first_ms > ? AND first_ms < ? AND last_ms >= ? ORDER BY seq',
    );
    this.#addSeries = database.prepare('INSERT INTO series (probe, quantity) VALUES (?, ?)');
    this.#taken = this.#load();
  }

  /** Number of readings ever accepted: the position that fold checkpoints refer to. */
  get taken(): number {
    return this.#taken;
  }

  /** Takes one reading. To be called within a transaction; only its commit makes the reading count. */
  take(reading: IncomingReading): Fate {
    const series = this.#seriesOf(reading.probe, reading.quantity);
    if (reading.atMs <= series.sealedUntilMs) {
      const kept = this.#sealedValue(series, reading.atMs);
      if (kept !== null) return kept === reading.value ? SAME : { kind: 'conflict', keptValue: kept };
    }
    const { changes } = this.#insert.run(
      series.n,
      reading.atMs,
      reading.value,
      reading.basis,
      reading.arrivalMs,
      reading.monoMs,
      reading.boot,
      this.#taken + 1,
    );
    if (changes === 0) {
      const kept = Number(this.#hotValue.get(series.n, reading.atMs)?.value);
      return kept === reading.value ? SAME : { kind: 'conflict', keptValue: kept };
    }
    this.#taken++;
    if (series.latest === null || reading.atMs >= series.latest.atMs)
      series.latest = { atMs: reading.atMs, value: reading.value };
    return NEW;
  }

  /** After a rolled-back transaction: forgets what memory knows beyond the disk. */
  reload(): void {
    this.#series.clear();
    this.#byNumber.clear();
    this.#taken = this.#load();
  }

  /** Readings with `fromMs` ≤ instant < `untilMs`. */
  range(probe: string, quantity: number, fromMs: number, untilMs: number): ReadingColumns {
    const series = this.#series.get(keyOf(probe, quantity));
    if (series === undefined) return { atMs: new Float64Array(0), value: new Int32Array(0) };
    const rows: [number, number][] = this.#hotRange.all(series.n, finite(fromMs), finite(untilMs)) as unknown as [
      number,
      number,
    ][];
    const seqs = this.#spansOver.all(series.n, finite(fromMs) - SEAL_SPAN_MS, finite(untilMs), finite(fromMs));
    for (const { seq } of seqs) {
      // Long histories would only push each other out of the cache, so they pass it by.
      for (const { atMs, value } of this.#block(Number(seq), seqs.length <= DECODED_BLOCKS_MOST).readings)
        if (atMs >= fromMs && atMs < untilMs) rows.push([atMs, value]);
    }
    rows.sort((a, b) => a[0] - b[0]);
    const atMs = new Float64Array(rows.length);
    const value = new Int32Array(rows.length);
    rows.forEach((row, index) => {
      atMs[index] = row[0];
      value[index] = row[1];
    });
    return { atMs, value };
  }

  /** Newest reading of a probe's quantity, null before the first. */
  latest(probe: string, quantity: number): { readonly atMs: number; readonly value: number } | null {
    return this.#series.get(keyOf(probe, quantity))?.latest ?? null;
  }

  /** Names of all probes that were ever heard, in the order of their first reading. */
  probes(): string[] {
    return [...new Set([...this.#series.values()].map((series) => series.probe))];
  }

  /** Hot readings of `quantity` that were taken after `taken`, in the order they were taken. */
  hotSince(quantity: number, taken: number): { probe: string; atMs: number; value: number; taken: number }[] {
    const rows = this.#database
      .prepare('SELECT series, at_ms, value, taken FROM hot WHERE taken > ? ORDER BY taken')
      .all(taken)
      .map((row) => ({
        series: this.#byNumber.get(Number(row.series)),
        atMs: Number(row.at_ms),
        value: Number(row.value),
        taken: Number(row.taken),
      }));
    return rows.flatMap(({ series, atMs, value, taken: at }) =>
      series?.quantity === quantity ? [{ probe: series.probe, atMs, value, taken: at }] : [],
    );
  }

  /** For the sealer: the series with this number. */
  seriesNumbered(n: number): { readonly probe: string; readonly quantity: number } {
    const series = this.#byNumber.get(n);
    if (series === undefined) throw new Error(`the ledger has no series ${n}`);
    return series;
  }

  /** For the sealer: readings up to `untilMs` of series `n` are in blocks now. */
  noteSealed(n: number, untilMs: number): void {
    const series = this.#byNumber.get(n);
    if (series !== undefined) series.sealedUntilMs = Math.max(series.sealedUntilMs, untilMs);
  }

  #seriesOf(probe: string, quantity: number): Series {
    const key = keyOf(probe, quantity);
    const known = this.#series.get(key);
    if (known !== undefined) return known;
    const { lastInsertRowid } = this.#addSeries.run(probe, quantity);
    return this.#remember({ n: Number(lastInsertRowid), probe, quantity, sealedUntilMs: Number.NEGATIVE_INFINITY, latest: null });
  }

  #remember(series: Series): Series {
    this.#series.set(keyOf(series.probe, series.quantity), series);
    this.#byNumber.set(series.n, series);
    return series;
  }

  #sealedValue(series: Series, atMs: number): number | null {
    for (const { seq } of this.#spansOver.all(series.n, atMs - SEAL_SPAN_MS, atMs + 1, atMs)) {
      const found = this.#block(Number(seq), true).readings.find((reading) => reading.atMs === atMs);
      if (found !== undefined) return found.value;
    }
    return null;
  }

  #block(seq: number, keep: boolean): Block {
    const known = this.#decoded.get(seq);
    if (known !== undefined) return known;
    const block = decodeBlock(this.#leaves.blockBytes(seq));
    if (!keep) return block;
    if (this.#decoded.size >= DECODED_BLOCKS_MOST) {
      const oldest = this.#decoded.keys().next().value;
      if (oldest !== undefined) this.#decoded.delete(oldest);
    }
    this.#decoded.set(seq, block);
    return block;
  }

  /** Fills the maps from the disk; returns the number of readings ever taken. */
  #load(): number {
    const rows = this.#database
      .prepare(
        `SELECT series.n, probe, quantity, latest.at_ms AS sealed_ms, latest.value AS sealed_value
         FROM series LEFT JOIN latest ON latest.series = series.n ORDER BY series.n`,
      )
      .all();
    const newestHot = this.#database.prepare('SELECT at_ms, value FROM hot WHERE series = ? ORDER BY at_ms DESC LIMIT 1');
    for (const row of rows) {
      const sealed = row.sealed_ms === null ? null : { atMs: Number(row.sealed_ms), value: Number(row.sealed_value) };
      const hot = newestHot.get(Number(row.n));
      const newest = hot === undefined ? null : { atMs: Number(hot.at_ms), value: Number(hot.value) };
      this.#remember({
        n: Number(row.n),
        probe: String(row.probe),
        quantity: Number(row.quantity),
        sealedUntilMs: sealed?.atMs ?? Number.NEGATIVE_INFINITY,
        latest: newest !== null && (sealed === null || newest.atMs >= sealed.atMs) ? newest : sealed,
      });
    }
    const counted = this.#database.prepare("SELECT value FROM counter WHERE name = 'taken'").get();
    const hot = this.#database.prepare('SELECT max(taken) AS newest FROM hot').get();
    return Math.max(Number(counted?.value ?? 0), Number(hot?.newest ?? 0));
  }
}

function keyOf(probe: string, quantity: number): string {
  return `${quantity}/${probe}`;
}

function finite(ms: number): number {
  return Math.min(Math.max(ms, -8.64e15), 8.64e15);
}
