import type { DatabaseSync, StatementSync } from 'node:sqlite';
import { type Block, decodeBlock } from '../evidence/block.ts';
import { Checkpoints, type FoldCheckpoint } from './checkpoints.ts';
import { openForReading } from './database.ts';
import { type Leaf, Leaves, type NumberedEntry } from './leaves.ts';
import { Quarantine, type Quarantined } from './quarantine.ts';
import { Readings } from './readings.ts';
import { SignedCheckpoints } from './signedCheckpoints.ts';
import type { Tree } from './tree.ts';

/** A block and its place in the ledger. */
export interface NumberedBlock {
  readonly seq: number;
  readonly block: Block;
}

/** The ledger of one site, to look at, while another connection writes: always what is committed at the time. */
export class LedgerView {
  readonly #database: DatabaseSync;
  readonly #leaves: Leaves;
  readonly #quarantine: Quarantine;
  readonly #blocksAfter: StatementSync;
  readonly #cursor: StatementSync;
  readonly readings: Readings;
  readonly signed: SignedCheckpoints;

  /** The file must have been opened by `Ledger` before, which makes and upgrades it. */
  constructor(path: string) {
    this.#database = openForReading(path);
    this.#leaves = new Leaves(this.#database);
    this.#quarantine = new Quarantine(this.#database);
    this.#blocksAfter = this.#database.prepare('SELECT seq, body FROM leaf WHERE seq > ? AND kind = 2 ORDER BY seq');
    this.#cursor = this.#database.prepare('SELECT seq FROM relay_cursor WHERE name = ?');
    this.readings = new Readings(this.#database);
    this.signed = new SignedCheckpoints(this.#database);
  }

  /** Entries after the place `after` in ledger order, each with its own. */
  entries(after = 0): Generator<NumberedEntry> {
    return this.#leaves.entries(after);
  }

  /** Leaves after the place `after` in ledger order. */
  leaves(after = 0): Generator<Leaf> {
    return this.#leaves.after(after);
  }

  /** The Merkle tree over the leaves. */
  get tree(): Tree {
    return this.#leaves.tree;
  }

  checkpoints(): FoldCheckpoint[] {
    return new Checkpoints(this.#database).all();
  }

  /** How many messages were ever set aside. */
  quarantined(): number {
    return this.#quarantine.total();
  }

  /** Messages set aside, newest first. */
  quarantine(limit: number): (Quarantined & { readonly id: number })[] {
    return this.#quarantine.newest(limit);
  }

  /** Number of readings not yet sealed. */
  hotCount(): number {
    return Number(this.#database.prepare('SELECT count(*) AS n FROM hot').get()?.n);
  }

  /** Blocks after leaf `seq`, in ledger order, until they hold `readingsMost` readings; the last one is whole all the same. */
  blocksAfter(seq: number, readingsMost: number): NumberedBlock[] {
    const found: NumberedBlock[] = [];
    let readings = 0;
    for (const row of this.#blocksAfter.iterate(seq)) {
      const block = decodeBlock(row.body as Uint8Array);
      found.push({ seq: Number(row.seq), block });
      readings += block.readings.length;
      if (readings >= readingsMost) break;
    }
    return found;
  }

  /** Up to which leaf the relay of this name has sent; 0 before its first. */
  cursor(name: string): number {
    return Number(this.#cursor.get(name)?.seq ?? 0);
  }

  close(): void {
    this.#database.close();
  }
}
