import type { DatabaseSync } from 'node:sqlite';
import { Checkpoints, type FoldCheckpoint } from './checkpoints.ts';
import { openForReading } from './database.ts';
import { Leaves, type NumberedEntry } from './leaves.ts';
import { Quarantine, type Quarantined } from './quarantine.ts';
import { Readings } from './readings.ts';

/** The ledger of one site, to look at, while another connection writes: always what is committed at the time. */
export class LedgerView {
  readonly #database: DatabaseSync;
  readonly #leaves: Leaves;
  readonly #quarantine: Quarantine;
  readonly readings: Readings;

  /** The file must have been opened by `Ledger` before, which makes and upgrades it. */
  constructor(path: string) {
    this.#database = openForReading(path);
    this.#leaves = new Leaves(this.#database);
    this.#quarantine = new Quarantine(this.#database);
    this.readings = new Readings(this.#database);
  }

  /** Entries in ledger order, each with its place. */
  entries(): Generator<NumberedEntry> {
    return this.#leaves.entries();
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

  close(): void {
    this.#database.close();
  }
}
