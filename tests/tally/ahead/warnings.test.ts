import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { HOUR_MS } from '../../../edge/cure/schedule.ts';
import { about, HandSite, quality } from '../../support/handSite.ts';
import { answerOf } from '../oneJoint.ts';

const START_MS = Date.parse('2026-02-10T20:00:00Z');

let site: HandSite;
beforeEach(async () => {
  site = await HandSite.start(START_MS);
  await site.say({ kind: 'sump.added', sump: 's1', label: 'North' });
  await site.say({ kind: 'probe.registered', probe: 'p1', role: 'material', uncertaintyCelsius: 0.5 });
  await site.say({ kind: 'probe.registered', probe: 'a1', role: 'ambient', uncertaintyCelsius: 0.5 });
  await site.say({
    kind: 'joint.added',
    joint: 'j1',
    sump: 's1',
    label: 'One',
    schedule: 'polyester-laminate',
    probes: ['p1'],
    ambient: 'a1',
  });
  await site.say({ kind: 'prep.signed', joint: 'j1', at: site.at(4), sanded: true, wiped: true, dry: true });
  await site.say({ kind: 'joint.laidUp', joint: 'j1', at: site.at(4) });
});
afterEach(() => site[Symbol.asyncDispose]());

/** Probes go on while time does, in steps that leave no gap. */
const goOn = async (hours: number, joint: number, air: number) => {
  for (let done = 0; done < hours - 0.01; done += 0.1) {
    site.clock.advance(0.1 * HOUR_MS);
    await site.hear('a1', 'temperature', about(air), { from: 0.1, everyMinutes: 3 });
    await site.hear('p1', 'temperature', about(joint), { from: 0.1, everyMinutes: 3 });
  }
};
const heard = async (joint: number, air: number) => {
  await site.hear('a1', 'temperature', about(air), { from: 30, everyMinutes: 10 });
  await site.hear('p1', 'temperature', about(joint), { from: 4, everyMinutes: 5 });
  await goOn(0.2, joint, air);
};
const warnings = () => site.live.views.warnings();
const codes = () => warnings().map(({ code }) => code);
const onRecord = (kind: string) => [...site.live.ledger.entries()].filter(({ entry }) => entry.kind === kind).length;

describe('warnings before the fact', () => {
  test('a joint that will go below its floor in the night', async () => {
    await heard(12, -4);
    expect(warnings()).toMatchObject([
      { code: 'cold-ahead', owner: 'j1', joint: 'j1', sump: 's1', acknowledged: null, snoozed: null },
    ]);
    const { atMs = 0, chancePercent = 0, floorMilliC } = warnings()[0]?.numbers ?? {};
    expect(atMs).toBeGreaterThan(site.nowMs);
    expect(atMs).toBeLessThan(site.nowMs + 6 * HOUR_MS);
    expect(chancePercent).toBeGreaterThan(50);
    expect(floorMilliC).toBe(5000);
    await goOn(0.6, 11.5, -4);
    expect(onRecord('warning.raised')).toBe(1);
  });

  test('is not raised for one that stays warm, nor again for one that is cold already', async () => {
    await heard(14, 12);
    expect(codes()).toEqual([]);
  });

  test('ends ten minutes after it need not be feared any more, and stays on record', async () => {
    await heard(12, -4);
    await site.say({ kind: 'heating.changed', joint: 'j1', what: 'heater', on: true, holdCelsius: 18, at: site.at() });
    await goOn(0.2, 12, -4);
    expect(codes()).toEqual([]);
    expect(onRecord('warning.raised')).toBe(1);
    expect(onRecord('warning.ended')).toBe(1);
  });

  test('a probe that stopped, before its silence costs anything, until it speaks again', async () => {
    await heard(14, 12);
    site.wait(9 / 60);
    await site.live.quiet();
    expect(codes()).toEqual([]);
    site.wait(1.2 / 60);
    await site.live.quiet();
    expect(warnings()).toMatchObject([{ code: 'reading-stopped', owner: 'p1', joint: 'j1', sump: 's1' }]);
    expect(site.joint('j1').conditions).not.toContain('unproven');
    await site.hear('p1', 'temperature', about(14), { from: 0.1, everyMinutes: 5 });
    site.wait(11 / 3600);
    await site.live.quiet();
    expect(codes()).toEqual([]);
  });

  test('a booking that will likely not hold, until it does', async () => {
    await heard(12, 12);
    await site.say({ kind: 'booking.made', sump: 's1', activity: 'water-test', due: site.at(-12) });
    await goOn(0.2, 12, 12);
    const [warning] = warnings();
    expect(warning).toMatchObject({ code: 'booking-at-risk', owner: 's1', sump: 's1', joint: null });
    expect(warning?.numbers).toMatchObject({ dueMs: Date.parse(site.sump('s1').bookings[0]?.due ?? '') });
    expect(warning?.numbers.chancePercent).toBeLessThan(20);
    expect(site.joint('j1').conditions).toContain('projectedLate');
    await site.say({ kind: 'booking.made', sump: 's1', activity: 'water-test', due: site.at(-40) });
    await goOn(0.4, 12, 12);
    expect(site.sump('s1').bookings).toMatchObject([{ activity: 'water-test', decidedBy: 'j1' }]);
    expect(site.sump('s1').bookings[0]?.chance).toBeGreaterThan(0.9);
    expect(codes()).toEqual([]);
  });

  test('material that will be too cold in the truck for a lay-up that is booked, until that has begun', async () => {
    await site.say({ kind: 'sump.added', sump: 's2', label: 'South', sequence: 'two-section-sump' });
    await heard(14, 12);
    await site.say({ kind: 'booking.made', sump: 's2', activity: 'base-laminate', due: site.at(-10) });
    await goOn(0.1, 14, 12);
    expect(warnings()).toMatchObject([{ code: 'material-ahead', owner: 's2', sump: 's2', joint: null }]);
    const { milliC = 0, minMilliC, maxMilliC, dueMs, warmMinutes = 0 } = warnings()[0]?.numbers ?? {};
    expect(dueMs).toBe(Date.parse(site.sump('s2').bookings[0]?.due ?? ''));
    expect(milliC).toBeGreaterThan(11_000);
    expect(milliC).toBeLessThan(13_000);
    // 60 to 70 °F, common practice, no source.
    expect(minMilliC).toBeCloseTo(15_556, -2);
    expect(maxMilliC).toBeCloseTo(21_111, -2);
    expect(warmMinutes).toBeGreaterThan(60);
    await site.say({ kind: 'activity.started', sump: 's2', activity: 'base-laminate', at: site.at(), reason: 'trial' });
    await goOn(0.3, 14, 12);
    expect(codes()).toEqual([]);
  });

  test('somebody sees it, and puts it off; both are taken back', async () => {
    await heard(12, -4);
    const { warning = '' } = warnings()[0] ?? {};
    const seen = await site.say({ kind: 'warning.acknowledged', warning });
    expect(warnings()[0]?.acknowledged).toMatchObject({ by: 'R. Oak', at: site.at() });
    const until = site.at(-4);
    const later = await site.say({ kind: 'warning.snoozed', warning, until }, quality);
    expect(warnings()[0]?.snoozed).toEqual({ by: 'Q. Fir', until });
    await site.say({ kind: 'entry.withdrawn', seq: seen, reason: 'slip' });
    await site.say({ kind: 'entry.withdrawn', seq: later, reason: 'slip' }, quality);
    expect(warnings()).toMatchObject([{ acknowledged: null, snoozed: null }]);
    await site.say({ kind: 'warning.snoozed', warning, until });
    await goOn(4.2, 10, -4);
    expect(warnings()[0]?.snoozed ?? null).toBeNull();
    expect(await answerOf(site, { kind: 'warning.acknowledged', warning: 'cold-ahead:j9:1' })).toMatchObject({
      code: 'entry-refused',
      paths: ['warning'],
    });
  });

  test('a restart neither raises it again nor forgets who saw it', async () => {
    await heard(12, -4);
    const { warning = '', raisedAt } = warnings()[0] ?? {};
    await site.say({ kind: 'warning.acknowledged', warning });
    await site.restart();
    expect(warnings()).toMatchObject([{ warning, raisedAt, acknowledged: { by: 'R. Oak' } }]);
    await goOn(0.2, 12, -4);
    expect(onRecord('warning.raised')).toBe(1);
    expect(onRecord('warning.ended')).toBe(0);
  });

  test('after a start no probe is missed before it had a whole gap limit to be heard in', async () => {
    await heard(14, 12);
    await site.restart();
    for (let part = 0; part < 5; part++) {
      site.wait(2 / 60);
      await site.live.quiet();
    }
    expect(codes()).toEqual([]);
    for (let part = 0; part < 4; part++) {
      site.wait(2 / 60);
      await site.live.quiet();
    }
    expect(codes()).toEqual(['reading-stopped']);
  });

  test('a gap limit of parts of a millisecond stops nothing', async () => {
    const { definition } = site.live.views.jointState('j1').schedule;
    const own = { ...definition, name: 'own-rule', version: 1, gapLimitMinutes: 7.123_456_7 };
    await site.say({ kind: 'schedule.given', definition: own, reason: 'trial' }, quality);
    await site.say({ kind: 'probe.registered', probe: 'p2', role: 'material' });
    await site.say({ kind: 'joint.added', joint: 'j2', sump: 's1', label: 'Two', schedule: 'own-rule', probes: ['p2'] });
    await site.say({ kind: 'joint.laidUp', joint: 'j2', at: site.at() });
    for (let minute = 0; minute < 6; minute += 2) {
      site.clock.advance(2 * 60_000);
      await site.hear('p2', 'temperature', about(14), { from: 0.02, everyMinutes: 1 });
    }
    site.wait(0.12);
    await site.live.quiet();
    expect(warnings().find(({ owner }) => owner === 'p2')).toMatchObject({
      code: 'reading-stopped',
      numbers: { gapLimitMs: 427_407 },
    });
    expect(site.live.recording).toBe(true);
  });

  test('a probe that speaks every twelve minutes, and earns in full, is not warned of each time', async () => {
    await heard(14, 12);
    for (let twelve = 0; twelve < 20; twelve++) {
      for (let part = 0; part < 6; part++) {
        site.wait(2 / 60);
        await site.live.quiet();
      }
      await site.hear('p1', 'temperature', about(14), { from: 0 });
      await site.hear('a1', 'temperature', about(12), { from: 0.1, everyMinutes: 3 });
    }
    expect(onRecord('warning.raised')).toBeLessThanOrEqual(1);
    expect(codes()).toEqual([]);
  });

  test('ends although the clock was a day ahead when it was raised, over a restart too', async () => {
    site.clock.setBy(24 * HOUR_MS);
    site.live.tick();
    await site.live.quiet();
    await heard(12, 12);
    await site.say({ kind: 'booking.made', sump: 's1', activity: 'water-test', due: site.at(-6) });
    await goOn(0.2, 12, 12);
    expect(codes()).toContain('booking-at-risk');
    site.clock.setBy(-24 * HOUR_MS);
    site.live.tick();
    await site.live.quiet();
    await site.say({ kind: 'booking.cancelled', sump: 's1', activity: 'water-test' });
    await site.restart();
    for (let part = 0; part < 6; part++) {
      site.wait(0.05);
      await site.live.quiet();
    }
    expect(codes()).not.toContain('booking-at-risk');
  });

  test('another booking makes another warning: who has seen the one has not seen the other', async () => {
    await heard(12, 12);
    await site.say({ kind: 'booking.made', sump: 's1', activity: 'water-test', due: site.at(-8) });
    await goOn(0.1, 12, 12);
    const { warning = '' } = warnings()[0] ?? {};
    await site.say({ kind: 'warning.acknowledged', warning });
    await site.say({ kind: 'booking.cancelled', sump: 's1', activity: 'water-test' });
    await site.say({ kind: 'booking.made', sump: 's1', activity: 'water-test', due: site.at(-9) });
    await goOn(0.1, 12, 12);
    expect(warnings()).toMatchObject([{ code: 'booking-at-risk', acknowledged: null }]);
    expect(warnings()[0]?.warning).not.toBe(warning);
    expect(onRecord('warning.raised')).toBe(2);
  });

  test('a water test that cannot be, since a joint is not even laid up', async () => {
    await heard(14, 12);
    await site.say({ kind: 'joint.added', joint: 'j2', sump: 's1', label: 'Two', schedule: 'polyester-laminate', probes: [] });
    await site.say({ kind: 'booking.made', sump: 's1', activity: 'water-test', due: site.at(-20) });
    await goOn(0.1, 14, 12);
    expect(warnings()).toMatchObject([{ code: 'booking-at-risk', numbers: { chancePercent: 0 } }]);
  });

  test('of which nothing can be told is warned of on the day before', async () => {
    await heard(14, 12);
    await site.say({ kind: 'joint.added', joint: 'j2', sump: 's1', label: 'Two', schedule: 'polyester-laminate', probes: [] });
    await site.say({ kind: 'booking.made', sump: 's1', activity: 'water-test', due: site.at(-26) });
    await goOn(0.1, 14, 12);
    expect(codes()).toEqual([]);
    await goOn(2.2, 14, 12);
    expect(codes()).toEqual(['booking-at-risk']);
  });
});
