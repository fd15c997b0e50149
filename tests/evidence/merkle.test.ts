import { createHash } from 'node:crypto';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { leafHash } from '../../edge/evidence/leaf.ts';
import {
  consistencyProof,
  EMPTY_ROOT,
  inclusionProof,
  isConsistent,
  rootFromInclusion,
  rootOf,
} from '../../edge/evidence/merkle.ts';
import published from '../vectors/rfc6962-tree.json' with { type: 'json' };

const hexOf = (bytes: Uint8Array | null) => (bytes === null ? null : Buffer.from(bytes).toString('hex'));
const hexesOf = (list: readonly Uint8Array[]) => list.map(hexOf);
const bytesOf = (hex: string) => Uint8Array.from(Buffer.from(hex, 'hex'));
const flipped = (hash: Uint8Array, bit: number) => hash.with(bit >> 3, (hash[bit >> 3] ?? 0) ^ (1 << (bit & 7)));

const SIZE_MAX = 130;
const LEAVES = Array.from({ length: SIZE_MAX }, (_, index) => bytesOf(index.toString(16).padStart(4, '0')));
const HASHES = LEAVES.map(leafHash);

/** The definitions of RFC 6962 §2.1, word for word, with another SHA-256: recursive, on the leaves from `from` to before `to`. */
const known = new Map<string, Buffer>();
const sha = (...parts: Uint8Array[]) => parts.reduce((hash, part) => hash.update(part), createHash('sha256')).digest();
function splitOf(size: number): number {
  let k = 1;
  while (k * 2 < size) k *= 2;
  return k;
}
function treeHash(from: number, to: number): Buffer {
  if (to === from) return sha();
  const key = `${from} ${to}`;
  const before = known.get(key);
  if (before !== undefined) return before;
  const k = from + splitOf(to - from);
  const hash =
    to - from === 1
      ? sha(Uint8Array.of(0), LEAVES[from] as Uint8Array)
      : sha(Uint8Array.of(1), treeHash(from, k), treeHash(k, to));
  known.set(key, hash);
  return hash;
}
function path(leaf: number, from: number, to: number): Buffer[] {
  if (to - from === 1) return [];
  const k = from + splitOf(to - from);
  return leaf < k ? [...path(leaf, from, k), treeHash(k, to)] : [...path(leaf, k, to), treeHash(from, k)];
}
function subproof(oldSize: number, from: number, to: number, isOldTree: boolean): Buffer[] {
  if (oldSize === to) return isOldTree ? [] : [treeHash(from, to)];
  const k = from + splitOf(to - from);
  return oldSize <= k
    ? [...subproof(oldSize, from, k, isOldTree), treeHash(k, to)]
    : [...subproof(oldSize, k, to, false), treeHash(from, k)];
}

/** All places of a small tree; of a larger one its ends, its middle, the powers of two and their neighbours. */
function placesOf(size: number): number[] {
  if (size <= 24) return Array.from({ length: size }, (_, index) => index);
  const places = [1, 2, 3, 15, 16, 17, 31, 32, 33, 63, 64, 65, 127, 128].flatMap((near) => [near, size - near]);
  return [...new Set([0, ...places])].filter((place) => place >= 0 && place < size);
}
const SIZES = Array.from({ length: SIZE_MAX + 1 }, (_, size) => size);

describe('the published tree of eight leaves', () => {
  const leaves = published.leaves.map((hex) => leafHash(bytesOf(hex)));
  const roots = published.roots.map(bytesOf);

  test('the empty tree and the empty leaf have the hashes that every implementation has', () => {
    expect(hexOf(rootOf([]))).toBe('e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855');
    expect(hexOf(EMPTY_ROOT)).toBe(hexOf(rootOf([])));
    expect(hexOf(leafHash(new Uint8Array(0)))).toBe('6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d');
  });

  test('has its roots', () => {
    expect(leaves.map((_, index) => hexOf(rootOf(leaves.slice(0, index + 1))))).toEqual(published.roots);
  });

  test.each(published.inclusion)('leaf $leaf of $size is proven as published', ({ leaf, size, proof }) => {
    const some = leaves.slice(0, size);
    expect(hexesOf(inclusionProof(some, leaf))).toEqual(proof);
    expect(hexOf(rootFromInclusion(leaf, size, some[leaf] as Uint8Array, proof.map(bytesOf)))).toBe(published.roots[size - 1]);
  });

  test.each(published.consistency)('$oldSize before $newSize is proven as published', ({ oldSize, newSize, proof }) => {
    expect(hexesOf(consistencyProof(leaves.slice(0, newSize), oldSize))).toEqual(proof);
    const [oldRoot, newRoot] = [roots[oldSize - 1] as Uint8Array, roots[newSize - 1] as Uint8Array];
    expect(isConsistent(oldSize, oldRoot, newSize, newRoot, proof.map(bytesOf))).toBe(true);
  });
});

describe('trees of every size up to 130, against the recursive definitions', () => {
  test('roots', () => {
    for (const size of SIZES) expect(hexOf(rootOf(HASHES.slice(0, size))), `${size} leaves`).toBe(hexOf(treeHash(0, size)));
  });

  test('inclusion proofs are those of the definition, and lead to the root', () => {
    for (const size of SIZES) {
      const some = HASHES.slice(0, size);
      for (const place of placesOf(size)) {
        const proof = inclusionProof(some, place);
        expect(hexesOf(proof), `${place} of ${size}`).toEqual(hexesOf(path(place, 0, size)));
        expect(hexOf(rootFromInclusion(place, size, some[place] as Uint8Array, proof))).toBe(hexOf(treeHash(0, size)));
      }
    }
  });

  test('consistency proofs are those of the definition, and hold', () => {
    for (const size of SIZES) {
      const some = HASHES.slice(0, size);
      for (const oldSize of [...placesOf(size), size]) {
        const proof = consistencyProof(some, oldSize);
        const defined = oldSize === 0 ? [] : subproof(oldSize, 0, size, true);
        expect(hexesOf(proof), `${oldSize} before ${size}`).toEqual(hexesOf(defined));
        expect(isConsistent(oldSize, treeHash(0, oldSize), size, treeHash(0, size), proof)).toBe(true);
      }
    }
  });
});

describe('a proof that is not right', () => {
  const tree = fc
    .integer({ min: 2, max: SIZE_MAX })
    .chain((size) => fc.record({ size: fc.constant(size), place: fc.nat(size - 1), which: fc.nat(), bit: fc.nat(255) }));

  test('of inclusion leads to another root with any one bit of it changed', () => {
    fc.assert(
      fc.property(tree, ({ size, place, which, bit }) => {
        const all = [HASHES[place] as Uint8Array, ...path(place, 0, size)];
        const touched = all.with(which % all.length, flipped(all[which % all.length] as Uint8Array, bit));
        const [leaf, ...proof] = touched;
        const reached = rootFromInclusion(place, size, leaf as Uint8Array, proof);
        expect(reached).not.toBeNull();
        expect(hexOf(reached)).not.toBe(hexOf(treeHash(0, size)));
      }),
      { numRuns: 400 },
    );
  });

  test('of consistency is refused with any one bit of it or of a root changed', () => {
    fc.assert(
      fc.property(tree, ({ size, place, which, bit }) => {
        const oldSize = place + 1;
        const all = [treeHash(0, oldSize), treeHash(0, size), ...subproof(oldSize, 0, size, true)];
        const touched = all.with(which % all.length, Buffer.from(flipped(all[which % all.length] as Uint8Array, bit)));
        const [oldRoot, newRoot, ...proof] = touched;
        expect(isConsistent(oldSize, oldRoot as Uint8Array, size, newRoot as Uint8Array, proof)).toBe(false);
      }),
      { numRuns: 400 },
    );
  });

  test('every bit of the proofs of a tree of seven counts', () => {
    const root = hexOf(treeHash(0, 7));
    for (const place of [0, 4, 6]) {
      const proof = inclusionProof(HASHES.slice(0, 7), place);
      for (const [which, hash] of proof.entries())
        for (let bit = 0; bit < 256; bit++) {
          const touched = proof.with(which, flipped(hash, bit));
          expect(hexOf(rootFromInclusion(place, 7, HASHES[place] as Uint8Array, touched))).not.toBe(root);
        }
    }
  });

  test('one hash more, one less, or one of another length: refused', () => {
    const some = HASHES.slice(0, 7);
    const [leaf, more] = [HASHES[4] as Uint8Array, HASHES[9] as Uint8Array];
    const proof = inclusionProof(some, 4);
    for (const wrong of [
      proof.slice(1),
      proof.slice(0, -1),
      [...proof, more],
      [more, ...proof],
      [],
      [...proof, new Uint8Array(0)],
    ])
      expect(rootFromInclusion(4, 7, leaf, wrong)).toBeNull();
    expect(rootFromInclusion(4, 7, leaf.slice(1), proof)).toBeNull();
    expect(rootFromInclusion(4, 7, leaf, proof.with(0, (proof[0] as Uint8Array).slice(1)))).toBeNull();

    const grown = consistencyProof(some, 3);
    const [oldRoot, newRoot] = [treeHash(0, 3), treeHash(0, 7)];
    expect(isConsistent(3, oldRoot, 7, newRoot, grown)).toBe(true);
    for (const wrong of [
      grown.slice(1),
      grown.slice(0, -1),
      [...grown, more],
      [more, ...grown],
      [],
      [...grown, new Uint8Array(0)],
    ])
      expect(isConsistent(3, oldRoot, 7, newRoot, wrong)).toBe(false);
    expect(isConsistent(3, oldRoot.subarray(1), 7, newRoot, grown)).toBe(false);
  });

  test('at another place or for another size: refused or another root', () => {
    const root = hexOf(treeHash(0, 100));
    const proof = inclusionProof(HASHES.slice(0, 100), 37);
    const leaf = HASHES[37] as Uint8Array;
    for (const [place, size] of [
      [36, 100],
      [38, 100],
      [39, 100],
      [37, 200],
      [37, 50],
      [37 + 128, 100],
    ] as const)
      expect(hexOf(rootFromInclusion(place, size, leaf, proof))).not.toBe(root);
    const grown = consistencyProof(HASHES.slice(0, 100), 37);
    for (const [oldSize, size] of [
      [36, 100],
      [38, 100],
      [35, 100],
      [37, 200],
      [37, 50],
    ] as const)
      expect(isConsistent(oldSize, treeHash(0, 37), size, treeHash(0, 100), grown)).toBe(false);
  });

  test.each([
    [-1, 5],
    [5, 5],
    [0, 0],
    [0.5, 5],
    [0, Number.NaN],
    [0, 2 ** 53],
    [0, Number.POSITIVE_INFINITY],
  ])('place %d of %d is no place', (place, size) => {
    expect(rootFromInclusion(place, size, HASHES[0] as Uint8Array, [])).toBeNull();
  });

  test('places beyond 32 bits are not cut to them', () => {
    const far = 2 ** 32;
    expect(rootFromInclusion(far, far + 1, HASHES[0] as Uint8Array, [HASHES[1] as Uint8Array])).not.toBeNull();
    expect(rootFromInclusion(far + 1, far + 1, HASHES[0] as Uint8Array, [])).toBeNull();
    expect(isConsistent(1, HASHES[0] as Uint8Array, far + 1, HASHES[0] as Uint8Array, [])).toBe(false);
  });
});

describe('trees that have nothing to prove', () => {
  test('the empty tree is the beginning of every tree, under its own root only and without a proof', () => {
    const root = treeHash(0, 5);
    expect(isConsistent(0, EMPTY_ROOT, 5, root, [])).toBe(true);
    expect(isConsistent(0, EMPTY_ROOT, 0, EMPTY_ROOT, [])).toBe(true);
    expect(isConsistent(0, root, 5, root, [])).toBe(false);
    expect(isConsistent(0, EMPTY_ROOT, 5, root, [root])).toBe(false);
  });

  test('a tree is its own beginning, and no other tree of its size is', () => {
    const [root, other] = [treeHash(0, 5), treeHash(1, 6)];
    expect(isConsistent(5, root, 5, root, [])).toBe(true);
    expect(isConsistent(5, root, 5, other, [])).toBe(false);
    expect(isConsistent(5, root, 5, root, [root])).toBe(false);
    expect(isConsistent(5, root, 4, treeHash(0, 4), [])).toBe(false);
  });

  test('what is asked of a tree that does not have it is an error', () => {
    const some = HASHES.slice(0, 5);
    for (const place of [-1, 5, 1.5])
      expect(() => inclusionProof(some, place)).toThrow(`a tree of 5 leaves has no leaf ${place}`);
    for (const size of [-1, 6, 1.5])
      expect(() => consistencyProof(some, size)).toThrow(`a tree of 5 leaves has not grown from one of ${size}`);
  });
});
