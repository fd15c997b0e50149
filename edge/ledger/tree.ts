import type { DatabaseSync, StatementSync } from 'node:sqlite';
import { EMPTY_ROOT, nodeHash } from '../evidence/merkle.ts';
import { inTransaction } from './database.ts';

/** Leaves that are caught up with in one transaction. */
const CAUGHT_UP_AT_ONCE = 10_000;

/**
 * The Merkle tree over the ledger's leaves (RFC 6962 §2.1, RFC 9162 §2.1), kept as it grows: the node at (level, idx) stands over
 * the 2^level leaves from idx · 2^level on, and is there once all of them are. Level 0 is the leaves' own hashes. A root or a
 * proof reads one or two nodes a level, however long the ledger is.
 */
export class Tree {
  readonly #database: DatabaseSync;
  readonly #put: StatementSync;
  readonly #node: StatementSync;
  readonly #leaf: StatementSync;
  readonly #size: StatementSync;
  readonly #pairs: StatementSync;
  readonly #leavesFrom: StatementSync;

  constructor(database: DatabaseSync) {
    this.#database = database;
    this.#put = database.prepare('INSERT INTO tree_node (level, idx, hash) VALUES (?, ?, ?)');
    this.#node = database.prepare('SELECT hash FROM tree_node WHERE level = ? AND idx = ?');
    this.#leaf = database.prepare('SELECT hash FROM leaf WHERE seq = ?');
    this.#size = database.prepare('SELECT max(seq) AS size FROM leaf');
    this.#pairs = database.prepare('SELECT max(idx) + 1 AS pairs FROM tree_node WHERE level = 1');
    this.#leavesFrom = database.prepare('SELECT seq, hash FROM leaf WHERE seq > ? ORDER BY seq LIMIT ?');
  }

  /** Number of leaves. */
  get size(): number {
    return Number(this.#size.get()?.size ?? 0);
  }

  /** Adds the nodes that leaf `seq` completes. To be called within the transaction that appends it, in order. */
  add(seq: number, hash: Uint8Array): void {
    let own = hash;
    for (let level = 0, count = seq; count % 2 === 0; level++) {
      own = nodeHash(this.#complete(level, count - 2), own);
      count /= 2;
      this.#put.run(level + 1, count - 1, own);
    }
  }

  /** Adds what is missing over leaves that were appended before there was a tree, some thousands a transaction. */
  catchUp(): void {
    const { size } = this;
    // A pair is complete with every second leaf, and whatever it completes above comes in the same transaction.
    for (let done = Number(this.#pairs.get()?.pairs ?? 0) * 2; done + 2 <= size; ) {
      const leaves = this.#leavesFrom.all(done, CAUGHT_UP_AT_ONCE);
      inTransaction(this.#database, () => {
        for (const { seq, hash } of leaves) this.add(Number(seq), hash as Uint8Array);
      });
      done += leaves.length;
    }
  }

  /** Root over the first `size` leaves. @throws RangeError when there are not so many. */
  root(size = this.size): Uint8Array {
    this.#expectWithin('size', size, 0, this.size);
    return size === 0 ? EMPTY_ROOT : this.#over(0, size);
  }

  /** Proof that leaf `seq` is in the tree of the first `size` leaves (RFC 9162 §2.1.3). @throws RangeError */
  inclusion(seq: number, size: number): Uint8Array[] {
    this.#expectWithin('size', size, 1, this.size);
    this.#expectWithin('seq', seq, 1, size);
    const proof: Uint8Array[] = [];
    let from = 0;
    let until = size;
    while (until - from > 1) {
      const middle = from + splitOf(until - from);
      const isLeft = seq <= middle;
      proof.push(isLeft ? this.#over(middle, until) : this.#over(from, middle));
      if (isLeft) until = middle;
      else from = middle;
    }
    return proof.reverse();
  }

  /** Proof that the tree of `oldSize` leaves is the beginning of that of `newSize` (RFC 9162 §2.1.4). @throws RangeError */
  consistency(oldSize: number, newSize: number): Uint8Array[] {
    this.#expectWithin('newSize', newSize, 0, this.size);
    this.#expectWithin('oldSize', oldSize, 0, newSize);
    if (oldSize === 0 || oldSize === newSize) return [];
    const proof: Uint8Array[] = [];
    let from = 0;
    let until = newSize;
    while (until !== oldSize) {
      const middle = from + splitOf(until - from);
      if (oldSize <= middle) {
        proof.push(this.#over(middle, until));
        until = middle;
      } else {
        proof.push(this.#over(from, middle));
        from = middle;
      }
    }
    // Whoever checks knows the old root itself already.
    if (from > 0) proof.push(this.#over(from, until));
    return proof.reverse();
  }

  /** Root over the leaves from `from` (a multiple of the power of two that `until − from` fits into) to `until`, exclusive. */
  #over(from: number, until: number): Uint8Array {
    const count = until - from;
    const split = splitOf(count);
    if (count === 1 || split * 2 === count) return this.#complete(31 - Math.clz32(count), from / count);
    return nodeHash(this.#over(from, from + split), this.#over(from + split, until));
  }

  #complete(level: number, idx: number): Uint8Array {
    const row = level === 0 ? this.#leaf.get(idx + 1) : this.#node.get(level, idx);
    if (row === undefined) throw new Error(`the ledger's tree lacks the node ${idx} of level ${level}`);
    return row.hash as Uint8Array;
  }

  #expectWithin(name: string, value: number, least: number, most: number): void {
    if (!Number.isSafeInteger(value) || value < least || value > most)
      throw new RangeError(`${name} must be a whole number from ${least} to ${most}, not ${value}`);
  }
}

/** The largest power of two below `count`, of 2 or more (RFC 6962 §2.1); 1 for 1. */
function splitOf(count: number): number {
  let split = 1;
  while (split * 2 < count) split *= 2;
  return split;
}
