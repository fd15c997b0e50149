import type { DatabaseSync } from 'node:sqlite';
import { encodeBlock, type StoredReading } from './block.ts';
import { SEAL_SPAN_MS } from './blocks.ts';
import { inTransaction } from './database.ts';
import type { Leaves } from './leaves.ts';
import type { Taker } from './taker.ts';

/** Groups sealed in one transaction: few enough that intake waits for milliseconds only. */
const GROUPS_AT_ONCE = 64;

/**
 * Seals the hot readings before `untilMs` (a whole UTC hour) among the first `taken` ever taken into blocks, one per series and
 * hour, and takes the hot rows away in the same transaction. A reading that came late finds its hour sealed and makes a further
 * block; no block ever changes. Yields between transactions, so that others may work; returns the number of blocks made.
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
  const within = 'series = ? AND at_ms >= ? AND at_ms < ? AND taken <= ?';
  const select = database.prepare(
    `SELECT at_ms, value, basis, arrival_ms, mono_ms, boot FROM hot WHERE ${within} ORDER BY at_ms`,
  );
  const remove = database.prepare(`DELETE FROM hot WHERE ${within}`);
  const addSpan = database.prepare('INSERT INTO span (series, first_ms, seq) VALUES (?, ?, ?)');
  const setLatest = database.prepare(
    `INSERT INTO latest (series, at_ms, value) VALUES (?, ?, ?)
     ON CONFLICT (series) DO UPDATE SET at_ms = excluded.at_ms, value = excluded.value WHERE excluded.at_ms > latest.at_ms`,
  );
  const count = database.prepare(
    `INSERT INTO counter (name, value) VALUES ('taken', ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value`,
  );

  for (let start = 0; start < groups.length; start += GROUPS_AT_ONCE) {
    const sealed: { series: number; lastMs: number }[] = [];
    inTransaction(database, () => {
      for (const group of groups.slice(start, start + GROUPS_AT_ONCE)) {
        const series = Number(group.series);
        const fromMs = Number(group.hour) * SEAL_SPAN_MS;
        const span = [series, fromMs, fromMs + SEAL_SPAN_MS, taken] as const;
        const rows = select.all(...span).map(
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
        if (newest === undefined || oldest === undefined) continue;
        const { seq } = leaves.appendBlock(encodeBlock({ ...taker.seriesNumbered(series), readings: rows }));
        addSpan.run(series, oldest.atMs, seq);
        remove.run(...span);
        setLatest.run(series, newest.atMs, newest.value);
        sealed.push({ series, lastMs: newest.atMs });
      }
      count.run(taker.taken);
    });
    for (const { series, lastMs } of sealed) taker.noteSealed(series, lastMs);
    await new Promise((resolve) => setImmediate(resolve));
  }
  return groups.length;
}
