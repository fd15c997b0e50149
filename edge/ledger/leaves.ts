import type { DatabaseSync, StatementSync } from 'node:sqlite';
import { canonicalJson } from '../evidence/canonical.ts';
import { leafHash } from '../evidence/leaf.ts';
import { type By, Entry, type Kept } from '../site/entries.ts';
import { Tree } from './tree.ts';

const ENTRY = 1;
const BLOCK = 2;

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

/** A leaf as it stands in the ledger. */
export interface Leaf extends Appended {
  readonly kind: 'entry' | 'block';
  /** What its hash was taken of: canonical JSON in UTF-8, or a block. */
  readonly body: Uint8Array;
}

/** The append-only list that everything else is derived from, and the tree over it. */
export class Leaves {
  readonly tree: Tree;
  readonly #insert: StatementSync;
  readonly #entries: StatementSync;
  readonly #after: StatementSync;

  constructor(database: DatabaseSync) {
    this.tree = new Tree(database);
    this.#insert = database.prepare('INSERT INTO leaf (kind, body, hash) VALUES (?, ?, ?)');
    this.#after = database.prepare('SELECT seq, kind, body, hash FROM leaf WHERE seq > ? ORDER BY seq');
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

  /** Leaves after the place `after` in ledger order. */
  *after(after: number): Generator<Leaf> {
    for (const row of this.#after.iterate(after))
      yield {
        seq: Number(row.seq),
        kind: row.kind === ENTRY ? 'entry' : 'block',
        hash: hexOf(row.hash as Uint8Array),
        body: row.body as Uint8Array,
      };
  }

  #append(kind: number, body: Uint8Array): Appended {
    const hash = leafHash(body);
    const seq = Number(this.#insert.run(kind, body, hash).lastInsertRowid);
    this.tree.add(seq, hash);
    return { seq, hash: hexOf(hash) };
  }
}

function hexOf(bytes: Uint8Array): string {
  return Buffer.from(bytes).toString('hex');
}
