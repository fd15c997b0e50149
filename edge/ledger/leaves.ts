import { createHash } from 'node:crypto';
import type { DatabaseSync, StatementSync } from 'node:sqlite';
import { type By, Entry, type Kept } from '../site/entries.ts';
import { canonicalJson } from './canonical.ts';

const ENTRY = 1;
const BLOCK = 2;

/** Hash of a leaf: SHA-256 over 0x00 and the leaf's bytes (RFC 6962 §2.1). */
export function leafHash(body: Uint8Array): Uint8Array {
  return createHash('sha256').update(Uint8Array.of(0)).update(body).digest();
}

/** Where a leaf stands in the ledger: `seq` counts from 1, `hash` is lower-case hexadecimal. */
export interface Appended {
  readonly seq: number;
  readonly hash: string;
}

/** An entry and its place in the ledger. */
export interface NumberedEntry {
  readonly seq: number;
  readonly entry: Entry;
}

/** The append-only list that everything else is derived from. */
export class Leaves {
  readonly #insert: StatementSync;
  readonly #entries: StatementSync;

  constructor(database: DatabaseSync) {
    this.#insert = database.prepare('INSERT INTO leaf (kind, body, hash) VALUES (?, ?, ?)');
    this.#entries = database.prepare('SELECT seq, body FROM leaf WHERE kind = 1 AND seq > ? ORDER BY seq');
  }

  /** Stamps a statement with who and when, and appends it. */
  appendEntry(statement: Kept, by: By, nowMs: number): Appended & { readonly entry: Entry } {
    const entry = Entry.parse({ ...statement, by, recordedAt: new Date(nowMs).toISOString() });
    return { ...this.#append(ENTRY, new TextEncoder().encode(canonicalJson(entry))), entry };
  }

  appendBlock(bytes: Uint8Array): Appended {
    return this.#append(BLOCK, bytes);
  }

  /** Entries after the place `after` in ledger order, each with its own. */
  *entries(after = 0): Generator<NumberedEntry> {
    const decoder = new TextDecoder('utf-8', { fatal: true });
    for (const row of this.#entries.iterate(after))
      yield { seq: Number(row.seq), entry: Entry.parse(JSON.parse(decoder.decode(row.body as Uint8Array))) };
  }

  #append(kind: number, body: Uint8Array): Appended {
    const hash = leafHash(body);
    const { lastInsertRowid } = this.#insert.run(kind, body, hash);
    return { seq: Number(lastInsertRowid), hash: Buffer.from(hash).toString('hex') };
  }
}
