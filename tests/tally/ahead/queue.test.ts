import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { HOUR_MS } from '../../../edge/cure/schedule.ts';
import { Outlooks } from '../../../edge/tally/ahead/outlooks.ts';
import { SiteAir } from '../../../edge/tally/ahead/siteAir.ts';
import { about, HandSite, quality } from '../../support/handSite.ts';

const START_MS = Date.parse('2026-02-10T14:00:00Z');
const JOINTS = ['j1', 'j2', 'j3', 'j4', 'j5', 'j6'];
const SLEEPING_MS = 10 * 60_000;

let site: HandSite;
beforeEach(async () => {
  site = await HandSite.start(START_MS);
  await site.say({ kind: 'probe.registered', probe: 'a1', role: 'ambient', uncertaintyCelsius: 0.5 });
  await site.say({ kind: 'sump.added', sump: 's1', label: 'North' });
  await site.say({ kind: 'sump.added', sump: 's2', label: 'South' });
  await site.hear('a1', 'temperature', about(8), { from: 48, everyMinutes: 10 });
  for (const joint of JOINTS) {
    const [probe, sump] = [`p-${joint}`, joint === 'j5' ? 's2' : 's1'];
    await site.say({ kind: 'probe.registered', probe, role: 'material', uncertaintyCelsius: 0.5 });
    await site.say({
      kind: 'joint.added',
      joint,
      sump,
      label: joint,
      schedule: 'polyester-laminate',
      probes: [probe],
      ambient: 'a1',
    });
    await site.say({ kind: 'prep.signed', joint, at: site.at(2), sanded: true, wiped: true, dry: true });
    await site.say({ kind: 'joint.laidUp', joint, at: site.at(2) });
    await site.hear(probe, 'temperature', about(9), { from: 2, everyMinutes: 5 });
  }
}, 60_000);
afterEach(() => site[Symbol.asyncDispose]());

const jointOf = (name: string) => site.live.views.jointState(name);

/** Outlooks of their own over the same site, on a clock that goes on by `lookMs` whenever the forecasts are asked for: once a joint. */
function slowly(lookMs: number) {
  const { state, tally, ledger } = site.live;
  const clock = { ms: site.nowMs };
  const nowMs = () => clock.ms;
  class SlowAir extends SiteAir {
    override ahead(probe: string | null) {
      clock.ms += lookMs;
      return super.ahead(probe);
    }
  }
  const air = new SlowAir({ site: state, readings: ledger.readings, counts: tally.counts, nowMs });
  return { clock, outlooks: new Outlooks({ site: state, tally, readings: ledger.readings, air, nowMs }) };
}

test('a fault in looking ahead is told, and leaves everything else as it is; one in reading the ledger is not hidden', () => {
  const { state, tally, ledger } = site.live;
  const nowMs = () => site.nowMs;
  const told: string[] = [];
  const looking = (fault: Error) => {
    class FaultyAir extends SiteAir {
      override ahead(): never {
        throw fault;
      }
    }
    const air = new FaultyAir({ site: state, readings: ledger.readings, counts: tally.counts, nowMs });
    return new Outlooks({ site: state, tally, readings: ledger.readings, air, nowMs }, ({ message }) => told.push(message));
  };
  expect(looking(new RangeError('out of bounds')).of(jointOf('j1'))).toMatchObject({ reason: 'not-yet', outlook: null });
  expect(told).toEqual(['joint "j1": out of bounds']);
  const unreadable = Object.assign(new Error('disk image is malformed'), { code: 'ERR_SQLITE_ERROR' });
  expect(() => looking(unreadable).of(jointOf('j1'))).toThrow('disk image is malformed');
});

describe('who asks', () => {
  test('waits for a moment in all; what is not known by then comes with the rounds', () => {
    const { outlooks } = slowly(20);
    const known = () => JOINTS.filter((joint) => outlooks.of(jointOf(joint)).outlook !== null);
    expect(known()).toEqual(['j1', 'j2']);
    expect(outlooks.of(jointOf('j3'))).toMatchObject({ reason: null, ahead: null, outlook: null });
    expect(outlooks.isBehind).toBe(true);
    expect(outlooks.round()).toEqual(['j3', 'j4', 'j5']);
    expect(outlooks.round()).toEqual(['j6']);
    expect(outlooks.isBehind).toBe(false);
    expect(known()).toEqual(JOINTS);
    expect(outlooks.round()).toEqual([]);
  });

  test('gets what is known, with its moment, until a round has come to it', () => {
    const { clock, outlooks } = slowly(20);
    while (outlooks.isBehind) outlooks.round();
    const before = outlooks.of(jointOf('j1'));
    clock.ms += 61_000;
    expect(outlooks.of(jointOf('j1'))).toBe(before);
    const rounds = [outlooks.round(), outlooks.round()];
    expect(rounds).toEqual([JOINTS.slice(0, 3), JOINTS.slice(3)]);
    expect(outlooks.of(jointOf('j1')).atMs).toBeGreaterThan(before.atMs + 60_000);
  });

  test('where no round has come for long, works it out, but not for all at once', () => {
    const { clock, outlooks } = slowly(20);
    while (outlooks.isBehind) outlooks.round();
    clock.ms += SLEEPING_MS;
    const since = clock.ms;
    expect(JOINTS.filter((joint) => outlooks.of(jointOf(joint)).atMs >= since)).toEqual(['j1', 'j2']);
  });

  test('what was said of a joint is in it at once, what was said of all in a few rounds; bookings come first', async () => {
    const { outlooks } = slowly(20);
    while (outlooks.isBehind) outlooks.round();
    await site.say({ kind: 'heating.changed', joint: 'j6', what: 'heater', on: true, holdCelsius: 16, at: site.at() });
    outlooks.changed();
    expect(outlooks.isBehind).toBe(true);
    expect(outlooks.of(jointOf('j6')).ahead?.input.heat).toMatchObject({ kind: 'level', milliC: 16_000 });
    expect(outlooks.isBehind).toBe(false);
    await site.say({ kind: 'booking.made', sump: 's2', activity: 'water-test', due: site.at(-30) });
    const hours = [0, 3, 6, 9].map((hour) => ({ at: site.at(-hour), celsius: 12 }));
    await site.say({ kind: 'forecast.given', source: 'radio', hours });
    outlooks.changed();
    expect(outlooks.round()[0]).toBe('j5');
    while (outlooks.isBehind) outlooks.round();
    for (const joint of JOINTS) expect(outlooks.of(jointOf(joint)).ahead?.basis.air).toBe('forecast');
  });

  test('a joint that has to be done again has nothing ahead, at once', async () => {
    await site.say({
      kind: 'mix.recorded',
      joint: 'j1',
      at: site.at(),
      resin: { value: 1, unit: 'quart' },
      catalystMillilitres: 4,
      resinCelsius: 20,
    });
    const [finding] = site.findings('j1', 'mix-outside-band');
    const { outlooks } = site.live;
    expect(outlooks.of(jointOf('j1')).ahead).not.toBeNull();
    await site.say({ kind: 'finding.decided', finding: finding?.id, decision: 'redo', reason: 'cut it out' }, quality);
    expect(outlooks.of(jointOf('j1'))).toMatchObject({ ahead: null, reason: 'not-laid-up' });
  });

  test('once a joint has all its stages it is not looked at any more', async () => {
    await site.cure(26, 12, 'p-j1');
    const { clock, outlooks } = slowly(20);
    expect(site.joint('j1').stages.every(({ reachedAt }) => reachedAt !== null)).toBe(true);
    const done = outlooks.of(jointOf('j1'));
    expect(done.outlook).not.toBeNull();
    clock.ms += 48 * HOUR_MS;
    const looked: string[] = [];
    while (outlooks.isBehind) looked.push(...outlooks.round());
    expect(looked).not.toContain('j1');
    expect(outlooks.of(jointOf('j1'))).toBe(done);
  });
});

describe('what comes late', () => {
  test('is looked at again after two seconds, then once a minute', () => {
    const { clock, outlooks } = slowly(0);
    while (outlooks.isBehind) outlooks.round();
    /** How often a joint is looked at while, for two minutes, something comes every second that is as old as this. */
    const looks = (oldMs: number) => {
      let count = 0;
      for (let second = 0; second < 120; second++) {
        outlooks.late('p-j1', clock.ms - oldMs);
        clock.ms += 1000;
        count += outlooks.round().filter((joint) => joint === 'j1').length;
      }
      return count;
    };
    expect(looks(90_000)).toBeLessThanOrEqual(2);
    clock.ms += 60_000;
    outlooks.round();
    const before = clock.ms;
    outlooks.late('p-j1', before - HOUR_MS);
    clock.ms += 2_500;
    expect(outlooks.round()).toEqual(['j1']);
    expect(looks(HOUR_MS)).toBeLessThanOrEqual(3);
  });

  test('is in the record as if it had come in time', async () => {
    const { state, tally, ledger } = site.live;
    const airOf = () => new SiteAir({ site: state, readings: ledger.readings, counts: tally.counts, nowMs: () => site.nowMs });
    const air = airOf();
    const expectWhole = () => {
      site.clock.advance(61_000);
      expect(air.record('a1')).toEqual(airOf().record('a1'));
    };
    expectWhole();
    for (const minutes of [7, 13, 61, 200]) {
      site.wait(minutes / 60);
      const from = (minutes / 60) * 0.8;
      await site.hear('a1', 'temperature', (hour) => 9 + hour, { from, everyMinutes: 0.4 });
      air.late('a1', site.nowMs - from * HOUR_MS);
      expectWhole();
    }
    await site.hear('a1', 'temperature', (hour) => 3 + hour / 10, { from: 30.05, to: 3.02, everyMinutes: 7 });
    const before = air.record('a1');
    air.late('a1', site.nowMs - 30.05 * HOUR_MS);
    expectWhole();
    expect(air.record('a1').milliC).not.toEqual(before.milliC);
  });
});
