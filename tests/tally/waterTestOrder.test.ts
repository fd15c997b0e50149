import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { about, HandSite, quality, somebody } from '../support/handSite.ts';

const START_MS = Date.parse('2026-05-04T08:00:00Z');

let site: HandSite;
beforeEach(async () => {
  site = await HandSite.start(START_MS);
  await site.say({ kind: 'sump.added', sump: 's1', label: 'North' });
  await site.say({ kind: 'probe.registered', probe: 'p1', role: 'material' });
  await site.say({ kind: 'joint.added', joint: 'j1', sump: 's1', label: 'One', schedule: 'polyester-laminate', probes: ['p1'] });
});
afterEach(() => site[Symbol.asyncDispose]());

const millimetres = (value: number) => ({ value, unit: 'mm' });
const FAIL_MM = 90;
/** A hold from so many hours ago to so many, that fell from 100 mm to `endMm`. */
const held = (from: number, to: number, endMm = 100, more: object = {}) => ({
  kind: 'hydrotest.recorded',
  sump: 's1',
  method: 'full-height',
  fillAboveHighest: { value: 5, unit: 'in' },
  filledAt: site.at(from + 0.4),
  startedAt: site.at(from),
  endedAt: site.at(to),
  byHand: { start: millimetres(100), end: millimetres(endMm), resolution: millimetres(1) },
  ...more,
});
const start = (activity: string, hoursAgo = 0, reason?: string) =>
  site.say({
    kind: 'activity.started',
    sump: 's1',
    activity,
    at: site.at(hoursAgo),
    ...(reason === undefined ? {} : { reason }),
  });
const activity = (name: string) => site.sump('s1').activities.find((one) => one.activity === name);
const state = (name: string) => activity(name)?.state;
const verdicts = () => site.sump('s1').tests.map(({ verdict, retestOf }) => [verdict, retestOf]);
const prep = () => site.say({ kind: 'prep.signed', joint: 'j1', at: site.at(), sanded: true, wiped: true, dry: true });
const layUp = (hoursAgo = 0) => site.say({ kind: 'joint.laidUp', joint: 'j1', at: site.at(hoursAgo) });

async function laidUp(): Promise<void> {
  await prep();
  await layUp();
}

/** A joint that is through since half an hour, and water going in. */
async function filling(): Promise<void> {
  await laidUp();
  await site.cure(24.5, 13, 'p1');
  await start('water-test');
}

describe('water tests count in the order in which they were held', () => {
  test('an older pass that is put on record after a newer fail opens nothing', async () => {
    await filling();
    await site.cure(6, 13, 'p1');
    const failed = await site.say(held(1.5, 0.2, FAIL_MM));
    const passed = await site
      .say(held(5.5, 4.2), quality)
      .catch(() => site.say(held(5.5, 4.2, 100, { confirmed: ['said-twice'] }), quality));
    expect(site.sump('s1').tests.map(({ seq }) => seq)).toEqual([passed, failed]);
    expect(verdicts()).toEqual([
      ['pass', null],
      ['fail', null],
    ]);
    expect(state('water-test')).toBe('started');
    await expect(start('backfill')).rejects.toThrow(/opens only after a passed water test/);
    await site.restart();
    expect(state('backfill')).toBe('waiting');
  });

  test('a test that failed after the one that passed is put on record all the same, and closes backfill again', async () => {
    await filling();
    await site.cure(6, 13, 'p1');
    await site.say(held(5.5, 4.2));
    expect(state('backfill')).toBe('ready');
    await site.say(held(1.5, 0.2, FAIL_MM));
    expect(verdicts()).toEqual([
      ['pass', null],
      ['fail', null],
    ]);
    expect({ test: state('water-test'), earth: state('backfill') }).toEqual({ test: 'started', earth: 'waiting' });
    await site.cure(2, 13, 'p1');
    await site.say(held(1.5, 0.2));
    expect(verdicts().at(-1)).toEqual(['pass', site.sump('s1').tests[1]?.seq]);
    expect(state('backfill')).toBe('ready');
  });
});

describe('a pass counts for joints that had their hours when the hold began', () => {
  /** Readings of a second probe on the joint, 8.3 °C for hours, come after the hold: hydro is reached later than it seemed. */
  const colderThanItSeemed = async () => {
    await site.hear('p2', 'temperature', about(8.3), { from: 25, to: 6 });
  };
  const withSecondProbe = async () => {
    await site.say({ kind: 'probe.registered', probe: 'p2', role: 'material' });
    await site.say({ kind: 'joint.assigned', joint: 'j1', probes: ['p1', 'p2'] });
  };

  test('late readings that move hydro past it take the pass away, and a test that is held afterwards counts', async () => {
    await withSecondProbe();
    await filling();
    await site.cure(2, 13, 'p1');
    await site.say(held(1.5, 0.2));
    expect(state('backfill')).toBe('ready');
    await colderThanItSeemed();
    expect(site.joint('j1').phase).toBe('stressReady');
    expect(state('backfill')).toBe('waiting');
    await site.cure(12, 13, 'p1', 'p2');
    for (const { id, open } of site.joint('j1').findings)
      if (open) await site.say({ kind: 'finding.decided', finding: id, decision: 'accept', reason: 'known' }, quality);
    // The joint has its hours now; it had not when the water stood in it.
    expect(site.joint('j1').phase).toBe('hydroReady');
    expect(site.sump('s1').tests).toMatchObject([{ verdict: 'pass' }]);
    expect({ test: state('water-test'), earth: state('backfill') }).toEqual({ test: 'started', earth: 'waiting' });
    await expect(start('backfill')).rejects.toThrow(/opens only after a passed water test/);
    await site.say(held(1.5, 0.2));
    expect(state('backfill')).toBe('ready');
  });

  test('a ply that is put on record afterwards does so too', async () => {
    await filling();
    await site.cure(2, 13, 'p1');
    await site.say(held(1.5, 0.2));
    await layUp(3.5);
    await site.cure(21, 13, 'p1');
    expect(site.joint('j1').phase).toBe('hydroReady');
    expect(state('backfill')).toBe('waiting');
  });

  test('unless it was started before its time, with a reason: then the finding stands for it', async () => {
    await laidUp();
    await site.cure(23, 13, 'p1');
    await start('water-test', 0, 'the inspector is here today');
    await site.cure(2, 13, 'p1');
    await site.say(held(1.5, 0.2));
    expect(site.joint('j1').phase).toBe('hydroReady');
    expect(activity('backfill')?.needs.filter(({ met }) => !met)).toMatchObject([{ need: 'decided' }]);
    const [early] = site.sump('s1').findings;
    expect(early).toMatchObject({ code: 'started-early', open: true });
    await site.say({ kind: 'finding.decided', finding: early?.id, decision: 'accept', reason: 'it held' }, quality);
    expect(state('backfill')).toBe('ready');
  });
});

describe('backfill', () => {
  test('is not started before a pass, for whatever reason', async () => {
    await filling();
    await expect(start('backfill', 0, 'rain is coming')).rejects.toMatchObject({
      code: 'entry-refused',
      faults: [{ path: 'activity', message: expect.stringContaining('opens only after a passed water test') }],
    });
    await site.cure(2, 13, 'p1');
    await site.say(held(1.5, 0.2, FAIL_MM));
    await expect(start('backfill', 0, 'rain is coming')).rejects.toMatchObject({ faults: [{ path: 'activity' }] });
  });

  test('nor with a time before the pass ended', async () => {
    await filling();
    await site.cure(3, 13, 'p1');
    await site.say(held(2.4, 1));
    await expect(start('backfill', 1.1, 'rain is coming')).rejects.toMatchObject({ faults: [{ path: 'activity' }] });
    await start('backfill', 0.9);
    expect(state('backfill')).toBe('started');
  });
});

describe('a start that is put on record with an earlier time', () => {
  /** Warm, but for eight hours of cold that ask for a proof, and nobody had signed for the surface. */
  const undecided = async () => {
    await layUp();
    await site.cure(8, about(6.5), 'p1');
    await site.cure(30, (hour) => Math.min(20, 6.5 + (hour + 30) * 7) + (Math.round(hour * 60) % 2) * 0.0625, 'p1');
    const findings = site.joint('j1').findings.filter(({ open }) => open);
    expect(findings.map(({ code, severity }) => [code, severity]).sort()).toEqual([
      ['below-proof', 'stop'],
      ['prep-missing', 'warning'],
    ]);
    return findings.map(({ id }) => id);
  };
  const decide = async (ids: readonly string[], more: object = {}) => {
    for (const finding of ids)
      await site.say({ kind: 'finding.decided', finding, decision: 'accept', reason: 'looked at it', ...more }, quality);
  };
  const needsMetAt = () => Object.fromEntries((activity('water-test')?.needs ?? []).map(({ need, metAt }) => [need, metAt]));

  test('lies before the decisions: the needs are met since they were made, and it is early', async () => {
    await decide(await undecided());
    const decidedAt = site.at();
    expect(site.joint('j1').stages.at(-1)?.clearAt).toBe(decidedAt);
    expect((site.joint('j1').stages.at(-1)?.reachedAt ?? '') < site.at(3)).toBe(true);
    expect(needsMetAt()).toEqual({ allJoints: decidedAt, decided: decidedAt });
    site.wait(1);
    await expect(start('water-test', 3)).rejects.toMatchObject({ code: 'entry-refused', faults: [{ path: 'reason' }] });
    await start('water-test', 3, 'the tanker was there');
    expect(site.sump('s1').findings).toMatchObject([{ code: 'started-early', open: true }]);
  });

  test('after the decisions it needs no reason', async () => {
    await decide(await undecided());
    site.wait(1);
    await start('water-test', 0.9);
    expect(site.sump('s1').findings).toEqual([]);
  });

  test('a decision counts from when it is said to have been made, and says when it was put on record', async () => {
    const ids = await undecided();
    const at = site.at(2);
    await decide(ids, { at });
    expect(needsMetAt()).toEqual({ allJoints: at, decided: at });
    expect(site.joint('j1').findings.find(({ id }) => id === ids[0])?.decision).toMatchObject({ at });
    await expect(start('water-test', 2.1)).rejects.toMatchObject({ faults: [{ path: 'reason' }] });
    await start('water-test', 1.9);
    expect(site.sump('s1').findings).toEqual([]);
  });

  test('a decision is not made in the future', async () => {
    const [first = ''] = await undecided();
    await expect(decide([first], { at: site.at(-1) })).rejects.toThrow(/lies in the future/);
  });

  test('a decision does not lie before what it decides on', async () => {
    const [first = ''] = await undecided();
    await expect(decide([first], { at: site.at(38.1) })).rejects.toMatchObject({
      code: 'entry-refused',
      faults: [{ path: 'at' }],
    });
  });

  test('soft resin was never there: a stage that was reached is clear since the proof that failed was decided on', async () => {
    await laidUp();
    await site.cure(26, 20, 'p1');
    const hydro = () => site.joint('j1').stages[1];
    expect(hydro()?.clearAt).toBe(hydro()?.reachedAt);
    await site.say({ kind: 'proof.recorded', joint: 'j1', at: site.at(), surface: 'tacky' });
    const [failed] = site.findings('j1', 'proof-failed');
    expect(hydro()?.clearAt).toBeNull();
    await decide([failed?.id ?? '']);
    expect(hydro()?.clearAt).toBe(site.at());
  });

  test('what came up after a stage was reached, and was decided on, takes nothing from that stage', async () => {
    await laidUp();
    await site.cure(12.5, 20, 'p1');
    const stages = () => site.joint('j1').stages;
    const stress = stages()[0];
    await site.cure(8, () => 15, 'p1');
    await site.cure(4, 15, 'p1');
    const [frozen] = site.findings('j1', 'probe-frozen');
    expect(frozen).toMatchObject({ open: true, blocks: ['hydro'] });
    expect(stages()[0]).toEqual(stress);
    expect(stages()[1]?.clearAt).toBeNull();
    await decide(site.joint('j1').findings.map(({ id }) => id));
    expect(stages()[0]).toEqual(stress);
    expect(stages()[1]?.clearAt).toBe(site.at());
  });

  test('of two joints the one that was decided on last holds it up, though its hours were there first', async () => {
    await site.say({ kind: 'probe.registered', probe: 'p2', role: 'material' });
    const other = { joint: 'j2', sump: 's1', label: 'Two', schedule: 'polyester-laminate', probes: ['p2'] };
    await site.say({ kind: 'joint.added', ...other });
    await laidUp();
    await site.cure(3, 20, 'p1');
    await site.say({ kind: 'prep.signed', joint: 'j2', at: site.at(), sanded: true, wiped: true, dry: true });
    await site.say({ kind: 'joint.laidUp', joint: 'j2', at: site.at() });
    await site.cure(25, 20, 'p1', 'p2');
    await site.say({ kind: 'proof.recorded', joint: 'j1', at: site.at(), surface: 'tacky' });
    await decide(site.findings('j1', 'proof-failed').map(({ id }) => id));
    expect(needsMetAt()).toEqual({ allJoints: site.at(), decided: site.at() });
  });
});

describe('a level probe', () => {
  const level = (levelUncertaintyMillimetres: number) => ({
    kind: 'probe.registered',
    probe: 'stick',
    role: 'level',
    levelUncertaintyMillimetres,
  });
  const probed = () => {
    const { byHand: _, ...said } = held(1.5, 0.2, 100, { probe: 'stick' });
    return said;
  };

  test('is good for what it was good for when the test was put on record', async () => {
    await site.say(level(5));
    await filling();
    await site.cure(2, 13, 'p1');
    await site.hear('stick', 'level', 0.5, { from: 2 });
    await site.say(probed());
    const judged = () => site.sump('s1').tests.map(({ verdict, byProbe }) => [verdict, byProbe?.faults]);
    const before = judged();
    expect(before).toEqual([['invalid', ['resolution-too-coarse']]]);
    await expect(site.say(level(1))).rejects.toMatchObject({ faults: [{ path: 'levelUncertaintyMillimetres' }] });
    await site.say(level(1), quality);
    expect(judged()).toEqual(before);
    await site.restart();
    expect(judged()).toEqual(before);
    await site.say({ ...probed(), confirmed: ['said-twice'] });
    expect(site.sump('s1').tests.at(-1)?.verdict).toBe('pass');
  });

  test('whose uncertainty nobody gave is believed to 1 mm', async () => {
    await site.say({ kind: 'probe.registered', probe: 'stick', role: 'level' });
    await filling();
    await site.cure(2, 13, 'p1');
    await site.hear('stick', 'level', 0.5, { from: 2 });
    await site.say(probed());
    expect([...site.live.ledger.entries()].at(-1)?.entry).toMatchObject({ measured: { uncertaintyMicrometres: 1000 } });
  });
});

test('crew take back neither a test nor the registration or mapping of somebody else', async () => {
  await filling();
  await site.cure(2, 13, 'p1');
  const tested = await site.say(held(1.5, 0.2));
  const mapped = await site.say(
    { kind: 'probe.mapped', probe: 'p1', topic: 'x/y', fields: [{ pointer: '/t', quantity: 'temperature', unit: 'Cel' }] },
    quality,
  );
  const registered = await site.say({ kind: 'probe.registered', probe: 'p1', role: 'material', label: 'Rim' });
  for (const seq of [tested, mapped, registered])
    await expect(site.say({ kind: 'entry.withdrawn', seq, reason: 'x' }, somebody('crew'))).rejects.toMatchObject({
      code: 'entry-refused',
      faults: [{ path: 'seq', message: expect.stringContaining('quality or admin may take back') }],
    });
  expect(site.live.state.mappings.size).toBe(1);
  for (const seq of [tested, registered]) await site.say({ kind: 'entry.withdrawn', seq, reason: 'mine' });
  await site.say({ kind: 'entry.withdrawn', seq: mapped, reason: 'x' }, quality);
  expect(site.live.state.mappings.size).toBe(0);
});
