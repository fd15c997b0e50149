import type { DatabaseSync } from 'node:sqlite';
import { encodeBlock, type StoredReading } from '../evidence/block.ts';
import { SEAL_SPAN_MS } from './blocks.ts';
import { inTransaction } from './database.ts';
import type { Leaves } from './leaves.ts';
import type { Taker } from './taker.ts';

interface Sealed {
  readonly series: number;
  readonly lastMs: number;
  readonly count: number;
}

/** Blocks made in one transaction, and readings in one block: few enough that intake waits for milliseconds only. */
const BLOCKS_AT_ONCE = 64;
const READINGS_MOST = 5_000;

/**
 * Seals the hot readings before `untilMs` among the first `taken` ever taken into blocks, one per series and UTC hour (more where a
 * probe sent very much, or where `untilMs` is within an hour), and takes the hot rows away in the same transaction. A reading that
 * came late finds its hour sealed and makes a further block; no block ever changes. Yields between transactions, so that others may
 * work; returns the number of blocks made.
 */
export async function seal(
  database: DatabaseSync,
  leaves: Leaves,
  taker: Taker,
  untilMs: number,
  taken: number,
): Promise<number> {
  const groups = database
    .prepare(
      `SELECT series, at_ms / ${SEAL_SPAN_MS} AS hour FROM hot WHERE at_ms < ? AND taken <= ? GROUP BY series, hour ORDER BY series, hour`,
    )
    .all(untilMs, taken);
  const select = database.prepare(
    `SELECT at_ms, value, basis, arrival_ms, mono_ms, boot FROM hot
     WHERE series = ? AND at_ms >= ? AND at_ms < ? AND taken <= ? ORDER BY at_ms LIMIT ${READINGS_MOST}`,
  );
  const remove = database.prepare('DELETE FROM hot WHERE series = ? AND at_ms >= ? AND at_ms <= ? AND taken <= ?');
  const addSpan = database.prepare('INSERT INTO span (series, first_ms, seq) VALUES (?, ?, ?)');
  const setLatest = database.prepare(
    `INSERT INTO latest (series, at_ms, value) VALUES (?, ?, ?)
     ON CONFLICT (series) DO UPDATE SET at_ms = excluded.at_ms, value = excluded.value WHERE excluded.at_ms > latest.at_ms`,
  );
  const count = database.prepare(
    `INSERT INTO counter (name, value) VALUES ('taken', ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value`,
  );

  /** Makes one block of what a series and hour still have; null when they have nothing. */
  const sealOne = (series: number, hour: number): Sealed | null => {
    const fromMs = hour * SEAL_SPAN_MS;
    const rows = select.all(series, fromMs, Math.min(fromMs + SEAL_SPAN_MS, untilMs), taken).map(
      (row): StoredReading => ({
        atMs: Number(row.at_ms),
        value: Number(row.value),
        basis: Number(row.basis),
        arrivalMs: Number(row.arrival_ms),
        monoMs: Number(row.mono_ms),
        boot: Number(row.boot),
      }),
    );
    const oldest = rows[0];
    const newest = rows.at(-1);
    if (newest === undefined || oldest === undefined) return null;
    const { seq } = leaves.appendBlock(encodeBlock({ ...taker.seriesNumbered(series), readings: rows }));
    addSpan.run(series, oldest.atMs, seq);
    remove.run(series, fromMs, newest.atMs, taken);
    setLatest.run(series, newest.atMs, newest.value);
    return { series, lastMs: newest.atMs, count: rows.length };
  };

  let blocks = 0;
  const waiting = groups.map(({ series, hour }) => ({ series: Number(series), hour: Number(hour) })).reverse();
  while (waiting.length > 0) {
    const sealed: Sealed[] = [];
    inTransaction(database, () => {
      let readings = 0;
      while (sealed.length < BLOCKS_AT_ONCE && readings < READINGS_MOST) {
        const next = waiting.at(-1);
        if (next === undefined) break;
        const block = sealOne(next.series, next.hour);
        if (block === null) waiting.pop();
        else {
          sealed.push(block);
          readings += block.count;
        }
      }
      count.run(taker.taken);
    });
    for (const { series, lastMs } of sealed) taker.noteSealed(series, lastMs);
    blocks += sealed.length;
    await new Promise((resolve) => setImmediate(resolve));
  }
  return blocks;
}
