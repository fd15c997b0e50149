import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { crew, HandSite, quality, somebody } from '../support/handSite.ts';

const START_MS = Date.parse('2026-05-04T08:00:00Z');

let site: HandSite;
beforeEach(async () => {
  site = await HandSite.start(START_MS);
  await site.say({ kind: 'sump.added', sump: 's1', label: 'North', sequence: 'two-section-sump' });
  await site.say({ kind: 'probe.registered', probe: 'p1', role: 'material' });
  await site.say({ kind: 'joint.added', joint: 'j1', sump: 's1', label: 'Base', schedule: 'polyester-laminate', probes: ['p1'] });
});
afterEach(() => site[Symbol.asyncDispose]());

const kinds = () => [...site.live.ledger.entries()].map(({ entry }) => entry.kind);

describe('what comes with the program is put on record when it is first used', () => {
  test('a sequence before its first sump, once', async () => {
    await site.say({ kind: 'sump.added', sump: 's2', label: 'South', sequence: 'two-section-sump' });
    await site.say({ kind: 'sump.added', sump: 's3', label: 'West' });
    const order = kinds().filter((kind) => kind === 'sequence.recorded' || kind === 'sump.added');
    expect(order).toEqual(['sequence.recorded', 'sump.added', 'sump.added', 'sequence.recorded', 'sump.added']);
  });

  test('a schedule before its first joint, once, with both its tables', async () => {
    await site.say({ kind: 'joint.added', joint: 'j2', sump: 's1', label: 'Rim', schedule: 'polyester-laminate', probes: [] });
    const recorded = [...site.live.ledger.entries()].flatMap(({ entry }) => (entry.kind === 'schedule.recorded' ? [entry] : []));
    expect(recorded).toHaveLength(1);
    expect(recorded[0]?.table.topMilliC).toBe(10_000);
    expect(recorded[0]?.mixTable?.topMilliC).toBe(26_700);
  });

  test('after a restart nothing is put on record again', async () => {
    await site.restart();
    await site.say({ kind: 'sump.added', sump: 's2', label: 'South', sequence: 'two-section-sump' });
    expect(kinds().filter((kind) => kind === 'sequence.recorded')).toHaveLength(1);
  });
});

describe('what others rest on', () => {
  const layUp = async () => {
    await site.say({ kind: 'prep.signed', joint: 'j1', at: site.at(), sanded: true, wiped: true, dry: true });
    await site.say({ kind: 'joint.laidUp', joint: 'j1', at: site.at() });
    site.wait(1);
  };
  const proof = { kind: 'proof.recorded', joint: 'j1', surface: 'tacky', confirmed: ['early-proof'] };

  test('crew take back their own proof, and not another one’s', async () => {
    await layUp();
    const seq = await site.say({ ...proof, at: site.at() }, somebody('crew'));
    const takeBack = { kind: 'entry.withdrawn', seq, reason: 'Wrong joint' };
    await expect(site.say(takeBack, crew)).rejects.toThrow(/quality or admin may take back/);
    await site.say(takeBack, somebody('crew'));
    expect(site.joint('j1').proofs).toEqual([]);
  });

  test('quality takes back anybody’s', async () => {
    await layUp();
    const seq = await site.say({ ...proof, at: site.at() }, crew);
    await site.say({ kind: 'entry.withdrawn', seq, reason: 'Wrong joint' }, quality);
    expect(site.joint('j1').proofs).toEqual([]);
  });
});

test('a mix outside the band is not done again before anything is laid up: it is thrown away', async () => {
  const resin = { value: 1, unit: 'quart' };
  const mix = { kind: 'mix.recorded', joint: 'j1', at: site.at(), resin, catalystMillilitres: 5, resinCelsius: 20 };
  const seq = await site.say(mix);
  const [finding] = site.findings('j1', 'mix-outside-band');
  const redo = { kind: 'finding.decided', finding: finding?.id, decision: 'redo', reason: 'Too little' };
  await expect(site.say(redo, quality)).rejects.toThrow(/nothing is laid up yet/);
  await site.say({ kind: 'entry.withdrawn', seq, reason: 'Thrown away' });
  expect(site.findings('j1', 'mix-outside-band')).toEqual([]);
});
