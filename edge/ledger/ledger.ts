import type { DatabaseSync } from 'node:sqlite';
import type { By, Entry, Statement, SystemStatement } from '../site/entries.ts';
import { Checkpoints, type FoldCheckpoint } from './checkpoints.ts';
import { inTransaction, openDatabase } from './database.ts';
import { type Appended, Leaves } from './leaves.ts';
import { Quarantine, type Quarantined } from './quarantine.ts';
import { type Fate, type IncomingReading, Readings } from './readings.ts';
import { seal } from './seal.ts';

/** What one message brings: readings to keep, and what of it is set aside. */
export interface Delivery {
  readonly readings: readonly IncomingReading[];
  readonly setAside: readonly Quarantined[];
}

/** A statement and who makes it. */
export interface Said {
  readonly statement: Statement | SystemStatement;
  readonly by: By;
}

/** One kept reading that is new, as the fold wants to know it. */
export interface TakenReading {
  readonly probe: string;
  readonly quantity: number;
  readonly atMs: number;
  readonly value: number;
}

/**
 * The ledger of one site: the only file that knows all of its parts. Every method that writes either has all of its work on the
 * disk when it returns, or throws and has changed nothing.
 */
export class Ledger {
  readonly #database: DatabaseSync;
  readonly leaves: Leaves;
  readonly readings: Readings;
  readonly quarantine: Quarantine;
  readonly #checkpoints: Checkpoints;
  #sealing: Promise<number> | null = null;

  /** @throws Error for a file that cannot be used; see `openDatabase`. */
  constructor(path: string) {
    this.#database = openDatabase(path);
    this.leaves = new Leaves(this.#database);
    this.readings = new Readings(this.#database, this.leaves);
    this.quarantine = new Quarantine(this.#database);
    this.#checkpoints = new Checkpoints(this.#database);
  }

  /** Appends statements as one: all of them or none. */
  append(said: readonly Said[], nowMs: number): (Appended & { readonly entry: Entry })[] {
    return inTransaction(this.#database, () => said.map(({ statement, by }) => this.leaves.appendEntry(statement, by, nowMs)));
  }

  /**
   * Commits what a batch of messages brought, as one transaction with one sync of the disk. A reading that contradicts one
   * already kept is set aside with both values named. Returns the readings that are new, in the order they came.
   */
  deliver(deliveries: readonly Delivery[]): TakenReading[] {
    const taken: TakenReading[] = [];
    try {
      inTransaction(this.#database, () => {
        for (const { readings, setAside } of deliveries) {
          for (const reading of readings) {
            const fate = this.readings.take(reading);
            if (fate.kind === 'new') taken.push(reading);
            else if (fate.kind === 'conflict') this.quarantine.add(contradiction(reading, fate));
          }
          for (const item of setAside) this.quarantine.add(item);
        }
      });
    } catch (fault) {
      this.readings.reload();
      throw fault;
    }
    return taken;
  }

  keepCheckpoints(checkpoints: readonly FoldCheckpoint[]): void {
    inTransaction(this.#database, () => {
      for (const checkpoint of checkpoints) this.#checkpoints.put(checkpoint);
    });
  }

  checkpoints(): FoldCheckpoint[] {
    return this.#checkpoints.all();
  }

  /** Number of readings not yet sealed. */
  hotCount(): number {
    return Number(this.#database.prepare('SELECT count(*) AS n FROM hot').get()?.n);
  }

  /** Seals everything before a whole hour; see `seal`. One pass at a time: a second call waits for the first. */
  async seal(untilMs: number): Promise<number> {
    if (this.#sealing !== null) return this.#sealing;
    this.#sealing = seal(this.#database, this.leaves, this.readings, untilMs).finally(() => {
      this.#sealing = null;
    });
    return this.#sealing;
  }

  async close(): Promise<void> {
    await this.#sealing;
    this.#database.close();
  }
}

function contradiction(reading: IncomingReading, fate: Fate & { kind: 'conflict' }): Quarantined {
  const payload = new TextEncoder().encode(JSON.stringify(reading));
  return {
    atMs: reading.arrivalMs,
    topic: '',
    probe: reading.probe,
    reason: 'conflicting-duplicate',
    detail: `at ${new Date(reading.atMs).toISOString()} the probe first said ${fate.keptValue / 1000}, now ${reading.value / 1000}; the first is kept`,
    payload,
    bytes: payload.length,
  };
}
