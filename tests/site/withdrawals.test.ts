import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Entry } from '../../edge/site/entries.ts';
import { entry, plain, siteWith, usual } from './entriesOf.ts';
import { clock, histories, revocable } from './work.ts';

const back = (seq: number): Entry => entry({ kind: 'entry.withdrawn', seq, reason: 'said by mistake' }, clock(900));
/** Takes up no room in the state, but a place in the ledger: what comes after it keeps its number. */
const boot = entry({ kind: 'boot.started', boot: 1, bootId: '0198a4be-0000-7000-8000-000000000000', program: 'test' });

test('each thing that can be said changes the state, and taking it back gives the state that was', () => {
  for (const make of revocable) {
    const said = entry(make(30), clock(700));
    const seq = usual.length + 1;
    const after = plain(siteWith(...usual, said));
    // A note is an event and no more; the end of a rain that nobody noted ends nothing.
    if (said.kind !== 'note.added' && said.kind !== 'rain.ended') expect(after, said.kind).not.toEqual(plain(siteWith(...usual)));
    expect(plain(siteWith(...usual, said, back(seq))), said.kind).toEqual(plain(siteWith(...usual)));
  }
});

test('whatever else was said before and after, taking one thing back is as if it had never been said', () => {
  let changed = 0;
  fc.assert(
    fc.property(histories, fc.nat(), (entries, pick) => {
      const which = pick % entries.length;
      // A later word may rest on an earlier lay-up having been spoken of at all: see the test of assignments in state.test.ts.
      if (entries[which]?.kind === 'joint.laidUp') return;
      const without = plain(siteWith(...usual, ...entries.with(which, boot)));
      const withdrawn = plain(siteWith(...usual, ...entries, back(usual.length + 1 + which)));
      expect(withdrawn).toEqual(without);
      if (JSON.stringify(plain(siteWith(...usual, ...entries))) !== JSON.stringify(without)) changed++;
    }),
    { numRuns: 1500 },
  );
  expect(changed).toBeGreaterThan(300);
});

test('in whatever order things are taken back, nothing is left of them, and each stays in sight with who took it back', () => {
  fc.assert(
    fc.property(histories, (entries) => {
      const seqs = entries.map((_, index) => usual.length + 1 + index);
      const forwards = siteWith(...usual, ...entries, ...seqs.map(back));
      const backwards = siteWith(...usual, ...entries, ...seqs.toReversed().map(back));
      expect(plain(forwards)).toEqual(plain(backwards));
      const { assignments: _, ...joint } = plain(forwards).joints[0] ?? {};
      const { assignments: __, ...untouched } = plain(siteWith(...usual)).joints[0] ?? {};
      expect(joint).toEqual(untouched);
      expect(plain(forwards)).toMatchObject({ rains: [], decisions: new Map(), mappings: new Map() });
      for (const { withdrawn } of forwards.joints.get('j1')?.events ?? [])
        expect(withdrawn).toMatchObject({ reason: 'said by mistake', by: { name: 'A. Layer' } });
    }),
    { numRuns: 500 },
  );
});
