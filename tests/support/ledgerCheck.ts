import { createHash } from 'node:crypto';
import { DatabaseSync } from 'node:sqlite';
import { decodeBlock, type StoredReading } from '../../edge/evidence/block.ts';
import { Entry } from '../../edge/site/entries.ts';

/** A block stays within one of these. */
const HOUR_MS = 3_600_000;

/** Every reading in a ledger file, by quantity and probe ("0/p1"), then by instant. */
export type KeptReadings = Map<string, Map<number, StoredReading>>;

/**
 * Reads a ledger file past the program's own store and checks all that must hold in it, whatever happened before: leaves without
 * a hole and with the right hash, every block whole and with exactly its span, every reading in one place only.
 * Throws at the first thing that is wrong. Nobody else may be writing.
 */
export function checkLedger(path: string): KeptReadings {
  const database = new DatabaseSync(path);
  try {
    return checked(database);
  } finally {
    database.close();
  }
}

function checked(database: DatabaseSync): KeptReadings {
  const rows = (sql: string) => database.prepare(sql).all();
  must(rows('PRAGMA integrity_check')[0]?.integrity_check === 'ok', 'SQLite finds the file damaged');
  must(rows('PRAGMA foreign_key_check').length === 0, 'a row refers to nothing');

  const kept: KeptReadings = new Map();
  const take = (key: string, reading: StoredReading) => {
    const own = kept.get(key) ?? new Map<number, StoredReading>();
    must(!own.has(reading.atMs), `${key} has two readings at ${reading.atMs}`);
    kept.set(key, own.set(reading.atMs, reading));
  };

  const keyOf = new Map(rows('SELECT n, probe, quantity FROM series').map((row) => [row.n, `${row.quantity}/${row.probe}`]));
  const spans = new Map(rows('SELECT series, first_ms, seq FROM span').map((row) => [row.seq, row]));
  const newestSealed = new Map<string, StoredReading>();
  let blocks = 0;
  rows('SELECT seq, kind, body, hash FROM leaf ORDER BY seq').forEach(({ seq, kind, body, hash }, index) => {
    must(seq === index + 1, `leaf ${seq} stands where ${index + 1} should`);
    const bytes = body as Uint8Array;
    const expected = createHash('sha256').update(Uint8Array.of(0)).update(bytes).digest();
    must(expected.equals(hash as Uint8Array), `leaf ${seq} has another hash`);
    if (kind === 1) {
      Entry.parse(JSON.parse(new TextDecoder('utf-8', { fatal: true }).decode(bytes)));
      return;
    }
    blocks++;
    const { probe, quantity, readings } = decodeBlock(bytes);
    const key = `${quantity}/${probe}`;
    const first = readings[0] as StoredReading;
    const last = readings.at(-1) as StoredReading;
    const hourOf = ({ atMs }: StoredReading) => Math.floor(atMs / HOUR_MS);
    must(hourOf(first) === hourOf(last), `block ${seq} reaches over an hour`);
    const span = spans.get(seq as number);
    must(span !== undefined && keyOf.get(span.series as number) === key, `block ${seq} has no span`);
    must(span?.first_ms === first.atMs, `the span of block ${seq} begins elsewhere`);
    for (const reading of readings) take(key, reading);
    const newest = newestSealed.get(key);
    if (newest === undefined || last.atMs > newest.atMs) newestSealed.set(key, last);
  });
  must(spans.size === blocks, 'a span has no block');

  const latest = rows('SELECT series, at_ms, value FROM latest');
  must(latest.length === newestSealed.size, 'a sealed series has no newest reading');
  for (const { series, at_ms, value } of latest) {
    const newest = newestSealed.get(keyOf.get(series as number) as string);
    must(newest?.atMs === at_ms && newest?.value === value, `series ${series} names another newest sealed reading`);
  }

  const hot = rows('SELECT series, at_ms, value, basis, arrival_ms, mono_ms, boot, taken FROM hot');
  for (const row of hot) take(keyOf.get(row.series as number) as string, readingIn(row));
  const counted = Number(rows("SELECT value FROM counter WHERE name = 'taken'")[0]?.value ?? 0);
  const taken = Math.max(counted, ...hot.map((row) => Number(row.taken)));
  const total = [...kept.values()].reduce((sum, own) => sum + own.size, 0);
  must(taken === total, `${taken} readings were counted, but there are ${total}`);
  return kept;
}

/** The readings from `fromMs` (inclusive) to `untilMs` (exclusive) in a ledger file. Throws when one is there twice. */
export function readingsBetween(path: string, fromMs: number, untilMs: number): KeptReadings {
  const database = new DatabaseSync(path);
  const kept: KeptReadings = new Map();
  const take = (probe: unknown, quantity: unknown, reading: StoredReading) => {
    if (reading.atMs < fromMs || reading.atMs >= untilMs) return;
    const key = `${quantity}/${probe}`;
    const own = kept.get(key) ?? new Map<number, StoredReading>();
    must(!own.has(reading.atMs), `${key} has two readings at ${reading.atMs}`);
    kept.set(key, own.set(reading.atMs, reading));
  };
  try {
    const hot = database.prepare('SELECT * FROM hot JOIN series ON n = series WHERE at_ms >= ? AND at_ms < ?');
    for (const row of hot.iterate(fromMs, untilMs)) take(row.probe, row.quantity, readingIn(row));
    const blocks = database.prepare('SELECT body FROM span JOIN leaf USING (seq) WHERE first_ms > ? AND first_ms < ?');
    for (const { body } of blocks.iterate(fromMs - HOUR_MS, untilMs)) {
      const { probe, quantity, readings } = decodeBlock(body as Uint8Array);
      for (const reading of readings) take(probe, quantity, reading);
    }
  } finally {
    database.close();
  }
  return kept;
}

function readingIn(row: Readonly<Record<string, unknown>>): StoredReading {
  return {
    atMs: Number(row.at_ms),
    value: Number(row.value),
    basis: Number(row.basis),
    arrivalMs: Number(row.arrival_ms),
    monoMs: Number(row.mono_ms),
    boot: Number(row.boot),
  };
}

function must(holds: boolean, otherwise: string): void {
  if (!holds) throw new Error(`the ledger does not hold together: ${otherwise}`);
}
