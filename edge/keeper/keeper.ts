import { Worker } from 'node:worker_threads';
import type { FoldCheckpoint } from '../ledger/checkpoints.ts';
import type { Appended } from '../ledger/leaves.ts';
import type { ImportedReadings, Said } from '../ledger/ledger.ts';
import type { SignedCheckpoint } from '../ledger/signedCheckpoints.ts';
import type { IncomingReading } from '../ledger/taker.ts';
import type { Entry } from '../site/entries.ts';
import type { MessageBatch, TakenColumns } from './batch.ts';

export type Question =
  | { readonly kind: 'deliver'; readonly batch: MessageBatch; readonly boot: number }
  | { readonly kind: 'import'; readonly readings: readonly IncomingReading[] }
  | { readonly kind: 'append'; readonly said: readonly Said[]; readonly nowMs: number }
  | { readonly kind: 'keepCheckpoints'; readonly checkpoints: readonly FoldCheckpoint[] }
  | { readonly kind: 'keepCursor'; readonly name: string; readonly seq: number }
  | { readonly kind: 'seal'; readonly untilMs: number; readonly taken: number }
  | { readonly kind: 'checkpoint'; readonly nowMs: number }
  | { readonly kind: 'close' };

/** Answer to the question with the same `id`; 0 is the opening of the ledger. */
export type Answer =
  | { readonly id: number; readonly value: unknown }
  | { readonly id: number; readonly fault: { readonly message: string; readonly ofStorage: boolean } };

/** What the thread says once it has opened the ledger. */
export interface Opened {
  /** The site's public key, 32 bytes. */
  readonly publicKey: Uint8Array;
  /** Why this ledger may not be gone on with; null: it may. */
  readonly unsound: string | null;
}

/** The ledger could not do what it was asked. `ofStorage`: the file or the disk is at fault, and nothing can be trusted to be kept. */
export class LedgerFault extends Error {
  readonly ofStorage: boolean;

  constructor(message: string, ofStorage: boolean) {
    super(message);
    this.name = 'LedgerFault';
    this.ofStorage = ofStorage;
  }
}

/** What a batch of messages came to. */
export interface KeptBatch {
  readonly taken: TakenColumns;
  /** Messages and parts of messages that went to the quarantine. */
  readonly setAside: number;
}

/** Readings of a file go to the thread in pieces of this size, each a transaction: intake waits for one of them at most. */
const IMPORTED_AT_ONCE = 10_000;

interface Pending {
  readonly resolve: (value: never) => void;
  readonly reject: (fault: LedgerFault) => void;
}

/**
 * Keeps the ledger, on a thread of its own: a slow disk holds up acknowledgements, which is right, and neither the pages nor the
 * connections, which would be wrong. Questions are answered in the order they were put.
 */
export class Keeper {
  readonly #worker: Worker;
  readonly #pending = new Map<number, Pending>();
  #opened: Opened | null = null;
  #asked = 0;
  #gone: LedgerFault | null = null;

  /** @throws Error for a ledger or a site key that cannot be used; see `openDatabase` and `Signer.open`. */
  static async open(path: string, site: string): Promise<Keeper> {
    const keeper = new Keeper(new Worker(new URL('./thread.ts', import.meta.url), { workerData: { path, site } }));
    try {
      keeper.#opened = await new Promise<Opened>((resolve, reject) => keeper.#pending.set(0, { resolve, reject }));
      return keeper;
    } catch (fault) {
      await keeper.#worker.terminate();
      throw fault;
    }
  }

  private constructor(worker: Worker) {
    this.#worker = worker;
    worker.on('message', (answer: Answer) => this.#settle(answer));
    worker.on('error', (fault) => this.#fail(new LedgerFault(String(fault), true)));
    worker.on('exit', () => this.#fail(new LedgerFault('the ledger is closed', true)));
  }

  /** The key that checkpoints are signed with: its public half, 32 bytes. */
  get publicKey(): Uint8Array {
    return this.#asOpened.publicKey;
  }

  /** Why the ledger is not the one that was signed for, so that nothing is written to it; null: it is. */
  get unsound(): string | null {
    return this.#asOpened.unsound;
  }

  get #asOpened(): Opened {
    if (this.#opened === null) throw new Error('the ledger is not open yet');
    return this.#opened;
  }

  /** Accepts and commits a batch, as one transaction with one sync of the disk. */
  deliver(batch: MessageBatch, boot: number): Promise<KeptBatch> {
    return this.#ask({ kind: 'deliver', batch, boot });
  }

  /**
   * Takes readings of a file, piece by piece, each as one transaction. A fault leaves the pieces before it in the ledger; importing
   * the file again finds them there.
   */
  async importReadings(readings: Iterable<IncomingReading>): Promise<ImportedReadings> {
    let sum: ImportedReadings = { new: 0, same: 0, conflicts: 0, taken: 0 };
    for (const piece of piecesOf(readings, IMPORTED_AT_ONCE)) {
      const came = await this.#ask<ImportedReadings>({ kind: 'import', readings: piece });
      sum = {
        new: sum.new + came.new,
        same: sum.same + came.same,
        conflicts: sum.conflicts + came.conflicts,
        taken: came.taken,
      };
    }
    return sum;
  }

  /** Appends statements as one: all of them or none. */
  append(said: readonly Said[], nowMs: number): Promise<(Appended & { readonly entry: Entry })[]> {
    return this.#ask({ kind: 'append', said, nowMs });
  }

  keepCheckpoints(checkpoints: readonly FoldCheckpoint[]): Promise<void> {
    return this.#ask({ kind: 'keepCheckpoints', checkpoints });
  }

  /** See `Ledger.keepCursor`. */
  keepCursor(name: string, seq: number): Promise<void> {
    return this.#ask({ kind: 'keepCursor', name, seq });
  }

  /** Number of blocks made; see `Ledger.seal`. */
  seal(untilMs: number, taken: number): Promise<number> {
    return this.#ask({ kind: 'seal', untilMs, taken });
  }

  /** Signs for the ledger as it is, with all that was asked before; see `Ledger.checkpoint`. */
  checkpoint(nowMs: number): Promise<SignedCheckpoint> {
    return this.#ask({ kind: 'checkpoint', nowMs });
  }

  async close(): Promise<void> {
    await this.#ask<void>({ kind: 'close' });
    await this.#worker.terminate();
  }

  #ask<T>(question: Question): Promise<T> {
    if (this.#gone !== null) return Promise.reject(this.#gone);
    const id = ++this.#asked;
    return new Promise<T>((resolve, reject) => {
      this.#pending.set(id, { resolve, reject });
      this.#worker.postMessage({ id, question });
    });
  }

  #settle(answer: Answer): void {
    const pending = this.#pending.get(answer.id);
    this.#pending.delete(answer.id);
    if ('fault' in answer) pending?.reject(new LedgerFault(answer.fault.message, answer.fault.ofStorage));
    else pending?.resolve(answer.value as never);
  }

  #fail(fault: LedgerFault): void {
    this.#gone ??= fault;
    for (const { reject } of this.#pending.values()) reject(fault);
    this.#pending.clear();
  }
}

/** The last piece is shorter, or empty. */
function* piecesOf<T>(items: Iterable<T>, size: number): Generator<T[]> {
  let piece: T[] = [];
  for (const item of items) {
    if (piece.push(item) < size) continue;
    yield piece;
    piece = [];
  }
  yield piece;
}
