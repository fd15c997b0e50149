import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { bearsOn, bearsOnSubject } from '../../edge/evidence/bearing.ts';
import type { Placed } from '../../edge/evidence/sealed.ts';
import { foldSpecOf, mixSpecOf } from '../../edge/site/cureSpec.ts';
import type { Entry } from '../../edge/site/entries.ts';
import { ownerOf } from '../../edge/site/findings/id.ts';
import { jointFindings } from '../../edge/site/findings/jointFindings.ts';
import { sumpFindings } from '../../edge/site/findings/sumpFindings.ts';
import { applyEntry } from '../../edge/site/state/apply.ts';
import { heatingOf } from '../../edge/site/state/heating.ts';
import { emptySite, type SiteState } from '../../edge/site/state/site.ts';
import { entry, type Said, usual } from '../site/entriesOf.ts';
import { clock, laidUp, revocable, warned } from '../site/work.ts';
import { smallYard } from './support/yard.ts';

const joint = (name: string, sump: string, probes: readonly string[], more: object = {}): Said => ({
  kind: 'joint.added',
  joint: name,
  sump,
  label: name,
  schedule: 'polyester-laminate',
  probes: [...probes],
  ...more,
});

/** The usual site, with a second joint on the sump, and a second sump whose joint shares a probe with the first. */
const base: readonly Entry[] = [
  ...usual,
  entry(warned),
  entry({ kind: 'probe.registered', probe: 'p3', role: 'material' }),
  entry({ kind: 'lot.added', lot: 'r1', material: 'resin', label: 'Drum 1' }),
  entry({ kind: 'lot.added', lot: 'r2', material: 'resin', label: 'Drum 2' }),
  entry({ kind: 'sump.added', sump: 's2', label: 'Sump 2', sequence: 'two-section-sump' }),
  entry(joint('j2', 's1', ['p3'])),
  entry(joint('j3', 's2', ['p2'], { schedule: 'epoxy-pour', ambient: 'air' })),
];

const names: Readonly<Record<string, readonly string[]>> = {
  joint: ['j1', 'j2', 'j3'],
  sump: ['s1', 's2'],
  probe: ['p1', 'p2', 'p3', 'air'],
};

/** What was said of one thing, said of another. */
function toldOf(said: Said, pick: number): Said {
  const moved: Record<string, unknown> = { ...said };
  for (const [field, choices] of Object.entries(names))
    if (moved[field] !== undefined) moved[field] = choices[pick % choices.length];
  if ('finding' in said)
    moved.finding = ['gap:j1:t1', 'gap:j2:t1', 'gap:j3:t1', 'started-early:s1:e9', 'started-early:s2:e9'][pick % 5];
  if (moved.kind === 'mix.recorded') moved.resinLot = ['r1', 'r2'][pick % 2];
  if (moved.kind === 'joint.assigned') moved.probes = [['p1'], ['p2'], ['p3'], ['p1', 'p3']][pick % 4];
  return moved as Said;
}

const others: readonly ((minute: number) => Said)[] = [
  (minute) => ({ kind: 'clock.stepped', boot: 1, monoMs: minute * 60_000, from: clock(minute), to: clock(minute + 30) }),
  (minute) => ({ kind: 'boot.started', boot: 2 + minute, bootId: '0198a4be-0000-7000-8000-000000000000', program: 'test' }),
  () => ({ kind: 'note.added', text: 'Cable loose', probe: 'p3' }),
  () => ({ kind: 'note.added', text: 'Seen both', joint: 'j2', sump: 's1', probe: 'p1' }),
  () => ({
    kind: 'joint.sealed',
    joint: 'j1',
    attempt: 0,
    why: 'asked',
    laidUpAt: null,
    provenUntil: null,
    creditPpmMs: 0,
    rateTableSha256: 'a5'.repeat(32),
    reached: [],
    lanes: [],
    entries: { count: 0, sha256: 'a5'.repeat(32) },
    people: [],
  }),
  () => ({ kind: 'site.described', name: 'South yard', timeZone: 'America/Denver' }),
];

type Step = readonly [which: number, minute: number, pick: number];
/** Lay-ups above all: without one there are no hours. */
const making = [...revocable, ...others, ...new Array<(minute: number) => Said>(8).fill(laidUp)];

/** A whole ledger: work on every joint, things taken back, a joint taken back and added anew. */
function ledgerOf(steps: readonly Step[], backs: readonly number[], again: boolean): Placed[] {
  const entries = [...base];
  const gone = entries.findIndex((one) => one.kind === 'joint.added' && one.joint === 'j2') + 1;
  if (again) {
    entries.push(entry({ kind: 'note.added', text: 'to be moved', joint: 'j2' }, clock(690)));
    entries.push(entry({ kind: 'entry.withdrawn', seq: gone, reason: 'wrong sump' }, clock(691)));
    entries.push(entry(joint('j2', 's2', ['p1']), clock(692)));
  }
  const first = entries.length + 1;
  steps.forEach(([which, minute, pick], index) => {
    const make = making[which % making.length] as (minute: number) => Said;
    entries.push(entry(toldOf(make(minute), pick), clock(700 + index)));
  });
  const fixed = ['clock.stepped', 'boot.started', 'site.described', 'joint.sealed'];
  const taken = new Set(backs.map((back) => first + (back % steps.length)));
  for (const seq of taken)
    if (!fixed.includes(entries[seq - 1]?.kind ?? ''))
      entries.push(entry({ kind: 'entry.withdrawn', seq, reason: 'by mistake' }, clock(900)));
  return entries.map((one, index) => ({ seq: index + 1, entry: one }));
}

const ledgers = fc
  .tuple(
    fc.array(fc.tuple(fc.nat(999), fc.integer({ min: 0, max: 600 }), fc.nat(59)), { minLength: 6, maxLength: 25 }),
    fc.array(fc.nat(999), { maxLength: 6 }),
    fc.boolean(),
  )
  .map(([steps, backs, again]) => ledgerOf(steps, backs, again));

function replayed(entries: readonly Placed[]): SiteState {
  const site = emptySite();
  for (const { entry: one, seq } of entries) applyEntry(site, one, seq);
  return site;
}

const without = (value: object, ...keys: string[]) =>
  Object.fromEntries(Object.entries(value).filter(([key]) => !keys.includes(key)));

/** All that a joint's hours, stages, findings and decisions rest on. */
function restsOn(site: SiteState, name: string) {
  const own = site.joints.get(name);
  if (own === undefined) return null;
  const sump = site.sumps.get(own.sump);
  if (sump === undefined) throw new Error('a joint without its sump');
  const nowMs = Date.parse(clock(1000));
  const probes = new Set(own.assignments.flatMap((each) => [...each.probes, ...(each.ambient === null ? [] : [each.ambient])]));
  const proven = { episodes: [], reached: [], gelMs: null };
  return {
    spec: foldSpecOf(site, own),
    mixSpec: mixSpecOf(site, own),
    joint: own,
    sump: without(sump, 'joints'),
    heating: heatingOf(site, own),
    findings: jointFindings(site, own, proven, nowMs),
    sumpFindings: sumpFindings(site, sump),
    probes: [...probes].map((probe) => site.probes.get(probe)),
    rains: site.rains.filter((rain) => rain.sump === null || rain.sump === own.sump),
    decisions: [...site.decisions].filter(([finding]) => [name, own.sump].includes(ownerOf(finding))),
    redone: site.redone.get(name),
    lots: [...new Set(own.mixes.flatMap(({ resinLot }) => resinLot ?? []))].map((lot) => site.lots.get(lot)),
    site: [site.name, site.timeZone, site.clockSteps],
  };
}

describe('what bears on a joint', () => {
  test('is closed, and comes to the same joint as the whole ledger', () => {
    let cured = 0;
    let left = 0;
    fc.assert(
      fc.property(ledgers, fc.constantFrom('j1', 'j2', 'j3'), (entries, name) => {
        const whole = replayed(entries);
        const bears = bearsOn(whole, name);
        const enclosed = entries.filter(({ entry: one, seq }) => bears(one, seq));
        const alone = replayed(enclosed);
        expect(restsOn(alone, name)).toEqual(restsOn(whole, name));
        const again = bearsOn(alone, name);
        expect(enclosed.every(({ entry: one, seq }) => again(one, seq))).toBe(true);
        if (restsOn(whole, name)?.spec != null) cured++;
        left += entries.length - enclosed.length;
      }),
      { numRuns: 600 },
    );
    expect(cured).toBeGreaterThan(100);
    expect(left).toBeGreaterThan(2000);
  });

  test('only grows, and at every place the enclosed entries tell it as the whole ledger did then', () => {
    fc.assert(
      fc.property(ledgers, fc.constantFrom('j1', 'j2', 'j3'), fc.nat(), (entries, name, cut) => {
        const bearsInTheEnd = bearsOn(replayed(entries), name);
        const enclosed = entries.filter(({ entry: one, seq }) => bearsInTheEnd(one, seq));
        const place = 1 + (cut % entries.length);
        const then = (of: readonly Placed[]) => {
          const past = of.filter(({ seq }) => seq <= place);
          const bears = bearsOn(replayed(past), name);
          return past.filter(({ entry: one, seq }) => bears(one, seq)).map(({ seq }) => seq);
        };
        expect(then(enclosed)).toEqual(then(entries));
        const inTheEnd = new Set(enclosed.map(({ seq }) => seq));
        expect(then(entries).filter((seq) => !inTheEnd.has(seq))).toEqual([]);
      }),
      { numRuns: 400 },
    );
  });

  test('of several joints and of a sump is what bears on any of them, and closed too', () => {
    fc.assert(
      fc.property(ledgers, (entries) => {
        const whole = replayed(entries);
        const joints = whole.sumps.get('s1')?.joints ?? [];
        const bears = bearsOnSubject(whole, { joints, sump: 's1' });
        const each = joints.map((name) => bearsOn(whole, name));
        const enclosed = entries.filter(({ entry: one, seq }) => bears(one, seq));
        for (const { entry: one, seq } of entries)
          if (each.some((of) => of(one, seq))) expect(bears(one, seq), `place ${seq}`).toBe(true);
        const alone = replayed(enclosed);
        expect(alone.sumps.get('s1')?.joints).toEqual(joints);
        for (const name of joints) expect(restsOn(alone, name)).toEqual(restsOn(whole, name));
      }),
      { numRuns: 200 },
    );
  });

  test('in a small yard: its own, its sump’s, its probes’, its lot’s; nothing of its neighbours', () => {
    const { site, entries } = smallYard();
    const bears = bearsOn(site, 'j1');
    const left = entries.filter(({ entry: one, seq }) => !bears(one, seq)).map(({ entry: one }) => one);
    expect(
      left.map((one) => [
        one.kind,
        ...Object.values(one).filter((value) => typeof value === 'string' && /^[a-z]\d$/.test(value)),
      ]),
    ).toEqual([
      ['probe.registered', 'p3'],
      ['sump.added', 's2'],
      ['joint.added', 'j2', 's1'],
      ['lot.added', 'r2'],
      ['mix.recorded', 'j2', 'r2'],
      ['joint.sealed', 'j2'],
      ['note.added', 's2'],
    ]);
  });
});
