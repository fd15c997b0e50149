import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { By } from '../../edge/site/entries.ts';
import { about, crew, type HandSite, quality, somebody } from '../support/handSite.ts';
import { answerOf, laidUpOf, oneJointSite, prepOf } from './oneJoint.ts';

let site: HandSite;
beforeEach(async () => {
  site = await oneJointSite();
});
afterEach(() => site[Symbol.asyncDispose]());

const answer = (said: object, by: By = crew) => answerOf(site, said, by);
const prep = (more?: object) => prepOf(site, more);
const laidUp = () => laidUpOf(site);

describe('decisions', () => {
  /** A joint with an open finding that goes on, one that is over, and a note. */
  async function withFindings(): Promise<{ frozen: string; unprepared: string }> {
    await site.say(laidUp());
    site.wait(8);
    await site.hear('p1', 'temperature', 15, { from: 8 });
    const frozen = site.findings('j1', 'probe-frozen')[0]?.id ?? '';
    return { frozen, unprepared: site.findings('j1', 'prep-missing')[0]?.id ?? '' };
  }
  const decide = (finding: string, decision: string) => ({ kind: 'finding.decided', finding, decision, reason: 'looked at it' });

  test('on what is not there, by who may not, in a way that it does not allow', async () => {
    const { frozen, unprepared } = await withFindings();
    expect((await answer(decide('gap:j1:t1', 'accept'), quality))?.paths).toEqual(['finding']);
    expect(await answer(decide(unprepared, 'accept'), crew)).toMatchObject({ code: 'wrong-role' });
    expect((await answer(decide(unprepared, 'proof'), quality))?.paths).toEqual(['decision']);
    // It goes on.
    expect((await answer(decide(frozen, 'accept'), quality))?.text).toContain('still going on');
    expect((await answer(decide(frozen, 'proof'), quality))?.text).toContain('still going on');
    await site.cure(1, 16, 'p1');
    site.wait(0.05);
    expect((await answer(decide(frozen, 'proof'), quality))?.text).toContain('no proof on record since then passes');
    expect(await answer(decide(frozen, 'accept'), quality)).toBeNull();
  });

  test('what quality decided, crew does not overturn, not even where anybody may decide', async () => {
    await site.say(prep());
    await site.say(laidUp());
    site.wait(2);
    await site.hear('p1', 'temperature', about(15), { from: 0.5 });
    const [gap] = site.findings('j1', 'gap');
    const redo = await site.say(decide(gap?.id ?? '', 'redo'), quality);
    expect(site.joint('j1').phase).toBe('void');
    expect((await answer(decide(gap?.id ?? '', 'accept'), crew))?.text).toContain('has decided on it');
    // To accept it afterwards is not to take back what was said before.
    expect(await answer(decide(gap?.id ?? '', 'accept'), quality)).toBeNull();
    expect(site.joint('j1').phase).toBe('void');
    await site.say({ kind: 'entry.withdrawn', seq: redo, reason: 'it was the other joint' }, quality);
    expect(site.joint('j1').phase).toBe('curing');
  });

  test('of quality are taken back by quality or admin only', async () => {
    const { unprepared } = await withFindings();
    const seq = await site.say(decide(unprepared, 'accept'), quality);
    expect((await answer({ kind: 'entry.withdrawn', seq, reason: 'x' }, crew))?.paths).toEqual(['seq']);
    expect(await answer({ kind: 'entry.withdrawn', seq, reason: 'x' }, somebody('admin'))).toBeNull();
    expect((await answer({ kind: 'entry.withdrawn', seq, reason: 'x' }, quality))?.text).toContain('taken back already');
  });

  test('on one joint’s finding is none on another’s, however their names and their probes’ are put together', async () => {
    for (const probe of ['b.x', 'x']) await site.say({ kind: 'probe.registered', probe, role: 'material' });
    const joint = { kind: 'joint.added', sump: 's1', label: 'D', schedule: 'polyester-laminate' };
    await site.say({ ...joint, joint: 'a', probes: ['b.x'] });
    await site.say({ ...joint, joint: 'a.b', probes: ['x'] });
    for (const name of ['a', 'a.b']) await site.say({ ...laidUp(), joint: name });
    site.wait(8);
    for (const probe of ['b.x', 'x'])
      await site.hear(probe, 'temperature', (hour) => (hour < -0.5 ? 15 : 16 + hour), { from: 8 });
    const [one] = site.findings('a', 'probe-frozen');
    const [other] = site.findings('a.b', 'probe-frozen');
    expect(one?.id).not.toBe(other?.id);
    expect(await answer(decide(one?.id ?? '', 'accept'), quality)).toBeNull();
    expect(site.findings('a', 'probe-frozen')).toMatchObject([{ open: false }]);
    expect(site.findings('a.b', 'probe-frozen')).toMatchObject([{ open: true }]);
  });

  test('on two probes apart is none on two others', async () => {
    const probes = ['x-y', 'z', 'x', 'y-z'];
    for (const probe of probes) await site.say({ kind: 'probe.registered', probe, role: 'material' });
    await site.say({ kind: 'joint.added', joint: 'j2', sump: 's1', label: 'D', schedule: 'polyester-laminate', probes });
    await site.say({ ...laidUp(), joint: 'j2' });
    site.wait(3);
    for (const [index, celsius] of [15, 25, 14, 26].entries())
      await site.hear(probes[index] ?? '', 'temperature', about(celsius), { from: 3 });
    const apart = site.findings('j2', 'probes-apart');
    const pairs = apart.map((finding) => [...finding.probes].sort().join(' '));
    expect(pairs).toContain('x-y z');
    expect(pairs).toContain('x y-z');
    expect(new Set(apart.map(({ id }) => id)).size).toBe(apart.length);
  });

  test('on a missing signature is none on the next lay-up’s', async () => {
    const seq = await site.say(laidUp());
    const [first] = site.findings('j1', 'prep-missing');
    expect(await answer(decide(first?.id ?? '', 'accept'), quality)).toBeNull();
    site.wait(5);
    await site.say({ kind: 'entry.withdrawn', seq, reason: 'it was the other joint' });
    site.wait(20);
    await site.say(laidUp());
    expect(site.findings('j1', 'prep-missing')).toMatchObject([{ open: true, decision: null }]);
  });

  test('on rain over one attempt is none on the next one’s', async () => {
    await site.say(prep());
    await site.say(laidUp());
    await site.cure(3, 20, 'p1');
    await site.say({ kind: 'rain.noted', at: site.at(3), until: site.at(0) });
    const [first] = site.findings('j1', 'rain');
    expect(await answer(decide(first?.id ?? '', 'accept'), quality)).toBeNull();
    expect(site.findings('j1', 'rain')).toMatchObject([{ open: false }]);
    await site.say({ kind: 'joint.relaid', joint: 'j1', at: site.at(0.5) });
    expect(site.findings('j1', 'rain')).toMatchObject([{ open: true, decision: null }]);
  });

  test('a finding on a joint and probe with dots in their names can be decided on', async () => {
    await site.say({ kind: 'probe.registered', probe: 'p.1', role: 'material' });
    await site.say({ kind: 'joint.added', joint: 'j.2', sump: 's1', label: 'D', schedule: 'epoxy-pour', probes: ['p.1'] });
    await site.say({ kind: 'joint.laidUp', joint: 'j.2', at: site.at() });
    site.wait(8);
    await site.hear('p.1', 'temperature', (hour) => (hour < -0.5 ? 20 : 21), { from: 8 });
    const [frozen] = site.findings('j.2', 'probe-frozen');
    expect(await answer(decide(frozen?.id ?? '', 'accept'), quality)).toBeNull();
    expect(site.findings('j.2', 'probe-frozen')).toMatchObject([{ open: false }]);
  });
});

test('time alone brings findings: a joint that nobody hears of any more has a gap', async () => {
  await site.say(prep());
  await site.say(laidUp());
  await site.cure(2, 15, 'p1');
  expect(site.findings('j1', 'gap')).toEqual([]);
  site.wait(0.5);
  expect(site.findings('j1', 'gap')).toMatchObject([{ open: true, to: null, severity: 'warning' }]);
});
