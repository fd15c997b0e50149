import type { DatabaseSync, StatementSync } from 'node:sqlite';
import { type Block, decodeBlock } from '../evidence/block.ts';

/** A block never spans more: they are sealed by the UTC hour. */
export const SEAL_SPAN_MS = 3_600_000;
const DECODED_MOST = 64;

/** The sealed blocks, found by series and time, with the last few kept decoded. */
export class Blocks {
  readonly #over: StatementSync;
  readonly #body: StatementSync;
  readonly #decoded = new Map<number, Block>();

  constructor(database: DatabaseSync) {
    this.#over = database.prepare('SELECT seq FROM span WHERE series = ? AND first_ms > ? AND first_ms < ? ORDER BY seq');
    this.#body = database.prepare('SELECT body FROM leaf WHERE seq = ?');
  }

  /** Blocks of series `n` that hold a reading with `fromMs` ≤ instant < `untilMs`, or might; in the order they were sealed. */
  over(n: number, fromMs: number, untilMs: number): Block[] {
    const seqs = this.#over.all(n, fromMs - SEAL_SPAN_MS, untilMs).map(({ seq }) => Number(seq));
    // A long history would only push out what others need, so it passes the cache by.
    return seqs.map((seq) => this.#block(seq, seqs.length <= DECODED_MOST));
  }

  #block(seq: number, keep: boolean): Block {
    const known = this.#decoded.get(seq);
    if (known !== undefined) return known;
    const row = this.#body.get(seq);
    if (row === undefined) throw new Error(`the ledger has no leaf ${seq}`);
    const block = decodeBlock(row.body as Uint8Array);
    if (!keep) return block;
    const oldest = this.#decoded.keys().next().value;
    if (this.#decoded.size >= DECODED_MOST && oldest !== undefined) this.#decoded.delete(oldest);
    this.#decoded.set(seq, block);
    return block;
  }
}
