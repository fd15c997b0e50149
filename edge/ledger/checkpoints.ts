import type { DatabaseSync, StatementSync } from 'node:sqlite';
import type { FoldState } from '../cure/fold.ts';

/** A fold as it stood when the `taken`-th reading had been folded. `spec` names what it was folded with. */
export interface FoldCheckpoint {
  readonly joint: string;
  readonly spec: string;
  readonly state: FoldState;
  readonly taken: number;
}

/** Folds kept so that a start need not replay the ledger. Nothing is lost without them: they are recomputed. */
export class Checkpoints {
  readonly #put: StatementSync;
  readonly #all: StatementSync;

  constructor(database: DatabaseSync) {
    this.#put = database.prepare(
      `INSERT INTO fold_checkpoint (joint, spec, state, taken) VALUES (?, ?, ?, ?)
       ON CONFLICT (joint) DO UPDATE SET spec = excluded.spec, state = excluded.state, taken = excluded.taken`,
    );
    this.#all = database.prepare('SELECT joint, spec, state, taken FROM fold_checkpoint');
  }

  /** To be called within a transaction. */
  put({ joint, spec, state, taken }: FoldCheckpoint): void {
    this.#put.run(joint, spec, JSON.stringify(state), taken);
  }

  all(): FoldCheckpoint[] {
    return this.#all.all().map((row) => ({
      joint: String(row.joint),
      spec: String(row.spec),
      state: JSON.parse(String(row.state)) as FoldState,
      taken: Number(row.taken),
    }));
  }
}
