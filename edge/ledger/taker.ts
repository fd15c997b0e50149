import type { DatabaseSync, StatementSync } from 'node:sqlite';
import type { StoredReading } from '../evidence/block.ts';
import { Blocks } from './blocks.ts';
import { Readings } from './readings.ts';

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

interface Series {
  readonly n: number;
  readonly probe: string;
  readonly quantity: number;
  /** Newest sealed instant: what is later cannot be in a block. */
  sealedUntilMs: number;
}

const NEW: Fate = { kind: 'new' };
const SAME: Fate = { kind: 'same' };

/** Takes readings into the hot rows, each probe's instant once. The one place that decides what is a duplicate. */
export class Taker {
  readonly #database: DatabaseSync;
  readonly #blocks: Blocks;
  readonly #insert: StatementSync;
  readonly #hotValue: StatementSync;
  readonly #addSeries: StatementSync;
  readonly #series = new Map<string, Series>();
  readonly #byNumber = new Map<number, Series>();
  #taken = 0;

  constructor(database: DatabaseSync) {
    this.#database = database;
    this.#blocks = new Blocks(database);
    this.#insert = database.prepare(
      `INSERT INTO hot (series, at_ms, value, basis, arrival_ms, mono_ms, boot, taken) VALUES (?, ?, ?, ?, ?, ?, ?, ?)
       ON CONFLICT DO NOTHING`,
    );
    this.#hotValue = database.prepare('SELECT value FROM hot WHERE series = ? AND at_ms = ?');
    this.#addSeries = database.prepare('INSERT INTO series (probe, quantity) VALUES (?, ?)');
    this.reload();
  }

  /** Number of readings ever taken. */
  get taken(): number {
    return this.#taken;
  }

  /** To be called within a transaction; only its commit makes the reading count. */
  take(reading: IncomingReading): Fate {
    const series = this.#seriesOf(reading.probe, reading.quantity);
    const { atMs, value, basis, arrivalMs, monoMs, boot } = reading;
    const kept = atMs <= series.sealedUntilMs ? this.#sealedValue(series, atMs) : null;
    if (kept !== null) return sameOrNot(reading, kept);
    const { changes } = this.#insert.run(series.n, atMs, value, basis, arrivalMs, monoMs, boot, this.#taken + 1);
    if (changes === 0) return sameOrNot(reading, Number(this.#hotValue.get(series.n, atMs)?.value));
    this.#taken++;
    return NEW;
  }

  /** After a rolled-back transaction: knows again what the disk knows, and no more. */
  reload(): void {
    this.#series.clear();
    this.#byNumber.clear();
    const rows = this.#database
      .prepare('SELECT n, probe, quantity, latest.at_ms AS sealed_ms FROM series LEFT JOIN latest ON latest.series = series.n')
      .all();
    for (const row of rows) {
      const sealedUntilMs = Number(row.sealed_ms ?? Number.NEGATIVE_INFINITY);
      this.#remember({ n: Number(row.n), probe: String(row.probe), quantity: Number(row.quantity), sealedUntilMs });
    }
    this.#taken = new Readings(this.#database).taken;
  }

  /** The series with this number. */
  seriesNumbered(n: number): { readonly probe: string; readonly quantity: number } {
    const series = this.#byNumber.get(n);
    if (series === undefined) throw new Error(`the ledger has no series ${n}`);
    return series;
  }

  /** Readings up to `untilMs` of series `n` are in blocks now. */
  noteSealed(n: number, untilMs: number): void {
    const series = this.#byNumber.get(n);
    if (series !== undefined) series.sealedUntilMs = Math.max(series.sealedUntilMs, untilMs);
  }

  #seriesOf(probe: string, quantity: number): Series {
    const known = this.#series.get(keyOf(probe, quantity));
    if (known !== undefined) return known;
    const { lastInsertRowid } = this.#addSeries.run(probe, quantity);
    return this.#remember({ n: Number(lastInsertRowid), probe, quantity, sealedUntilMs: Number.NEGATIVE_INFINITY });
  }

  #remember(series: Series): Series {
    this.#series.set(keyOf(series.probe, series.quantity), series);
    this.#byNumber.set(series.n, series);
    return series;
  }

  #sealedValue(series: Series, atMs: number): number | null {
    for (const { readings } of this.#blocks.over(series.n, atMs, atMs + 1)) {
      const found = readings.find((reading) => reading.atMs === atMs);
      if (found !== undefined) return found.value;
    }
    return null;
  }
}

function sameOrNot(reading: IncomingReading, keptValue: number): Fate {
  return keptValue === reading.value ? SAME : { kind: 'conflict', keptValue };
}

function keyOf(probe: string, quantity: number): string {
  return `${quantity}/${probe}`;
}
