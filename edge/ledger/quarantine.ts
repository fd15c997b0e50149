import type { DatabaseSync, StatementSync } from 'node:sqlite';

/** A message (or a part of one) that could not be taken, with why. */
export interface Quarantined {
  readonly atMs: number;
  /** Cut in the keeping, as `detail` is: either may repeat what a stranger sent. */
  readonly topic: string;
  readonly probe: string | null;
  /** Stable code, such as `malformed`. */
  readonly reason: string;
  /** What exactly is wrong and what would be right. */
  readonly detail: string;
  /** The message as it came, cut at `PAYLOAD_KEPT_BYTES`. */
  readonly payload: Uint8Array;
  /** Its length before the cut. */
  readonly bytes: number;
}

/** So much of a message tells what it was; with these bounds two rows fit a page of the file, and 20,000 stay below 50 MB. */
export const PAYLOAD_KEPT_BYTES = 1024;
const TOPIC_KEPT_BYTES = 200;
const DETAIL_KEPT_BYTES = 600;
/** Beyond this many rows the oldest make room: a device gone wild must not fill the disk. `total` keeps counting. */
export const ROWS_KEPT = 20_000;
const TRIM_EVERY = 256;

/** Messages that were acknowledged but not believed. They are kept for people to look at, and never fold. */
export class Quarantine {
  readonly #insert: StatementSync;
  readonly #trim: StatementSync;
  readonly #newest: StatementSync;
  readonly #total: StatementSync;

  constructor(database: DatabaseSync) {
    this.#insert = database.prepare(
      'INSERT INTO quarantine (at_ms, topic, probe, reason, detail, payload, bytes) VALUES (?, ?, ?, ?, ?, ?, ?)',
    );
    this.#trim = database.prepare('DELETE FROM quarantine WHERE id <= ?');
    this.#newest = database.prepare('SELECT * FROM quarantine ORDER BY id DESC LIMIT ?');
    this.#total = database.prepare('SELECT max(id) AS newest FROM quarantine');
  }

  /** How many were ever set aside. */
  total(): number {
    return Number(this.#total.get()?.newest ?? 0);
  }

  /** To be called within a transaction. */
  add(item: Quarantined): void {
    const payload = item.payload.subarray(0, PAYLOAD_KEPT_BYTES);
    const { lastInsertRowid } = this.#insert.run(
      item.atMs,
      cut(item.topic, TOPIC_KEPT_BYTES),
      item.probe,
      item.reason,
      cut(item.detail, DETAIL_KEPT_BYTES),
      payload,
      item.bytes,
    );
    const id = Number(lastInsertRowid);
    if (id % TRIM_EVERY === 0) this.#trim.run(id - ROWS_KEPT);
  }

  /** Newest first. */
  newest(limit: number): (Quarantined & { readonly id: number })[] {
    return this.#newest.all(limit).map((row) => ({
      id: Number(row.id),
      atMs: Number(row.at_ms),
      topic: String(row.topic),
      probe: row.probe === null ? null : String(row.probe),
      reason: String(row.reason),
      detail: String(row.detail),
      payload: row.payload as Uint8Array,
      bytes: Number(row.bytes),
    }));
  }
}

/** The beginning of a text; a character that the cut divides becomes U+FFFD. */
function cut(text: string, bytesMost: number): string {
  const bytes = Buffer.from(text);
  return bytes.length <= bytesMost ? text : `${bytes.subarray(0, bytesMost - 3).toString()}…`;
}
