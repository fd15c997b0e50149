import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { claims, crew, HandSite, quality } from '../support/handSite.ts';

const START_MS = Date.parse('2026-05-04T08:00:00Z');
const PARTS = [
  ['base', 'polyester-laminate', 'material'],
  ['inner', 'epoxy-pour', 'material'],
  ['bed', 'sealant-bead', 'ambient'],
  ['upper', 'polyester-laminate', 'material'],
] as const;

let site: HandSite;
beforeEach(async () => {
  site = await HandSite.start(START_MS);
});
afterEach(() => site[Symbol.asyncDispose]());

/** A sump of the built-in sequence with its four joints, each with a probe of its own. */
async function sumpWithJoints(parts: readonly (typeof PARTS)[number][] = PARTS): Promise<void> {
  await site.say({ kind: 'sump.added', sump: 's1', label: 'North', sequence: 'two-section-sump' });
  for (const [part, schedule, role] of parts) {
    await site.say({ kind: 'probe.registered', probe: `on-${part}`, role, uncertaintyCelsius: 0.5 });
    const probes = role === 'material' ? { probes: [`on-${part}`] } : { probes: [], ambient: `on-${part}` };
    await site.say({ kind: 'joint.added', joint: part, sump: 's1', label: part, schedule, part, ...probes });
  }
}

const prep = (joint: string) => site.say({ kind: 'prep.signed', joint, at: site.at(), sanded: true, wiped: true, dry: true });
const laminate = { resin: { value: 1, unit: 'quart' }, catalystMillilitres: 15 };
const mix = (joint: string) =>
  site.say({ kind: 'mix.recorded', joint, at: site.at(), resinCelsius: 18, ...(joint === 'inner' ? {} : laminate) });
const layUp = (joint: string) => site.say({ kind: 'joint.laidUp', joint, at: site.at() });

/** Prepares, mixes and lays a joint up by the book, and lets it cure so many hours at the warmth of a May day. */
async function make(joint: string, hours: number): Promise<void> {
  await prep(joint);
  if (joint !== 'bed') await mix(joint);
  await layUp(joint);
  await cure(joint, hours);
}

/** Warmth enough for full rate, with the swing of a day so that no probe seems frozen, and all joints are watched. */
async function cure(joint: string, hours: number): Promise<void> {
  site.wait(hours);
  const day = (hour: number) => 21 + 2 * Math.sin(hour / 4);
  for (const [one] of PARTS) {
    const isWatched = one === joint || site.live.state.joints.get(one)?.laidUpMs != null;
    if (!isWatched) continue;
    await site.hear(`on-${one}`, 'temperature', day, { from: hours });
    if (one === 'bed') await site.hear('on-bed', 'humidity', (hour) => 60 + Math.sin(hour), { from: hours });
  }
}

const activity = (name: string) => {
  const found = site.sump('s1').activities.find((one) => one.activity === name);
  if (found === undefined) throw new Error(`no activity ${name}`);
  return found;
};
const states = () => Object.fromEntries(site.sump('s1').activities.map(({ activity: name, state }) => [name, state]));
const unmet = (name: string) => activity(name).needs.filter(({ met }) => !met);
const start = (name: string, reason?: string) =>
  site.say({ kind: 'activity.started', sump: 's1', activity: name, at: site.at(), ...(reason === undefined ? {} : { reason }) });
const inch = (value: number) => ({ value, unit: 'in' });
const waterTest = (endInches: number, more: object = {}) => ({
  kind: 'hydrotest.recorded',
  sump: 's1',
  method: 'full-height',
  fillAboveHighest: inch(4),
  filledAt: site.at(1.25),
  startedAt: site.at(1),
  endedAt: site.at(),
  byHand: { start: inch(40), end: inch(endInches), resolution: inch(1 / 16) },
  ...more,
});

/** From the first wipe to the joints all cleared for water. */
async function allCured(): Promise<void> {
  await sumpWithJoints();
  await make('base', 12.5);
  await make('inner', 12.5);
  await start('cut-penetrations');
  await site.say({ kind: 'activity.done', sump: 's1', activity: 'cut-penetrations', at: site.at() });
  await make('bed', 12.5);
  await make('upper', 25);
}

describe('the built-in sequence, from the first wipe to the backfill', () => {
  test('each activity waits for what it needs, and says what is missing', async () => {
    await sumpWithJoints();
    expect(states()).toEqual({
      'base-laminate': 'waiting',
      'inner-pour': 'waiting',
      'cut-penetrations': 'waiting',
      'set-upper-section': 'waiting',
      'upper-laminate': 'waiting',
      'water-test': 'waiting',
      backfill: 'waiting',
    });
    expect(unmet('base-laminate')).toMatchObject([{ need: 'prep', part: 'base', joint: 'base' }]);

    await prep('base');
    expect(activity('base-laminate').state).toBe('ready');
    await mix('base');
    expect(activity('base-laminate').state).toBe('started');
    await layUp('base');
    expect(activity('base-laminate')).toMatchObject({ state: 'done', doneBy: crew.name });
    await cure('base', 11);
    expect(unmet('inner-pour')).toMatchObject([
      { need: 'stage', joint: 'base', stage: 'stress', missingHours: 1, ifHeldAt: expect.any(String) },
      { need: 'prep', part: 'inner' },
    ]);
    await cure('base', 1);
    expect(unmet('inner-pour').map(({ need }) => need)).toEqual(['prep']);

    await make('inner', 11.9);
    expect(unmet('cut-penetrations')).toMatchObject([{ need: 'stage', joint: 'inner' }]);
    await expect(start('cut-penetrations')).rejects.toMatchObject({ code: 'entry-refused' });
    await cure('inner', 0.2);
    await start('cut-penetrations');
    expect(unmet('set-upper-section').map(({ need }) => need)).toEqual(['done', 'prep']);
    await site.say({ kind: 'activity.done', sump: 's1', activity: 'cut-penetrations', at: site.at() });

    await make('bed', 12.5);
    await make('upper', 23.5);
    expect(unmet('water-test')).toMatchObject([{ need: 'allJoints', joint: 'upper', stage: 'hydro', missingHours: 0.5 }]);
    await expect(start('water-test')).rejects.toMatchObject({ code: 'entry-refused' });
    await cure('upper', 0.5);
    expect(activity('water-test').state).toBe('ready');

    await start('water-test');
    expect(unmet('backfill')).toMatchObject([{ need: 'passed' }]);
    await cure('upper', 1.5);
    // 1/8 in exactly fails [P PEI/RP1200 §6.5.7].
    await site.say(waterTest(39.875));
    expect(activity('water-test').state).toBe('started');
    expect(activity('backfill').state).toBe('waiting');
    await cure('upper', 1.5);
    await site.say(waterTest(39.9375));
    expect(site.sump('s1').tests.map(({ verdict, retestOf }) => [verdict, retestOf])).toEqual([
      ['fail', null],
      ['pass', site.sump('s1').tests[0]?.seq],
    ]);
    expect(activity('backfill').state).toBe('ready');
    await start('backfill');
    await site.say({ kind: 'activity.done', sump: 's1', activity: 'backfill', at: site.at() });
    expect(new Set(Object.values(states()))).toEqual(new Set(['done']));
    expect(site.sump('s1').undecided).toEqual([]);
    await site.restart();
    expect(new Set(Object.values(states()))).toEqual(new Set(['done']));
  });

  test('signing the surface of the next joint does not open it before the last one bears', async () => {
    await sumpWithJoints();
    await make('base', 6);
    await prep('inner');
    expect(activity('inner-pour').state).toBe('waiting');
    for (const work of [mix, layUp]) {
      const refused = await work('inner').catch((fault) => fault);
      expect(refused).toMatchObject({ code: 'entry-refused', faults: [{ path: 'joint' }] });
      expect(refused.message).toMatch(/"Inner epoxy pour" may not start yet: joint "base" is not clear for stress/);
    }
    await cure('base', 6);
    await mix('inner');
  });

  test('water waits for a joint that the sequence has and nobody has put on the site yet', async () => {
    await sumpWithJoints(PARTS.slice(0, 1));
    await make('base', 25);
    expect(site.joint('base').phase).toBe('hydroReady');
    expect(unmet('water-test')).toMatchObject([{ need: 'allJoints', joint: null, part: 'inner' }]);
    await expect(start('water-test')).rejects.toMatchObject({
      message: expect.stringContaining('the sump has no joint "inner" yet'),
    });
  });
});

describe('before its time', () => {
  test('only with a reason, which leaves a finding for good', async () => {
    await sumpWithJoints();
    await make('base', 12.5);
    await make('inner', 10);
    await expect(start('cut-penetrations')).rejects.toMatchObject({ faults: [{ path: 'reason' }] });
    const seq = await start('cut-penetrations', 'the saw goes back tonight');
    const { findings, undecided } = site.sump('s1');
    expect(findings).toMatchObject([
      {
        code: 'started-early',
        severity: 'warning',
        open: true,
        numbers: { missingMs: 2 * 3_600_000 },
        words: { activity: 'cut-penetrations', reason: 'the saw goes back tonight', by: crew.name },
      },
    ]);
    expect(activity('cut-penetrations').early).toEqual({ reason: 'the saw goes back tonight' });
    expect(undecided).toContain(findings[0]?.id);
    await expect(site.say({ kind: 'entry.withdrawn', seq, reason: 'x' }, quality)).rejects.toMatchObject({
      message: expect.stringContaining('started before its time stays on record'),
    });
    const accept = { kind: 'finding.decided', finding: findings[0]?.id, decision: 'accept', reason: 'no harm was done' };
    await expect(site.say(accept, crew)).rejects.toMatchObject({ code: 'wrong-role' });
    await site.say(accept, quality);
    expect(site.sump('s1').findings).toMatchObject([{ code: 'started-early', open: false, decision: { by: quality.name } }]);
  });

  test('a start in its time can be taken back, and no finding stays', async () => {
    await sumpWithJoints();
    await make('base', 12.5);
    await make('inner', 12.5);
    const seq = await start('cut-penetrations', 'in time all the same');
    expect(site.sump('s1').findings).toEqual([]);
    await site.say({ kind: 'entry.withdrawn', seq, reason: 'not yet' });
    expect(activity('cut-penetrations').state).toBe('ready');
  });
});

describe('the water test', () => {
  test('is not recorded before its start, nor started twice', async () => {
    await allCured();
    await expect(site.say(waterTest(40))).rejects.toMatchObject({ message: expect.stringContaining('is not on record') });
    await start('water-test');
    await expect(start('water-test')).rejects.toMatchObject({ message: expect.stringContaining('was started already') });
  });

  test('says nothing about a joint that is laid up anew after it: water again, earth not yet', async () => {
    await allCured();
    await start('water-test');
    await cure('upper', 1.5);
    await site.say(waterTest(40));
    expect(activity('backfill').state).toBe('ready');

    await site.say({ kind: 'joint.relaid', joint: 'upper', at: site.at(), reason: 'a dry spot' });
    for (const { id } of site.joint('upper').findings)
      await site.say({ kind: 'finding.decided', finding: id, decision: 'accept', reason: 'known' }, quality);
    expect(activity('backfill').state).toBe('waiting');
    expect(activity('water-test').state).toBe('started');
    await cure('upper', 2);
    await expect(site.say(waterTest(40))).rejects.toMatchObject({
      message: expect.stringContaining('joint "upper" is not clear for hydro'),
    });
    await cure('upper', 23);
    await site.say(waterTest(40));
    expect(activity('backfill').state).toBe('ready');
  });

  test('repeated before its time takes a start and a reason of its own', async () => {
    await allCured();
    await start('water-test');
    await cure('upper', 1.5);
    await site.say(waterTest(39));
    await site.say({ kind: 'joint.relaid', joint: 'upper', at: site.at(), reason: 'it leaked there' });
    await cure('upper', 2);
    await expect(site.say(waterTest(40))).rejects.toMatchObject({ code: 'entry-refused' });
    await start('water-test', 'the inspector is here today');
    expect(site.sump('s1').findings).toMatchObject([{ code: 'started-early' }]);
    await cure('upper', 1.5);
    await site.say(waterTest(40));
    expect(site.sump('s1').tests.map(({ verdict }) => verdict)).toEqual(['fail', 'pass']);
    // Passed, but with joints and decisions outstanding: no earth yet.
    expect(unmet('backfill').map(({ need }) => need)).toEqual(['allJoints', 'decided']);
  });

  test.each([
    ['filled too low', { fillAboveHighest: inch(3.9375) }, 'invalid', 'filled-too-low'],
    ['not settled', { filledAt: 1.2 }, 'invalid', 'settled-too-short'],
    [
      'read too coarsely',
      { byHand: { start: inch(40), end: inch(40), resolution: inch(0.125) } },
      'invalid',
      'resolution-too-coarse',
    ],
    ['a rise by 1/8 in', { byHand: { start: inch(40), end: inch(40.125), resolution: inch(1 / 16) } }, 'fail', null],
  ])('%s: it does not count', async (_, changes, verdict, fault) => {
    await allCured();
    await start('water-test');
    await cure('upper', 1.5);
    const more = 'filledAt' in changes ? { filledAt: site.at(changes.filledAt) } : changes;
    await site.say(waterTest(40, more));
    const [judged] = site.sump('s1').tests;
    expect(judged).toMatchObject({ verdict, byHand: { faults: fault === null ? [] : [fault] } });
    expect(activity('backfill').state).toBe('waiting');
  });

  describe('with a level probe', () => {
    const level = { kind: 'probe.registered', probe: 'stick', role: 'level', levelUncertaintyMillimetres: 0.5 };
    /** Metres; falls by so many millimetres within the last hour. */
    const falling = (millimetres: number) => (hour: number) => 1 - (Math.max(0, 1 + hour) * millimetres) / 1000;

    async function measured(byProbeMm: number, byHandInches: number | null): Promise<void> {
      await allCured();
      await site.say(level, quality);
      await start('water-test');
      await cure('upper', 1.5);
      await site.hear('stick', 'level', falling(byProbeMm), { from: 1.5 });
      const { byHand, ...unread } = waterTest(byHandInches ?? 40, { probe: 'stick' });
      await site.say(byHandInches === null ? unread : { ...unread, byHand });
    }

    // 1/8 in is 3.175 mm.
    test.each([
      [3, 40, 'pass', 'pass', 'pass'],
      [3, 39.75, 'fail', 'fail', 'pass'],
      [4, 40, 'fail', 'pass', 'fail'],
      [3.2, null, 'fail', null, 'fail'],
      [3.1, null, 'pass', null, 'pass'],
    ] as const)(
      'a fall of %d mm by the probe and to %s in by hand: %s, the worse of both',
      async (mm, inches, verdict, hand, probe) => {
        await measured(mm, inches);
        const [judged] = site.sump('s1').tests;
        expect({ all: judged?.verdict, hand: judged?.byHand?.verdict ?? null, probe: judged?.byProbe?.verdict }).toEqual({
          all: verdict,
          hand,
          probe,
        });
        expect(judged?.byProbe).toMatchObject({
          probe: 'stick',
          readings: 13,
          excursion: probe === 'fail',
          longestGapMinutes: 5,
        });
      },
    );

    test('that was silent for more than a quarter of an hour of the hold proves nothing', async () => {
      await allCured();
      await site.say(level, quality);
      await start('water-test');
      await cure('upper', 1.5);
      await site.hear('stick', 'level', 1, { from: 1.5, to: 0.3 });
      const { byHand: _, ...said } = waterTest(40, { probe: 'stick' });
      await expect(site.say(said)).rejects.toMatchObject({ code: 'entry-refused', faults: [{ path: 'probe' }] });
      await site.hear('stick', 'level', 1, { from: 0.2 });
      await site.say(said);
      expect(site.sump('s1').tests).toMatchObject([{ verdict: 'pass' }]);
    });

    test('that said nothing at all is refused, and levels read by hand still count', async () => {
      await allCured();
      await site.say(level, quality);
      await start('water-test');
      await cure('upper', 1.5);
      await expect(site.say(waterTest(40, { probe: 'stick' }))).rejects.toMatchObject({ faults: [{ path: 'probe' }] });
      await site.say(waterTest(40));
    });
  });
});

test('claims staff say nothing', async () => {
  await sumpWithJoints();
  for (const said of [
    { kind: 'prep.signed', joint: 'base', at: site.at(), sanded: true, wiped: true, dry: true },
    { kind: 'note.added', text: 'x' },
    { kind: 'activity.started', sump: 's1', activity: 'water-test', at: site.at(), reason: 'x' },
  ])
    await expect(site.say(said, claims)).rejects.toMatchObject({ code: 'wrong-role' });
});
