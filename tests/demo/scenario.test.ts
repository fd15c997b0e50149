import { afterAll, beforeAll, describe, expect, it } from 'vitest';

import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import { PEOPLE } from '../../edge/demo/people.ts';
import { AIRS, STORIES, STRANGER } from '../../edge/demo/scenario.ts';
import { sensorsAt } from '../../edge/demo/sensors.ts';
import { setUpAt, workAt } from '../../edge/demo/statements.ts';
import type { SiteView } from '../../edge/site/views/site.ts';
import { Replay } from './replay.ts';

const JOINTS = STORIES.flatMap(({ sump, joints }) => joints.map((joint) => ({ ...joint, sump: sump.sump })));

/** Nights, mornings and afternoons, all seasons of the wall clock, and both changes of it. */
const starts = [
  '2026-01-15T03:20:00-08:00',
  '2026-02-03T06:45:10-08:00',
  '2026-03-08T10:05:00-07:00',
  '2026-05-21T13:00:00-07:00',
  '2026-07-20T16:10:59-07:00',
  '2026-09-30T19:30:00-07:00',
  '2026-11-01T22:15:00-08:00',
  '2027-01-01T00:00:00-08:00',
];

const jointIn = (site: SiteView, name: string) =>
  site.joints.find(({ joint }) => joint === name) ?? expect.fail(`no joint ${name}`);
const sumpIn = (site: SiteView, name: string) => site.sumps.find(({ sump }) => sump === name) ?? expect.fail(`no sump ${name}`);
const statesIn = (site: SiteView, name: string) =>
  Object.fromEntries(sumpIn(site, name).activities.map(({ activity, state }) => [activity, state]));

describe.each(starts)('the scenario started at %s', (start) => {
  const nowMs = Date.parse(start);
  let replay: Replay;
  let site: SiteView;
  const joint = (name: string) => jointIn(site, name);

  beforeAll(async () => {
    replay = await Replay.open(nowMs);
    site = replay.site();
  });
  afterAll(() => replay[Symbol.asyncDispose]());

  it('shows each joint as its line declares, with its findings', () => {
    const shown = site.joints.map(({ joint: name, phase, conditions, findings }) => ({
      joint: name,
      ...{ phase, conditions },
      open: findings.filter(({ open }) => open).map(({ code }) => code),
      decided: findings.filter(({ open }) => !open).map(({ code }) => code),
    }));
    expect(shown).toEqual(
      JOINTS.map(({ joint: name, atStart, open = [], decided = [] }) => ({ joint: name, ...atStart, open, decided })),
    );
  });

  it.each(STORIES)('shows the activities of $sump.sump as its story declares', ({ sump, activities }) => {
    expect(statesIn(site, sump.sump)).toEqual(activities);
  });

  it('shows every picture at once', () => {
    expect(new Set(site.joints.map(({ phase }) => phase))).toEqual(new Set(['planned', 'curing', 'stressReady', 'hydroReady']));
    expect(site.joints.filter(({ conditions }) => conditions.includes('cold'))).toHaveLength(1);
  });

  it('takes the west sump through its whole order of work, nothing before its time', () => {
    const { sump, activities, tests, findings, undecided } = sumpIn(site, 'west-sump');
    expect(findings).toEqual([]);
    expect(undecided).toEqual([]);
    const doneAt = (name: string) => activities.find(({ activity }) => activity === name)?.doneAt ?? expect.fail(name);
    for (const { activity, needs, early, startedAt } of activities) {
      expect(early, activity).toBeNull();
      const startedMs = Date.parse(startedAt ?? expect.fail());
      for (const { need, part, stage, activity: before, metAt } of needs) {
        // No test comes before the decisions that it waits for. A retest has the newest start, and the backfill the newest test.
        expect(Date.parse(metAt ?? 'never'), `${need} of ${activity}`).toBeLessThanOrEqual(startedMs);
        const made = site.joints.filter((one) => one.sump === sump && (need === 'allJoints' || one.part === part));
        if (need === 'stage' || need === 'allJoints')
          for (const { stages } of made)
            expect(Date.parse(stages.find((one) => one.stage === stage)?.reachedAt ?? 'never'), activity).toBeLessThan(startedMs);
        if (need === 'prep') expect(Date.parse(made[0]?.prepAt ?? 'never'), activity).toBeLessThanOrEqual(startedMs);
        if (need === 'done') expect(Date.parse(doneAt(before ?? '')), activity).toBeLessThan(startedMs);
        if (need === 'passed') expect(Date.parse(tests.at(-1)?.endedAt ?? 'never'), activity).toBeLessThan(startedMs);
      }
    }
    expect(tests).toMatchObject([
      { verdict: 'fail', byHand: { changeMm: -4.7625 }, byProbe: { verdict: 'fail' }, retestOf: null },
      { verdict: 'pass', byHand: { changeMm: 0 }, byProbe: { verdict: 'pass' }, retestOf: tests[0]?.seq },
    ]);
  });

  it('has the decisions of the west sump made by the role that may, when what they decide had ended', () => {
    const [proof] = joint('w-inner').findings;
    expect(proof).toMatchObject({ code: 'below-proof', decision: { decision: 'proof', by: 'Ines', role: 'quality' } });
    const [gap] = joint('w-upper').findings;
    expect(gap).toMatchObject({ code: 'gap', decision: { decision: 'accept', by: 'Rosa', role: 'crew' } });
    const hoursAgo = (at: string | null | undefined) => (nowMs - Date.parse(at ?? 'never')) / 3_600_000;
    expect(hoursAgo(proof?.decision?.at)).toBeCloseTo(46.5, 6);
    expect(hoursAgo(gap?.decision?.at)).toBeCloseTo(5.7, 6);
    for (const finding of [proof, gap]) expect(hoursAgo(finding?.to)).toBeGreaterThan(hoursAgo(finding?.decision?.at));
  });

  it('loses just the hours of the silent probes', () => {
    const silent: Record<string, [least: number, most: number]> = { 'm-outer': [2.25, 2.3], 'w-upper': [0.7, 0.75] };
    for (const { joint: name, unprovenHours } of site.joints) {
      const [least, most] = silent[name] ?? [0, 0];
      expect(unprovenHours, name).toBeGreaterThanOrEqual(least);
      expect(unprovenHours, name).toBeLessThanOrEqual(most);
    }
  });

  it('lets the colder of two probes govern', () => {
    expect(joint('m-inner').governing?.probe).toBe('m-inner-b');
  });

  it('has the cold joint earning nothing now, with hours lost behind it', () => {
    expect(joint('s-inner').creditRate).toBe(0);
    expect(joint('s-inner').coldHours).toBeGreaterThan(8);
    expect(joint('s-inner').warmHours).toBeGreaterThan(1);
  });

  it('has the heated joint at full rate again, but behind the clock by what the cold took', () => {
    const { warmHours, clockHours, creditRate } = joint('s-seam');
    expect(creditRate).toBe(1);
    expect(clockHours - warmHours).toBeGreaterThan(1);
  });

  it('lets the joints that change soon do so on the minute, and the north sump wait for one decision then', async () => {
    const changing = JOINTS.filter(({ later }) => later !== undefined);
    expect(changing.map(({ later }) => later?.minutes)).toEqual([4]);
    await replay.goOn(3.5);
    for (const { joint: name, atStart } of changing) expect(jointIn(replay.site(), name)).toMatchObject(atStart);
    await replay.goOn(1);
    const later = replay.site();
    for (const { joint: name, later: look } of changing) {
      const { phase, conditions } = look ?? expect.fail();
      expect(jointIn(later, name)).toMatchObject({ phase, conditions });
    }
    const north = sumpIn(later, 'north-sump');
    expect(north.phase).toBe('hydroReady');
    const test = north.activities.find(({ waterTest }) => waterTest);
    expect(test?.state).toBe('waiting');
    expect(test?.needs.filter(({ met }) => !met).map(({ need }) => need)).toEqual(['decided']);

    const [finding] = north.undecided;
    expect(north.undecided).toHaveLength(1);
    const decided = { kind: 'finding.decided', finding, decision: 'accept', reason: 'Compared this morning: right at ice.' };
    await expect(replay.say(decided, { name: 'Rosa', role: 'crew' })).rejects.toThrow(/quality or admin/);
    await replay.say(decided, { name: 'Ines', role: 'quality' });
    expect(statesIn(replay.site(), 'north-sump')['water-test']).toBe('ready');
  });

  it('has a booking that fails because of the boot, and holds once a heater is on there', async () => {
    const booking = () => sumpIn(replay.site(), 'middle-sump').bookings[0] ?? expect.fail();
    const boot = () => jointIn(replay.site(), 'm-boot');
    const before = booking();
    expect(before).toMatchObject({ activity: 'water-test', by: 'Rosa', decidedBy: 'm-boot' });
    expect(before.due).toMatch(/:00:00/);
    const hoursAhead = (Date.parse(before.due) - nowMs) / 3_600_000;
    expect(hoursAhead).toBeGreaterThan(27);
    expect(hoursAhead).toBeLessThanOrEqual(28);
    expect(before.chance).toBeGreaterThan(0);
    expect(before.chance).toBeLessThan(0.3);

    const at = new Date(replay.nowMs).toISOString();
    const heater = { kind: 'heating.changed', joint: 'm-boot', what: 'heater', on: true, holdCelsius: 17, at };
    await replay.say(heater, { name: 'Rosa', role: 'crew' });
    expect(booking().chance).toBeGreaterThan(0.9);
    expect(boot().conditions).toEqual([]);
  });
});

it.each([starts[0], starts[4]])(
  'started at %s, has the boot go cold in the night as foreseen, unless somebody puts a heater on',
  async (start) => {
    const nowMs = Date.parse(start ?? '');
    const foreseen = async (isHeated: boolean) => {
      await using replay = await Replay.open(nowMs);
      const at = new Date(nowMs).toISOString();
      const heater = { kind: 'heating.changed', joint: 'm-boot', what: 'heater', on: true, holdCelsius: 17, at };
      if (isHeated) await replay.say(heater, { name: 'Rosa', role: 'crew' });
      await replay.goOn(12 * 60, 60_000);
      // What came late is in the outlook some seconds later.
      await replay.goOn(0.5);
      const { governing, coldHours } = jointIn(replay.site(), 'm-boot');
      const chance = sumpIn(replay.site(), 'middle-sump').bookings[0]?.chance ?? Number.NaN;
      return { celsius: governing?.celsius ?? Number.NaN, coldHours, chance };
    };
    const [left, heated] = [await foreseen(false), await foreseen(true)];
    expect(left.celsius).toBeLessThan(6);
    expect(left.coldHours).toBeGreaterThan(1);
    expect(left.chance).toBeLessThan(0.1);
    expect(Math.abs(heated.celsius - 17)).toBeLessThan(0.5);
    expect(heated.coldHours).toBe(0);
    expect(heated.chance).toBeGreaterThan(0.9);
  },
  60_000,
);

it('lets somebody take the north sump through its water test with its own level probe', async () => {
  await using replay = await Replay.open(Date.parse('2026-01-15T14:30:00-08:00'));
  const quality = { name: 'Ines', role: 'quality' } as const;
  const at = () => new Date(replay.nowMs).toISOString();
  const start = { kind: 'activity.started', sump: 'north-sump', activity: 'water-test' };
  await replay.goOn(5);
  await expect(replay.say({ ...start, at: at() }, quality)).rejects.toThrow(/1 finding waits for a decision/);
  const [finding] = sumpIn(replay.site(), 'north-sump').undecided;
  await replay.say({ kind: 'finding.decided', finding, decision: 'accept', reason: 'Compared this morning.' }, quality);
  await replay.say({ ...start, at: at() }, quality);
  await replay.goOn(22);
  const filledAt = at();
  await replay.goOn(16);
  const startedAt = at();
  await replay.goOn(60);
  const level = { fillAboveHighest: { value: 6, unit: 'in' }, probe: 'n-level' };
  const times = { filledAt, startedAt, endedAt: at() };
  await replay.say({ kind: 'hydrotest.recorded', sump: 'north-sump', method: 'full-height', ...level, ...times }, quality);
  const { tests, activities } = sumpIn(replay.site(), 'north-sump');
  expect(tests).toMatchObject([{ verdict: 'pass', byHand: null, byProbe: { probe: 'n-level', excursion: false } }]);
  expect(activities.map(({ activity, state }) => [activity, state])).toEqual([
    ['water-test', 'done'],
    ['backfill', 'ready'],
  ]);
});

describe('the scenario', () => {
  const nowMs = Date.parse('2026-01-15T14:30:00-08:00');

  it('is the same twice', () => {
    const read = () =>
      sensorsAt(nowMs).map(({ probe, history, loose, celsiusAt, besidesAt }) => ({
        ...{ probe, history, loose },
        next: { celsius: celsiusAt(nowMs + 5000), ...besidesAt(nowMs + 5000) },
      }));
    expect(read()).toEqual(read());
    expect(setUpAt(nowMs)).toEqual(setUpAt(nowMs));
    expect(workAt(nowMs)).toEqual(workAt(nowMs));
  });

  it('keeps 40,000 to 55,000 measurements, each probe’s in rising order up to now', () => {
    const sensors = sensorsAt(nowMs);
    const total = sensors.reduce((sum, { history }) => sum + history.length, 0);
    expect(total).toBeGreaterThan(40_000);
    expect(total).toBeLessThan(55_000);
    for (const { probe, history } of sensors) {
      expect(
        history.every(({ atMs }, index) => atMs < nowMs && atMs > (history[index - 1]?.atMs ?? 0)),
        probe,
      ).toBe(true);
      expect(nowMs - (history.at(-1)?.atMs ?? 0), probe).toBeLessThanOrEqual(60_000);
    }
  });

  it('registers every probe but the stranger, who measures all the same', () => {
    const registered = setUpAt(nowMs).flatMap(({ said }) =>
      'kind' in said && said.kind === 'probe.registered' ? [said.probe] : [],
    );
    const heard = sensorsAt(nowMs).map(({ probe }) => probe);
    expect([...heard].sort()).toEqual([...registered, STRANGER.probe].sort());
    expect(new Set(heard).size).toBe(heard.length);
  });

  it('has humid air about every joint, and a level in the sump under test', () => {
    for (const { probe, history } of sensorsAt(nowMs)) {
      const isAir = AIRS.some((air) => air.probe === probe);
      const isLevel = STORIES.some(({ level }) => level?.probe === probe);
      for (const { humidityPercent, levelMetres } of history) {
        expect(humidityPercent !== undefined, probe).toBe(isAir);
        expect(levelMetres !== undefined, probe).toBe(isLevel);
        if (humidityPercent !== undefined) expect(humidityPercent).toBeLessThanOrEqual(100);
        if (humidityPercent !== undefined) expect(humidityPercent).toBeGreaterThan(30);
      }
    }
  });

  it('has batteries that run down by as much as they say, told once an hour', () => {
    const { history } = sensorsAt(nowMs).find(({ probe }) => probe === 'm-inner-b') ?? expect.fail();
    const told = history.flatMap(({ atMs, batteryPercent }) => (batteryPercent === undefined ? [] : [{ atMs, batteryPercent }]));
    const [first, last] = [told[0] ?? expect.fail(), told.at(-1) ?? expect.fail()];
    const hours = (last.atMs - first.atMs) / 3_600_000;
    expect(Math.abs(told.length - (hours + 1))).toBeLessThanOrEqual(1);
    expect(first.batteryPercent - last.batteryPercent).toBeCloseTo((16 / 24) * hours, 0);
  });

  it('uses every built-in schedule, eight kinds of finding, and everybody', () => {
    expect(new Set(JOINTS.map(({ schedule }) => schedule))).toEqual(new Set(builtInSchedules.map(({ name }) => name)));
    const codes = new Set(JOINTS.flatMap(({ open = [], decided = [] }) => [...open, ...decided]));
    expect(codes.size).toBeGreaterThanOrEqual(8);
    expect(new Set(workAt(nowMs).map(({ by }) => by))).toEqual(new Set(PEOPLE));
  });

  it('has a sensor that hung loose for a while, shorter than the gap limit', () => {
    const loose = sensorsAt(nowMs).filter((sensor) => sensor.loose.length > 0);
    expect(loose.map(({ probe }) => probe)).toEqual(['s-seam-a']);
    const samples = loose[0]?.loose ?? [];
    expect(samples.every(({ celsius }) => celsius === -127)).toBe(true);
    expect((samples.at(-1)?.atMs ?? 0) - (samples[0]?.atMs ?? 0)).toBeLessThan(15 * 60_000);
    expect(samples.length).toBeGreaterThan(5);
  });

  it('tells of the work in the order in which it happened, and confirms no more than the site would ask back', () => {
    const dated = workAt(nowMs).flatMap(({ said }) => ('at' in said && said.at !== undefined ? [said] : []));
    const atMs = dated.map(({ at }) => Date.parse(at ?? ''));
    expect(atMs).toEqual([...atMs].sort((a, b) => a - b));
    for (const [index, said] of dated.entries()) {
      const isLongAgo = (nowMs - (atMs[index] ?? 0)) / 3_600_000 > 47.9;
      expect('confirmed' in said ? said.confirmed : undefined).toEqual(isLongAgo ? ['before-sump'] : undefined);
    }
  });
});
