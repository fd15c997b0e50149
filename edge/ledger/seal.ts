import type { DatabaseSync } from 'node:sqlite';
import { encodeBlock, type StoredReading } from './block.ts';
import { inTransaction } from './database.ts';
import type { Leaves } from './leaves.ts';
import { type Readings, SEAL_SPAN_MS } from './readings.ts';

/** Groups sealed in one transaction: few enough that intake waits for milliseconds only. */
const GROUPS_AT_ONCE = 64;

/**
 * Seals every hot reading before `untilMs` (a whole UTC hour) into blocks, one per series and hour, and takes the hot rows away
 * in the same transaction. A reading that came late finds its hour sealed and makes a further block; no block ever changes.
 * Yields between transactions, so that others may work; returns the number of blocks made.
 */
export async function seal(database: DatabaseSync, leaves: Leaves, readings: Readings, untilMs: number): Promise<number> {
  const groups = database
    .prepare(
      `SELECT series, at_ms / ${SEAL_SPAN_MS} AS hour FROM hot WHERE at_ms < ? GROUP BY series, hour ORDER BY series, hour`,
    )
    .all(untilMs);
  const select = database.prepare(
    'SELECT at_ms, value, basis, arrival_ms, mono_ms, boot FROM hot WHERE series = ? AND at_ms >= ? AND at_ms < ? ORDER BY at_ms',
  );
  const addSpan = database.prepare('INSERT INTO span (series, first_ms, seq, last_ms, readings) VALUES (?, ?, ?, ?, ?)');
  const remove = database.prepare('DELETE FROM hot WHERE series = ? AND at_ms >= ? AND at_ms < ?');
  const setLatest = database.prepare(
    `INSERT INTO latest (series, at_ms, value) VALUES (?, ?, ?)
     ON CONFLICT (series) DO UPDATE SET at_ms = excluded.at_ms, value = excluded.value WHERE excluded.at_ms > latest.at_ms`,
  );
  const count = database.prepare(
    "INSERT INTO counter (name, value) VALUES ('taken', ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
  );

  for (let start = 0; start < groups.length; start += GROUPS_AT_ONCE) {
    const sealed: { series: number; lastMs: number }[] = [];
    inTransaction(database, () => {
      for (const group of groups.slice(start, start + GROUPS_AT_ONCE)) {
        const series = Number(group.series);
        const fromMs = Number(group.hour) * SEAL_SPAN_MS;
        const rows = select.all(series, fromMs, fromMs + SEAL_SPAN_MS).map(
          (row): StoredReading => ({
            atMs: Number(row.at_ms),
            value: Number(row.value),
            basis: Number(row.basis),
            arrivalMs: Number(row.arrival_ms),
            monoMs: Number(row.mono_ms),
            boot: Number(row.boot),
          }),
        );
        const newest = rows.at(-1);
        const oldest = rows[0];
        if (newest === undefined || oldest === undefined) continue;
        const { seq } = leaves.appendBlock(encodeBlock({ ...readings.seriesNumbered(series), readings: rows }));
        addSpan.run(series, oldest.atMs, seq, newest.atMs, rows.length);
        remove.run(series, fromMs, fromMs + SEAL_SPAN_MS);
        setLatest.run(series, newest.atMs, newest.value);
        sealed.push({ series, lastMs: newest.atMs });
      }
      count.run(readings.taken);
    });
    for (const { series, lastMs } of sealed) readings.noteSealed(series, lastMs);
    await new Promise((resolve) => setImmediate(resolve));
  }
  return groups.length;
}
