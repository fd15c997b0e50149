import type { DatabaseSync } from 'node:sqlite';
import { inUnits } from '../intake/quantities.ts';
import type { By, Entry, Kept } from '../site/entries.ts';
import { Checkpoints, type FoldCheckpoint } from './checkpoints.ts';
import { inTransaction, openDatabase } from './database.ts';
import { InPlace } from './inPlace.ts';
import { type Appended, Leaves } from './leaves.ts';
import { Quarantine, type Quarantined } from './quarantine.ts';
import type { ProbeReading } from './readings.ts';
import { seal } from './seal.ts';
import { type Sign, type SignedCheckpoint, SignedCheckpoints } from './signedCheckpoints.ts';
import { type Fate, type IncomingReading, Taker } from './taker.ts';

/** What one message brings: readings to keep, and what of it is set aside. */
export interface Delivery {
  /** Where the message was published. */
  readonly topic: string;
  readonly readings: readonly IncomingReading[];
  readonly setAside: readonly Quarantined[];
}

/** A statement and who makes it. */
export interface Said {
  readonly statement: Kept;
  readonly by: By;
}

export interface Delivered {
  /** The readings that are new, in the order they came. */
  readonly taken: readonly ProbeReading[];
  /** Number of readings ever taken, these included. */
  readonly takenInAll: number;
  /** Number of messages and parts of messages that went to the quarantine. */
  readonly setAside: number;
}

/** What became of the readings of a file. */
export interface ImportedReadings {
  readonly new: number;
  /** In the ledger already, such as after a second import of the same file. */
  readonly same: number;
  /** Another value than the one that is kept for their instant; left out. */
  readonly conflicts: number;
  /** Number of readings ever taken, these included. */
  readonly taken: number;
}

/**
 * The ledger of one site, to write: it alone changes the file. Every method has all of its work on the disk when it returns, or
 * throws and has changed nothing.
 */
export class Ledger {
  readonly #database: DatabaseSync;
  readonly #leaves: Leaves;
  readonly #taker: Taker;
  readonly #quarantine: Quarantine;
  readonly #checkpoints: Checkpoints;
  readonly #signed: SignedCheckpoints;
  readonly #inPlace: InPlace;
  /** Resolves when all passes that were asked for are over; null while there is none. */
  #sealing: Promise<void> | null = null;

  /** @throws Error for a file that cannot be used; see `openDatabase`. */
  constructor(path: string) {
    this.#database = openDatabase(path);
    this.#leaves = new Leaves(this.#database);
    this.#taker = new Taker(this.#database);
    this.#quarantine = new Quarantine(this.#database);
    this.#checkpoints = new Checkpoints(this.#database);
    this.#signed = new SignedCheckpoints(this.#database);
    this.#leaves.tree.catchUp();
    this.#inPlace = new InPlace(path);
  }

  /** Appends statements as one: all of them or none. */
  append(said: readonly Said[], nowMs: number): (Appended & { readonly entry: Entry })[] {
    const appended = inTransaction(this.#database, () =>
      said.map(({ statement, by }) => this.#leaves.appendEntry(statement, by, nowMs)),
    );
    this.#inPlace.check();
    return appended;
  }

  /**
   * Commits what a batch of messages brought, as one transaction with one sync of the disk. A reading that contradicts one
   * already kept is set aside with both values named; several of one message go together.
   */
  deliver(deliveries: readonly Delivery[]): Delivered {
    const taken: IncomingReading[] = [];
    let setAsideCount = 0;
    const put = (item: Quarantined) => {
      this.#quarantine.add(item);
      setAsideCount++;
    };
    this.#takingAsOne(() => {
      for (const { topic, readings, setAside } of deliveries) {
        let first: Quarantined | null = null;
        let conflicts = 0;
        for (const reading of readings) {
          const fate = this.#taker.take(reading);
          if (fate.kind === 'new') taken.push(reading);
          if (fate.kind !== 'conflict') continue;
          first ??= contradiction(topic, reading, fate);
          conflicts++;
        }
        if (first !== null)
          put(conflicts === 1 ? first : { ...first, detail: `${first.detail} (and ${conflicts - 1} more like it)` });
        for (const item of setAside) put(item);
      }
    });
    return { taken, takenInAll: this.#taker.taken, setAside: setAsideCount };
  }

  /** Commits readings of a file, as one transaction with one sync of the disk. Nobody waits for an acknowledgement of each. */
  importReadings(readings: readonly IncomingReading[]): ImportedReadings {
    const count = { new: 0, same: 0, conflict: 0 };
    this.#takingAsOne(() => {
      for (const reading of readings) count[this.#taker.take(reading).kind]++;
    });
    return { new: count.new, same: count.same, conflicts: count.conflict, taken: this.#taker.taken };
  }

  keepCheckpoints(checkpoints: readonly FoldCheckpoint[]): void {
    inTransaction(this.#database, () => this.#checkpoints.replace(checkpoints));
  }

  /** Keeps how far a relay has come: everything up to leaf `seq` has arrived where it sends. */
  keepCursor(name: string, seq: number): void {
    this.#database
      .prepare('INSERT INTO relay_cursor (name, seq) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET seq = excluded.seq')
      .run(name, seq);
  }

  /**
   * Seals what was measured before `untilMs` and is among the first `taken` readings; see `seal`. Fold checkpoints at `taken` or
   * later must have been kept before. One pass at a time: a second one begins when the first is over. The number of blocks made.
   */
  seal(untilMs: number, taken: number): Promise<number> {
    const begin = () => seal(this.#database, this.#leaves, this.#taker, untilMs, taken);
    const pass = this.#sealing === null ? begin() : this.#sealing.then(begin);
    const settled = () => {
      if (this.#sealing === over) this.#sealing = null;
    };
    const over = pass.then(settled, settled);
    this.#sealing = over;
    return pass;
  }

  /**
   * Signs for the ledger as it is and keeps what was signed; if it has not grown since the last time, that one stands.
   * @throws LedgerUnsound; see `mustBeSound`.
   */
  checkpoint(sign: Sign, nowMs: number): SignedCheckpoint {
    const signed = inTransaction(this.#database, () => this.#signed.sign(this.#leaves.tree, sign, nowMs));
    this.#inPlace.check();
    return signed;
  }

  /** @throws LedgerUnsound, saying why, when the ledger does not go on from the newest checkpoint that was signed. */
  mustBeSound(): void {
    this.#signed.mustFit(this.#leaves.tree);
  }

  /** Work that takes readings, as one transaction. */
  #takingAsOne(work: () => void): void {
    try {
      inTransaction(this.#database, work);
    } catch (fault) {
      this.#taker.reload();
      throw fault;
    }
    this.#inPlace.check();
  }

  async close(): Promise<void> {
    await this.#sealing;
    this.#database.close();
  }
}

function contradiction(topic: string, reading: IncomingReading, fate: Fate & { kind: 'conflict' }): Quarantined {
  const payload = new TextEncoder().encode(JSON.stringify(reading));
  const at = new Date(reading.atMs).toISOString();
  const inUnit = (value: number) => inUnits(reading.quantity, value);
  return {
    atMs: reading.arrivalMs,
    topic,
    probe: reading.probe,
    reason: 'conflicting-duplicate',
    detail: `at ${at} the probe first said ${inUnit(fate.keptValue)}, now ${inUnit(reading.value)}; the first is kept`,
    payload,
    bytes: payload.length,
  };
}
