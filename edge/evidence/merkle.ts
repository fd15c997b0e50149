import { sha256 } from '@noble/hashes/sha2.js';

/**
 * The hash tree of RFC 6962 §2.1 (the same in RFC 9162 §2.1) over SHA-256. Leaves are given by their hashes (`leafHash`) and
 * counted from 0. Sizes and indices may be any safe integer, so nothing here shifts bits: that would cut them to 32.
 */

const HASH_BYTES = 32;
const NODE = Uint8Array.of(1);

/** Root of the tree without leaves: SHA-256 of nothing. */
export const EMPTY_ROOT: Uint8Array = sha256(new Uint8Array(0));

/** Hash of the node above two: SHA-256 over 0x01 and both. */
export function nodeHash(left: Uint8Array, right: Uint8Array): Uint8Array {
  return sha256.create().update(NODE).update(left).update(right).digest();
}

/** Root of the tree over `leafHashes`. */
export function rootOf(leafHashes: readonly Uint8Array[]): Uint8Array {
  let level = leafHashes;
  while (level.length > 1) level = levelAbove(level);
  return level[0] ?? EMPTY_ROOT;
}

/** The hashes that lead from leaf `index` to the root, lowest first. Throws a RangeError where there is no such leaf. */
export function inclusionProof(leafHashes: readonly Uint8Array[], index: number): Uint8Array[] {
  if (!isCount(index) || index >= leafHashes.length)
    throw new RangeError(`a tree of ${leafHashes.length} leaves has no leaf ${index}`);
  return pathFrom(leafHashes, index);
}

/**
 * The hashes that show that the tree over the first `oldSize` leaves is the beginning of this one. Throws a RangeError where
 * the old tree is larger than this one.
 */
export function consistencyProof(leafHashes: readonly Uint8Array[], oldSize: number): Uint8Array[] {
  if (!isCount(oldSize) || oldSize > leafHashes.length)
    throw new RangeError(`a tree of ${leafHashes.length} leaves has not grown from one of ${oldSize}`);
  if (oldSize === 0 || oldSize === leafHashes.length) return [];
  let level = leafHashes;
  let node = oldSize - 1;
  // Up to the largest full subtree that ends where the old tree ended: both trees have it whole.
  for (; isOdd(node); node = half(node)) level = levelAbove(level);
  const path = pathFrom(level, node);
  // Where that subtree is the whole old tree, the verifier has its hash: the old root.
  return node === 0 ? path : [level[node] as Uint8Array, ...path];
}

/**
 * The root that leaf `index` of a tree of `size` leaves leads to by `proof` (RFC 9162 §2.1.3.2); null where a proof of this
 * length cannot belong to that place. The caller compares it with the root of a checkpoint.
 */
export function rootFromInclusion(
  index: number,
  size: number,
  leafHash: Uint8Array,
  proof: readonly Uint8Array[],
): Uint8Array | null {
  if (!isCount(index) || !isCount(size) || index >= size || ![leafHash, ...proof].every(isHash)) return null;
  let node = index;
  let last = size - 1;
  let root = leafHash;
  for (const hash of proof) {
    if (last === 0) return null;
    if (isOdd(node) || node === last) {
      root = nodeHash(hash, root);
      // A last node without a neighbour stands for itself on the levels above, until it has one to its left.
      for (; !isOdd(node) && node !== 0; node = half(node)) last = half(last);
    } else {
      root = nodeHash(root, hash);
    }
    node = half(node);
    last = half(last);
  }
  return last === 0 ? root : null;
}

/**
 * Whether `proof` shows that the tree of `oldSize` leaves under `oldRoot` is the beginning of the tree of `newSize` leaves under
 * `newRoot` (RFC 9162 §2.1.4.2). An empty tree is the beginning of every tree; its root is `EMPTY_ROOT` and no other.
 */
export function isConsistent(
  oldSize: number,
  oldRoot: Uint8Array,
  newSize: number,
  newRoot: Uint8Array,
  proof: readonly Uint8Array[],
): boolean {
  if (!isCount(oldSize) || !isCount(newSize) || oldSize > newSize || ![oldRoot, newRoot, ...proof].every(isHash)) return false;
  if (oldSize === 0 && !isSame(oldRoot, EMPTY_ROOT)) return false;
  if (oldSize === newSize) return proof.length === 0 && isSame(oldRoot, newRoot);
  if (oldSize === 0) return proof.length === 0;

  let node = oldSize - 1;
  let last = newSize - 1;
  for (; isOdd(node); node = half(node)) last = half(last);
  const [first, ...rest] = node === 0 ? [oldRoot, ...proof] : proof;
  if (first === undefined) return false;
  let oldWay = first;
  let newWay = first;
  for (const hash of rest) {
    if (last === 0) return false;
    if (isOdd(node) || node === last) {
      oldWay = nodeHash(hash, oldWay);
      newWay = nodeHash(hash, newWay);
      for (; !isOdd(node) && node !== 0; node = half(node)) last = half(last);
    } else {
      newWay = nodeHash(newWay, hash);
    }
    node = half(node);
    last = half(last);
  }
  return last === 0 && isSame(oldWay, oldRoot) && isSame(newWay, newRoot);
}

/** Whether two hashes are the same bytes. */
export function isSame(one: Uint8Array, other: Uint8Array): boolean {
  return one.length === other.length && one.every((byte, place) => byte === other[place]);
}

/** The nodes above `level`; a last one without a neighbour stands for itself. */
function levelAbove(level: readonly Uint8Array[]): Uint8Array[] {
  const above: Uint8Array[] = [];
  for (let left = 0; left < level.length; left += 2) {
    const [one, other] = [level[left] as Uint8Array, level[left + 1]];
    above.push(other === undefined ? one : nodeHash(one, other));
  }
  return above;
}

/** The neighbours on the way from `node` of `level` to the root. */
function pathFrom(level: readonly Uint8Array[], node: number): Uint8Array[] {
  const path: Uint8Array[] = [];
  for (let [nodes, place] = [level, node]; nodes.length > 1; [nodes, place] = [levelAbove(nodes), half(place)]) {
    const neighbour = nodes[isOdd(place) ? place - 1 : place + 1];
    if (neighbour !== undefined) path.push(neighbour);
  }
  return path;
}

const isCount = (number: number) => Number.isSafeInteger(number) && number >= 0;
const isHash = (hash: Uint8Array) => hash.length === HASH_BYTES;
const isOdd = (number: number) => number % 2 === 1;
const half = (number: number) => Math.floor(number / 2);
