import type { DatabaseSync, StatementSync } from 'node:sqlite';
import type { FoldState } from '../cure/fold.ts';
import type { Episode } from '../cure/inspect/episode.ts';

/** A fold as it stood when the `taken`-th reading had been folded. `spec` names what it was folded with. */
export interface FoldCheckpoint {
  readonly joint: string;
  readonly spec: string;
  readonly state: FoldState;
  readonly taken: number;
  /** What stood out in its readings; null where nobody had looked. */
  readonly episodes: readonly Episode[] | null;
}

/** Folds kept so that a start need not replay the ledger. Nothing is lost without them: they are recomputed. */
export class Checkpoints {
  readonly #clear: StatementSync;
  readonly #put: StatementSync;
  readonly #all: StatementSync;

  constructor(database: DatabaseSync) {
    this.#clear = database.prepare('DELETE FROM fold_checkpoint');
    this.#put = database.prepare('INSERT INTO fold_checkpoint (joint, spec, state, taken, episodes) VALUES (?, ?, ?, ?, ?)');
    this.#all = database.prepare('SELECT joint, spec, state, taken, episodes FROM fold_checkpoint');
  }

  /**
   * Keeps these folds and no other: one of an earlier time could not catch up with readings that have been sealed since.
   * To be called within a transaction.
   */
  replace(checkpoints: readonly FoldCheckpoint[]): void {
    this.#clear.run();
    for (const { joint, spec, state, taken, episodes } of checkpoints)
      this.#put.run(joint, spec, JSON.stringify(state), taken, JSON.stringify(episodes));
  }

  all(): FoldCheckpoint[] {
    return this.#all.all().map((row) => ({
      joint: String(row.joint),
      spec: String(row.spec),
      state: JSON.parse(String(row.state)) as FoldState,
      taken: Number(row.taken),
      episodes: JSON.parse(String(row.episodes)) as Episode[] | null,
    }));
  }
}
