import type { DatabaseSync, StatementSync } from 'node:sqlite';
import type { ReadingSource } from '../evidence/readings.ts';
import type { Stamp } from '../site/mistimed.ts';
import { Blocks } from './blocks.ts';

/** Readings of one series in time order, as columns. */
export interface ReadingColumns {
  readonly atMs: Float64Array;
  /** Thousandths of the unit; of a level, micrometres. */
  readonly value: Int32Array;
}

export interface ProbeReading {
  readonly probe: string;
  /** Index into `QUANTITIES`. */
  readonly quantity: number;
  readonly atMs: number;
  /** Thousandths of the unit; of a level, micrometres. */
  readonly value: number;
}

export interface TakenReading extends ProbeReading, Stamp {
  /** Its number among all readings ever taken. */
  readonly taken: number;
}

/** Every reading that was ever accepted, to look at: hot rows and sealed blocks as one. */
export class Readings {
  readonly #blocks: Blocks;
  readonly #seriesOf: StatementSync;
  readonly #hot: StatementSync;
  readonly #hotSince: StatementSync;
  readonly #latest: StatementSync;
  readonly #taken: StatementSync;

  constructor(database: DatabaseSync) {
    this.#blocks = new Blocks(database);
    this.#seriesOf = database.prepare('SELECT n FROM series WHERE probe = ? AND quantity = ?');
    this.#hot = database.prepare(
      'SELECT at_ms, value, basis, boot, mono_ms FROM hot WHERE series = ? AND at_ms >= ? AND at_ms < ? ORDER BY at_ms',
    );
    this.#hot.setReturnArrays(true);
    this.#hotSince = database.prepare(
      'SELECT probe, quantity, at_ms, value, basis, boot, mono_ms, taken FROM hot JOIN series ON n = series WHERE taken > ? ORDER BY taken',
    );
    this.#latest = database.prepare(
      `SELECT probe, quantity, latest.at_ms AS sealed_ms, latest.value AS sealed_value, hot.at_ms AS hot_ms, hot.value AS hot_value
       FROM series
       LEFT JOIN latest ON latest.series = series.n
       LEFT JOIN hot ON hot.series = series.n AND hot.at_ms = (SELECT max(at_ms) FROM hot AS newer WHERE newer.series = series.n)
       ORDER BY series.n`,
    );
    this.#taken = database.prepare(
      `SELECT max(coalesce((SELECT value FROM counter WHERE name = 'taken'), 0), coalesce((SELECT max(taken) FROM hot), 0)) AS taken`,
    );
  }

  /** Number of readings ever taken: the position that fold checkpoints refer to. */
  get taken(): number {
    return Number(this.#taken.get()?.taken);
  }

  /** Readings with `fromMs` ≤ instant < `untilMs`, without those whose stamp does not count. */
  range(
    probe: string,
    quantity: number,
    fromMs: number,
    untilMs: number,
    counts: (stamp: Stamp) => boolean = all,
  ): ReadingColumns {
    return this.#range(probe, quantity, [fromMs, untilMs], counts, true);
  }

  /** Those that are in the ledger's leaves, without the hot ones. */
  readonly sealed: ReadingSource = {
    range: (source, quantity, fromMs, untilMs, counts = all) => this.#range(source, quantity, [fromMs, untilMs], counts, false),
  };

  #range(
    source: string,
    quantity: number,
    [fromMs, untilMs]: readonly [number, number],
    counts: (stamp: Stamp) => boolean,
    withHot: boolean,
  ): ReadingColumns {
    const series = this.#seriesOf.get(source, quantity);
    if (series === undefined) return { atMs: new Float64Array(0), value: new Int32Array(0) };
    const n = Number(series.n);
    const from = finite(fromMs);
    const until = finite(untilMs);
    const rows: [number, number][] = [];
    for (const row of withHot ? this.#hot.all(n, from, until) : []) {
      const [atMs, value, basis, boot, monoMs] = row as unknown as [number, number, number, number, number];
      if (counts({ atMs, basis, boot, monoMs })) rows.push([atMs, value]);
    }
    for (const { readings } of this.#blocks.over(n, from, until))
      for (const reading of readings)
        if (reading.atMs >= fromMs && reading.atMs < untilMs && counts(reading)) rows.push([reading.atMs, reading.value]);
    rows.sort((a, b) => a[0] - b[0]);
    // Hot rows that the writing thread sealed since they were read are in their block now too.
    const once = rows.filter(([atMs], index) => atMs !== rows[index - 1]?.[0]);
    return { atMs: Float64Array.from(once, (row) => row[0]), value: Int32Array.from(once, (row) => row[1]) };
  }

  /** Newest reading of every series that was ever heard, in the order of their first readings. */
  latest(): ProbeReading[] {
    return this.#latest.all().map((row) => {
      const hot = row.hot_ms !== null && (row.sealed_ms === null || Number(row.hot_ms) >= Number(row.sealed_ms));
      return {
        probe: String(row.probe),
        quantity: Number(row.quantity),
        atMs: Number(hot ? row.hot_ms : row.sealed_ms),
        value: Number(hot ? row.hot_value : row.sealed_value),
      };
    });
  }

  /** Unsealed readings that were taken after the first `taken`, in the order they were taken. */
  hotSince(taken: number): TakenReading[] {
    return this.#hotSince.all(taken).map((row) => ({
      probe: String(row.probe),
      quantity: Number(row.quantity),
      atMs: Number(row.at_ms),
      value: Number(row.value),
      basis: Number(row.basis),
      boot: Number(row.boot),
      monoMs: Number(row.mono_ms),
      taken: Number(row.taken),
    }));
  }
}

function all(): boolean {
  return true;
}

/** SQLite knows no infinities among its integers; these are the ends of ECMAScript's time. */
function finite(ms: number): number {
  return Math.min(Math.max(ms, -8.64e15), 8.64e15);
}
