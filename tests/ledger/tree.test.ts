import { createHash } from 'node:crypto';
import { join } from 'node:path';
import { DatabaseSync, StatementSync } from 'node:sqlite';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { isConsistent, rootFromInclusion } from '../../edge/evidence/merkle.ts';
import { Ledger } from '../../edge/ledger/ledger.ts';
import { LedgerView } from '../../edge/ledger/ledgerView.ts';
import { migrations } from '../../edge/ledger/migrations.ts';
import type { By } from '../../edge/site/entries.ts';
import { type TempFolder, tempFolder } from '../support/service.ts';

const ana: By = { name: 'Ana', role: 'crew' };
const MOST = 150;

let folder: TempFolder;
let path: string;
beforeEach(() => {
  folder = tempFolder();
  path = join(folder.path, 'ledger.db');
});
afterEach(() => {
  vi.restoreAllMocks();
  folder[Symbol.dispose]();
});

const sha256 = (...parts: Uint8Array[]) => createHash('sha256').update(Buffer.concat(parts)).digest();
const hex = (bytes: Uint8Array | null) => (bytes === null ? null : Buffer.from(bytes).toString('hex'));

/** The largest power of two below `count`. */
function split(count: number): number {
  let half = 1;
  while (half * 2 < count) half *= 2;
  return half;
}

/** [P] RFC 6962 §2.1: MTH, PATH and PROOF as they stand there, by recursion over lists of leaf hashes. */
function rootOf(leaves: readonly Uint8Array[]): Uint8Array {
  if (leaves.length === 0) return sha256();
  if (leaves.length === 1) return leaves[0] as Uint8Array;
  const k = split(leaves.length);
  return sha256(Uint8Array.of(1), rootOf(leaves.slice(0, k)), rootOf(leaves.slice(k)));
}
function pathOf(m: number, leaves: readonly Uint8Array[]): Uint8Array[] {
  if (leaves.length <= 1) return [];
  const k = split(leaves.length);
  return m < k
    ? [...pathOf(m, leaves.slice(0, k)), rootOf(leaves.slice(k))]
    : [...pathOf(m - k, leaves.slice(k)), rootOf(leaves.slice(0, k))];
}
function subproof(m: number, leaves: readonly Uint8Array[], isWhole: boolean): Uint8Array[] {
  if (m === leaves.length) return isWhole ? [] : [rootOf(leaves)];
  const k = split(leaves.length);
  return m <= k
    ? [...subproof(m, leaves.slice(0, k), isWhole), rootOf(leaves.slice(k))]
    : [...subproof(m - k, leaves.slice(k), false), rootOf(leaves.slice(0, k))];
}

/** Appends `count` entries, some at a time. */
function grow(ledger: Ledger, count: number, atOnce = 7): void {
  for (let done = 0; done < count; done += atOnce)
    ledger.append(
      Array.from({ length: Math.min(atOnce, count - done) }, (_, index) => ({
        statement: { kind: 'note.added', text: `note ${done + index}` } as const,
        by: ana,
      })),
      0,
    );
}

function leavesOf(view: LedgerView): Uint8Array[] {
  return [...view.leaves()].map(({ hash }) => Buffer.from(hash, 'hex'));
}

/** Makes a ledger of the first version, which had no tree. */
async function withoutTree(count: number): Promise<void> {
  const ledger = new Ledger(path);
  grow(ledger, count);
  await ledger.close();
  const database = new DatabaseSync(path);
  database.exec('DROP TABLE tree_node; DROP TABLE signed_checkpoint; PRAGMA user_version = 1');
  database.close();
}

function nodes(): unknown[] {
  const database = new DatabaseSync(path, { readOnly: true });
  const rows = database.prepare('SELECT level, idx, hex(hash) AS hash FROM tree_node ORDER BY level, idx').all();
  database.close();
  return rows;
}

describe('the tree over the ledger', () => {
  test('gives at every size the root of the definition, and proofs as it defines them', async () => {
    const ledger = new Ledger(path);
    const view = new LedgerView(path);
    expect(hex(view.tree.root())).toBe('e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855');
    grow(ledger, MOST);
    const leaves = leavesOf(view);
    expect(leaves).toHaveLength(MOST);
    for (let size = 1; size <= MOST; size++)
      expect(hex(view.tree.root(size)), `size ${size}`).toBe(hex(rootOf(leaves.slice(0, size))));
    const sizes = fc.tuple(fc.integer({ min: 1, max: MOST }), fc.integer({ min: 1, max: MOST }));
    fc.assert(
      fc.property(sizes, ([one, other]) => {
        const [less, more] = [Math.min(one, other), Math.max(one, other)];
        const tree = leaves.slice(0, more);
        expect(view.tree.inclusion(less, more).map(hex)).toEqual(pathOf(less - 1, tree).map(hex));
        expect(view.tree.consistency(less, more).map(hex)).toEqual(subproof(less, tree, true).map(hex));
      }),
      { numRuns: 400 },
    );
    view.close();
    await ledger.close();
  });

  test('gives proofs that the verifier takes, and none that it takes for anything else', async () => {
    const ledger = new Ledger(path);
    const view = new LedgerView(path);
    grow(ledger, MOST);
    const leaves = leavesOf(view);
    const { tree } = view;
    for (const size of [1, 2, 3, 7, 8, 64, 65, 100, MOST])
      for (let seq = 1; seq <= size; seq++) {
        const proof = tree.inclusion(seq, size);
        const rootWith = (leaf: number) => hex(rootFromInclusion(seq - 1, size, leaves[leaf] as Uint8Array, proof));
        expect(rootWith(seq - 1)).toBe(hex(tree.root(size)));
        expect(rootWith(seq % MOST)).not.toBe(hex(tree.root(size)));
      }
    for (let old = 1; old <= MOST; old += 3)
      for (let size = old; size <= MOST; size += 7) {
        const proof = tree.consistency(old, size);
        expect(isConsistent(old, tree.root(old), size, tree.root(size), proof), `${old} to ${size}`).toBe(true);
        if (old < size) expect(isConsistent(old, tree.root(old + 1), size, tree.root(size), proof)).toBe(false);
      }
    view.close();
    await ledger.close();
  });

  test('refuses sizes and places that are not there', async () => {
    const ledger = new Ledger(path);
    const view = new LedgerView(path);
    grow(ledger, 5);
    const { tree } = view;
    for (const ask of [() => tree.root(6), () => tree.root(-1), () => tree.root(1.5), () => tree.inclusion(0, 5)])
      expect(ask).toThrow(RangeError);
    for (const ask of [() => tree.inclusion(4, 3), () => tree.inclusion(1, 6), () => tree.consistency(4, 3)])
      expect(ask).toThrow(RangeError);
    expect(tree.consistency(0, 5)).toEqual([]);
    view.close();
    await ledger.close();
  });

  test('reads a few nodes for a root or a proof, however long the ledger is', async () => {
    const ledger = new Ledger(path);
    const view = new LedgerView(path);
    grow(ledger, 3000, 500);
    const get = vi.spyOn(StatementSync.prototype, 'get');
    const readsOf = (ask: () => unknown) => {
      get.mockClear();
      ask();
      return get.mock.calls.length;
    };
    // 3000 leaves stand on 12 levels; the size itself is one read or two.
    expect(readsOf(() => view.tree.root(2999))).toBeLessThanOrEqual(14);
    expect(readsOf(() => view.tree.inclusion(1234, 2999))).toBeLessThanOrEqual(26);
    expect(readsOf(() => view.tree.consistency(1500, 2999))).toBeLessThanOrEqual(38);
    view.close();
    await ledger.close();
  });

  test('costs a further leaf one read and one insert on average', async () => {
    const ledger = new Ledger(path);
    const run = vi.spyOn(StatementSync.prototype, 'run');
    const get = vi.spyOn(StatementSync.prototype, 'get');
    grow(ledger, 1024, 64);
    expect([run.mock.calls.length, get.mock.calls.length]).toEqual([1024 + 1023, 1023]);
    vi.restoreAllMocks();
    await ledger.close();
  });
});

describe('a ledger from before there was a tree', () => {
  test.each([0, 1, 2, 3, 100, 101])('of %i leaves has it once it is opened', async (count) => {
    await withoutTree(count);
    const ledger = new Ledger(path);
    const view = new LedgerView(path);
    const grown = count + 13;
    grow(ledger, 13);
    expect(hex(view.tree.root())).toBe(hex(rootOf(leavesOf(view))));
    expect(view.tree.size).toBe(grown);
    view.close();
    await ledger.close();
    const once = nodes();
    const again = new Ledger(path);
    await again.close();
    expect(nodes()).toEqual(once);
    const database = new DatabaseSync(path);
    expect(Object.values(database.prepare('PRAGMA user_version').get() ?? {})).toEqual([migrations.length]);
    database.close();
  });

  test('goes on where a power cut broke off', async () => {
    const count = 25_001;
    await withoutTree(0);
    const database = new DatabaseSync(path);
    const insert = database.prepare("INSERT INTO leaf (kind, body, hash) VALUES (2, x'00', ?)");
    database.exec('BEGIN');
    for (let index = 0; index < count; index++) insert.run(sha256(Buffer.from(String(index))));
    database.exec('COMMIT');
    database.close();

    class PowerCut extends Error {}
    const run = StatementSync.prototype.run;
    for (const most of [5_000, 15_000]) {
      let calls = 0;
      vi.spyOn(StatementSync.prototype, 'run').mockImplementation(function (this: StatementSync, ...values) {
        if (++calls > most) throw new PowerCut();
        return run.apply(this, values);
      });
      expect(() => new Ledger(path)).toThrow(PowerCut);
      vi.restoreAllMocks();
    }
    const before = nodes().length;
    expect(before).toBeGreaterThanOrEqual(9_000);
    const ledger = new Ledger(path);
    const view = new LedgerView(path);
    expect(hex(view.tree.root())).toBe(hex(rootOf(leavesOf(view))));
    view.close();
    await ledger.close();
  });
});

test('what was rolled back leaves no node behind', async () => {
  const ledger = new Ledger(path);
  grow(ledger, 6);
  const before = nodes();
  const bad = { statement: { kind: 'note.added', text: '\ud800' }, by: ana } as const;
  const good = { statement: { kind: 'note.added', text: 'fine' }, by: ana } as const;
  expect(() => ledger.append([good, good, bad], 0)).toThrow(/half a character/);
  expect(nodes()).toEqual(before);
  grow(ledger, 3);
  const view = new LedgerView(path);
  expect(hex(view.tree.root())).toBe(hex(rootOf(leavesOf(view))));
  view.close();
  await ledger.close();
});
