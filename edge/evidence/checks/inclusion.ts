import { hexToBytes } from '@noble/hashes/utils.js';
import { leafHash } from '../leaf.ts';
import { isSame, rootFromInclusion } from '../merkle.ts';
import type { Enclosed } from './canonical.ts';
import type { TimedCheckpoint } from './checkpointText.ts';
import { failed, type Looked, passed } from './looked.ts';

/** Each entry and each block of readings is, byte by byte, a leaf of the tree that was signed, at the place that it says. */
export function lookAtInclusion({ entries, blocks }: Enclosed, { checkpoint }: TimedCheckpoint): Looked<true> {
  const { size, rootHash } = checkpoint;
  for (const [leaves, what] of [
    [entries, 'entry'],
    [blocks, 'block of readings'],
  ] as const)
    for (const { where, seq, bytes, proof } of leaves) {
      const root = seq > size ? null : rootFromInclusion(seq - 1, size, leafHash(bytes), proof.map(hexToBytes));
      if (root !== null && isSame(root, rootHash)) continue;
      return failed(
        `${where}: the ${what} at place ${seq} is not in the tree that was signed.`,
        what === 'entry'
          ? 'What somebody said was changed, made up or moved after it was signed. Nothing that rests on it can be relied on.'
          : 'A reading was changed, added or taken out after it was signed: nothing computed from it can be relied on.',
      );
    }
  return passed(true, `All ${entries.length + blocks.length} leaves lead to the signed root.`);
}
