import type { DatabaseSync, StatementSync } from 'node:sqlite';
import type { Tree } from './tree.ts';

/** What the site has vouched for with its key. */
export interface SignedCheckpoint {
  /** Number of leaves. */
  readonly size: number;
  /** Root over them. */
  readonly root: Uint8Array;
  /** When it was signed, UTC ms. */
  readonly atMs: number;
  /** The signed note. */
  readonly note: string;
}

/** Signs the root over the first `size` leaves; returns the note. */
export type Sign = (size: number, root: Uint8Array, atMs: number) => string;

/** The ledger is not the one that was vouched for: nothing more may be vouched for with it. */
export class LedgerUnsound extends Error {
  readonly code = 'ERR_LEDGER_UNSOUND';
}

/** Every checkpoint that was ever signed. A size has one root, for ever. */
export class SignedCheckpoints {
  readonly #put: StatementSync;
  readonly #newest: StatementSync;
  readonly #at: StatementSync;

  constructor(database: DatabaseSync) {
    this.#put = database.prepare('INSERT INTO signed_checkpoint (size, root, at_ms, note) VALUES (?, ?, ?, ?)');
    this.#newest = database.prepare('SELECT * FROM signed_checkpoint ORDER BY size DESC LIMIT 1');
    this.#at = database.prepare('SELECT * FROM signed_checkpoint WHERE size = ?');
  }

  /** Null before the first. */
  newest(): SignedCheckpoint | null {
    return checkpointIn(this.#newest.get());
  }

  /** The one of exactly this size, if there is one. */
  at(size: number): SignedCheckpoint | null {
    return checkpointIn(this.#at.get(size));
  }

  /**
   * Signs for the ledger as it is, if it has grown; otherwise the newest stands. To be called within a transaction.
   * @throws LedgerUnsound, see `mustFit`.
   */
  sign(tree: Tree, sign: Sign, atMs: number): SignedCheckpoint {
    const newest = this.mustFit(tree);
    const { size } = tree;
    if (newest?.size === size) return newest;
    const root = tree.root(size);
    const note = sign(size, root, atMs);
    this.#put.run(size, root, atMs, note);
    return { size, root, atMs, note };
  }

  /** The newest checkpoint, which the ledger goes on from. @throws LedgerUnsound when it does not. */
  mustFit(tree: Tree): SignedCheckpoint | null {
    const newest = this.newest();
    if (newest === null) return null;
    const { size, root, atMs } = newest;
    const signedAt = new Date(atMs).toISOString();
    const advice = 'nothing was deleted; keep the folder as it is, and put a backup in its place or ask for help';
    if (tree.size < size)
      throw new LedgerUnsound(
        `the ledger has ${tree.size} leaves, and at ${signedAt} there were ${size} signed for: some are missing; ${advice}`,
      );
    if (Buffer.compare(tree.root(size), root) !== 0)
      throw new LedgerUnsound(
        `the first ${size} leaves of the ledger are not those that were signed for at ${signedAt}: they were changed; ${advice}`,
      );
    return newest;
  }
}

function checkpointIn(row: Readonly<Record<string, unknown>> | undefined): SignedCheckpoint | null {
  if (row === undefined) return null;
  return { size: Number(row.size), root: row.root as Uint8Array, atMs: Number(row.at_ms), note: String(row.note) };
}
