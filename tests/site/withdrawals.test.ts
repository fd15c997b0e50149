import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Entry } from '../../edge/site/entries.ts';
import { entry, plain, siteWith, usual } from './entriesOf.ts';
import { clock, histories, revocable, warned } from './work.ts';

const base: readonly Entry[] = [...usual, entry(warned)];
/** Said of what is not there, they change nothing that is shown: an event, the end of no rain, a booking that nobody made. */
const EMPTY = ['note.added', 'rain.ended', 'booking.cancelled'];

const back = (seq: number): Entry => entry({ kind: 'entry.withdrawn', seq, reason: 'said by mistake' }, clock(900));
/** Takes up no room in the state, but a place in the ledger: what comes after it keeps its number. */
const boot = entry({ kind: 'boot.started', boot: 1, bootId: '0198a4be-0000-7000-8000-000000000000', program: 'test' });

test('each thing that can be said changes the state, and taking it back gives the state that was', () => {
  for (const make of revocable) {
    const said = entry(make(30), clock(700));
    const seq = base.length + 1;
    const after = plain(siteWith(...base, said));
    if (!EMPTY.includes(said.kind)) expect(after, said.kind).not.toEqual(plain(siteWith(...base)));
    expect(plain(siteWith(...base, said, back(seq))), said.kind).toEqual(plain(siteWith(...base)));
  }
});

test('whatever else was said before and after, taking one thing back is as if it had never been said', () => {
  let changed = 0;
  fc.assert(
    fc.property(histories, fc.nat(), (entries, pick) => {
      const which = pick % entries.length;
      // A later word may rest on an earlier lay-up having been spoken of at all: see the test of assignments in state.test.ts.
      if (entries[which]?.kind === 'joint.laidUp') return;
      const without = plain(siteWith(...base, ...entries.with(which, boot)));
      const withdrawn = plain(siteWith(...base, ...entries, back(base.length + 1 + which)));
      expect(withdrawn).toEqual(without);
      if (JSON.stringify(plain(siteWith(...base, ...entries))) !== JSON.stringify(without)) changed++;
    }),
    { numRuns: 1500 },
  );
  expect(changed).toBeGreaterThan(300);
});

test('in whatever order things are taken back, nothing is left of them, and each stays in sight with who took it back', () => {
  fc.assert(
    fc.property(histories, (entries) => {
      const seqs = entries.map((_, index) => base.length + 1 + index);
      const forwards = siteWith(...base, ...entries, ...seqs.map(back));
      const backwards = siteWith(...base, ...entries, ...seqs.toReversed().map(back));
      expect(plain(forwards)).toEqual(plain(backwards));
      const { assignments: _, ...joint } = plain(forwards).joints[0] ?? {};
      const { assignments: __, ...untouched } = plain(siteWith(...base)).joints[0] ?? {};
      expect(joint).toEqual(untouched);
      expect(plain(forwards)).toMatchObject({
        rains: [],
        decisions: new Map(),
        mappings: new Map(),
        forecasts: [],
        sumps: [{ bookings: new Map(), heating: [] }],
        warnings: [{ acknowledged: null, snoozed: null }],
      });
      for (const { withdrawn } of forwards.joints.get('j1')?.events ?? [])
        expect(withdrawn).toMatchObject({ reason: 'said by mistake', by: { name: 'A. Layer' } });
    }),
    { numRuns: 500 },
  );
});
