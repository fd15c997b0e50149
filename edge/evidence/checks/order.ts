import type { Enclosed, Leaf } from './canonical.ts';
import { failed, type Looked, passed } from './looked.ts';

const CONSEQUENCE = 'The order in which things were said and measured is part of the record. Ask for the bundle again.';

/** Entries and blocks stand in the ledger's order, none twice. */
export function lookAtOrder({ entries, blocks }: Enclosed): Looked<true> {
  for (const leaves of [entries, blocks])
    for (const [index, { where, seq }] of leaves.entries()) {
      const before: Leaf | undefined = leaves[index - 1];
      if (before !== undefined && before.seq >= seq)
        return failed(`${where}: place ${seq} comes after place ${before.seq}.`, CONSEQUENCE);
    }
  const places = new Set(entries.map(({ seq }) => seq));
  const twice = blocks.find(({ seq }) => places.has(seq));
  if (twice !== undefined) return failed(`${twice.where}: place ${twice.seq} is taken by an entry.`, CONSEQUENCE);
  return passed(true, 'Entries and blocks stand in the order of the ledger.');
}
