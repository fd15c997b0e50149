import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { FindingCode } from '../../edge/site/findings/catalogue.ts';
import { calibration } from '../site/work.ts';
import { about, HandSite, quality, somebody } from '../support/handSite.ts';

const START_MS = Date.parse('2026-05-04T08:00:00Z');
const MATERIAL = { role: 'material', kind: 'probe.registered' };

let site: HandSite;
beforeEach(async () => {
  site = await HandSite.start(START_MS);
  await site.say({ kind: 'sump.added', sump: 's1', label: 'North' });
  await site.say({ ...MATERIAL, probe: 'p1' });
  await site.say({ kind: 'joint.added', joint: 'j1', sump: 's1', label: 'One', schedule: 'polyester-laminate', probes: ['p1'] });
});
afterEach(() => site[Symbol.asyncDispose]());

const prep = (hoursAgo = 0) =>
  site.say({ kind: 'prep.signed', joint: 'j1', at: site.at(hoursAgo), sanded: true, wiped: true, dry: true });
const mix = (catalystMillilitres = 15) =>
  site.say({
    kind: 'mix.recorded',
    joint: 'j1',
    at: site.at(),
    resin: { value: 1, unit: 'quart' },
    catalystMillilitres,
    resinCelsius: 20,
  });
const layUp = () => site.say({ kind: 'joint.laidUp', joint: 'j1', at: site.at() });
const relay = () => site.say({ kind: 'joint.relaid', joint: 'j1', at: site.at(), reason: 'ground off' });
const takeBack = (seq: number, by = somebody('crew')) =>
  site.say({ kind: 'entry.withdrawn', seq, reason: 'said by mistake' }, by);

const REASON = 'cut it out';
/** Quality has the joint done again for the finding with this code; the place of the decision in the ledger. */
async function condemn(code: FindingCode): Promise<number> {
  const [finding] = site.findings('j1', code);
  const seq = await site.say({ kind: 'finding.decided', finding: finding?.id, decision: 'redo', reason: REASON }, quality);
  expectVoid(seq);
  return seq;
}

function expectVoid(seq: number): void {
  const { phase, redo } = site.joint('j1');
  expect({ phase, redo }).toMatchObject({
    phase: 'void',
    redo: { seq, by: quality.name, role: 'quality', reason: REASON },
  });
  expect(site.sump('s1').activities[0]?.state).toBe('waiting');
}

/** A way to make the finding go that a joint was condemned for. */
interface Way {
  readonly code: FindingCode;
  readonly bring: () => Promise<unknown>;
  readonly goes: () => Promise<unknown>;
}

let said = 0;
const WAYS: Readonly<Record<string, Way>> = {
  'a gap that a late batch fills': {
    code: 'gap',
    bring: async () => {
      await prep();
      await mix();
      await layUp();
      await site.cure(3, 20, 'p1');
      site.wait(2);
      await site.cure(22, 20, 'p1');
    },
    goes: () => site.hear('p1', 'temperature', about(20), { from: 24.2, to: 21.9 }),
  },
  'a frozen probe that turns out to have moved': {
    code: 'probe-frozen',
    bring: async () => {
      await prep();
      await mix();
      await layUp();
      await site.cure(25, (hour) => (hour < -18 ? 15 : 15.0625 + (Math.round(hour * 60) % 2) * 0.0625), 'p1');
    },
    goes: async () => {
      await site.hear('p1', 'temperature', 15.0625, { from: 23.53, to: 23.53 });
      await site.hear('p1', 'temperature', 15.0625, { from: 20.51, to: 20.51 });
    },
  },
  'a mix outside the band that is taken back': {
    code: 'mix-outside-band',
    bring: async () => {
      await prep();
      said = await mix(2);
      await layUp();
      await site.cure(25, 20, 'p1');
    },
    goes: () => takeBack(said),
  },
  'rain that is taken back': {
    code: 'rain',
    bring: async () => {
      await prep();
      await mix();
      await layUp();
      await site.cure(25, 20, 'p1');
      said = await site.say({ kind: 'rain.noted', at: site.at(25), until: site.at(24.9) });
    },
    goes: () => takeBack(said),
  },
  'a surface that is signed for afterwards': {
    code: 'prep-missing',
    bring: async () => {
      await mix();
      await layUp();
      await site.cure(25, 20, 'p1');
    },
    goes: () => prep(25.5),
  },
  'a calibration overdue that is taken back': {
    code: 'calibration-overdue',
    bring: async () => {
      const due = { kind: 'calibration.recorded', probe: 'p1', dueAt: site.at(), at: site.at(24), calibration: calibration() };
      said = await site.say(due, quality);
      await prep();
      await mix();
      await layUp();
      await site.cure(25, 20, 'p1');
    },
    goes: () => takeBack(said, quality),
  },
};

describe('a joint that has to be done again stays so', () => {
  test.each(Object.entries(WAYS))('though its finding goes: %s', async (_, { code, bring, goes }) => {
    await bring();
    const seq = await condemn(code);
    await goes();
    expect(site.findings('j1', code)).toEqual([]);
    expectVoid(seq);
    await site.restart();
    expectVoid(seq);
  });

  const condemned = async () => {
    await layUp();
    await site.cure(25, 20, 'p1');
    return condemn('prep-missing');
  };

  test('until it is laid up anew', async () => {
    const seq = await condemned();
    site.wait(0.5);
    const relaid = await relay();
    expect(site.joint('j1')).toMatchObject({ phase: 'curing', redo: null });
    // The lay-up was none: it is as it was.
    await takeBack(relaid);
    expectVoid(seq);
  });

  test('or the decision is taken back, by quality', async () => {
    const seq = await condemned();
    await expect(takeBack(seq)).rejects.toThrow(/quality or admin may take back/);
    expectVoid(seq);
    await takeBack(seq, quality);
    expect(site.joint('j1')).toMatchObject({ phase: 'hydroReady', redo: null });
  });

  test('another ply, or its lay-up taken back and said again, is no new start', async () => {
    const seq = await condemned();
    const ply = await layUp();
    expectVoid(seq);
    await takeBack(ply);
    const first = site.live.state.joints.get('j1')?.events.find(({ kind }) => kind === 'laidUp');
    await takeBack(first?.seq ?? 0);
    expectVoid(seq);
    await layUp();
    expectVoid(seq);
  });

  test('for the other reason when one of two is taken back', async () => {
    const first = await condemned();
    await site.say({ kind: 'rain.noted', at: site.at(25), until: site.at(24.9) });
    const second = await condemn('rain');
    await takeBack(second, quality);
    expectVoid(first);
  });

  test('and the other joint of the sump is none of that', async () => {
    await site.say({ ...MATERIAL, probe: 'p2' });
    const other = { joint: 'j2', sump: 's1', label: 'Two', schedule: 'polyester-laminate', probes: ['p2'] };
    await site.say({ kind: 'joint.added', ...other });
    await condemned();
    expect(site.joint('j2')).toMatchObject({ phase: 'planned', redo: null });
  });
});

describe('a calibration that is overdue', () => {
  const overdue = async (dueHoursAgo: number) =>
    site.say(
      { kind: 'calibration.recorded', probe: 'p1', at: site.at(48), dueAt: site.at(dueHoursAgo), calibration: calibration() },
      quality,
    );

  test('stays with the joint when its probe is moved away', async () => {
    await overdue(10);
    await prep();
    await mix();
    await layUp();
    await site.cure(25, 20, 'p1');
    const [before] = site.findings('j1', 'calibration-overdue');
    expect(before).toMatchObject({ probes: ['p1'], open: true });
    await site.say({ ...MATERIAL, probe: 'p9' });
    await site.say({ kind: 'joint.assigned', joint: 'j1', probes: ['p9'], at: site.at() });
    expect(site.findings('j1', 'calibration-overdue')).toMatchObject([{ id: before?.id, probes: ['p1'], open: true }]);
    expect(site.sump('s1').activities[0]?.state).toBe('waiting');
  });

  test('of a probe that came on when the joint was through, or left before it was due, is none of its', async () => {
    await prep();
    await mix();
    await layUp();
    await site.cure(25, 20, 'p1');
    await site.say({ ...MATERIAL, probe: 'p9' });
    await site.say({ kind: 'joint.assigned', joint: 'j1', probes: ['p9'], at: site.at(0.1) });
    site.wait(1);
    // p1 is due after it left, p9 was due before it came, and nothing rests on what it says of a joint that is through.
    await overdue(0.5);
    const late = { kind: 'calibration.recorded', probe: 'p9', at: site.at(48), dueAt: site.at(40), calibration: calibration() };
    await site.say(late, quality);
    expect(site.findings('j1', 'calibration-overdue')).toEqual([]);
  });
});
