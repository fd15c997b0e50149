import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { builtInSchedules } from '../../../edge/cure/builtIns.ts';
import { HOUR_MS } from '../../../edge/cure/schedule.ts';
import { projectionOf } from '../../../edge/tally/ahead/projection.ts';
import { about, HandSite, quality } from '../../support/handSite.ts';

const START_MS = Date.parse('2026-02-10T20:00:00Z');

let site: HandSite;
beforeEach(async () => {
  site = await HandSite.start(START_MS);
  await site.say({ kind: 'sump.added', sump: 's1', label: 'North' });
  for (const probe of ['p1', 'p2'])
    await site.say({ kind: 'probe.registered', probe, role: 'material', uncertaintyCelsius: 0.5 });
  for (const probe of ['a1', 'a2']) await site.say({ kind: 'probe.registered', probe, role: 'ambient', uncertaintyCelsius: 0.5 });
});
afterEach(() => site[Symbol.asyncDispose]());

const add = (more: object = {}) =>
  site.say({
    kind: 'joint.added',
    joint: 'j1',
    sump: 's1',
    label: 'Flange',
    schedule: 'polyester-laminate',
    probes: ['p1'],
    ...more,
  });
const layUp = async (hoursAgo: number) => {
  await site.say({ kind: 'prep.signed', joint: 'j1', at: site.at(hoursAgo), sanded: true, wiped: true, dry: true });
  await site.say({ kind: 'joint.laidUp', joint: 'j1', at: site.at(hoursAgo) });
};
const forecast = (celsius: (hour: number) => number, first = 0, last = 48, source = 'radio') =>
  site.say({
    kind: 'forecast.given',
    source,
    hours: Array.from({ length: last - first + 1 }, (_, index) => ({
      at: site.at(-(first + index)),
      celsius: celsius(first + index),
    })),
  });
/** Beyond the time within which an answer is not looked for anew. */
const settled = () => site.wait(0.02);
const projection = () =>
  projectionOf(site.live.views.jointState('j1'), site.live.outlooks, ['stress', 'hydro'], site.nowMs + 12 * HOUR_MS, site.nowMs);
const reasons = () => projection().stages.map(({ reason }) => reason);
const hydro = () => projection().stages[1];
const hoursUntil = (at: string | null | undefined) => (Date.parse(at ?? '') - site.nowMs) / HOUR_MS;
const heating = (on: boolean, hoursAgo: number, more: object = {}) =>
  site.say({ kind: 'heating.changed', joint: 'j1', what: 'heater', on, at: site.at(hoursAgo), ...more });

describe('a joint that cannot earn anything has no times, whatever the weather will be', () => {
  beforeEach(() => site.hear('a1', 'temperature', about(12), { from: 30 }));
  const booked = async () => {
    await site.say({ kind: 'booking.made', sump: 's1', activity: 'water-test', due: site.at(-40) });
    return site.sump('s1').bookings[0];
  };

  test('no probe on it', async () => {
    await add({ probes: [] });
    await layUp(2);
    await forecast(() => 15);
    expect(reasons()).toEqual(['no-probe', 'no-probe']);
    expect(await booked()).toMatchObject({ chance: null, decidedBy: 'j1', ready: { reason: 'no-probe' } });
  });

  test('only the air is measured, and its schedule lets that not stand in', async () => {
    await add({ probes: [], ambient: 'a1' });
    await layUp(2);
    expect(reasons()).toEqual(['no-probe', 'no-probe']);
    await forecast(() => 15);
    expect(reasons()).toEqual(['no-probe', 'no-probe']);
  });

  test('its probe was taken off', async () => {
    await add({ ambient: 'a1' });
    await layUp(2);
    await site.hear('p1', 'temperature', about(12), { from: 2 });
    await forecast(() => 15);
    expect(reasons()).toEqual([null, null]);
    await site.say({ kind: 'joint.assigned', joint: 'j1', probes: [], ambient: 'a1' });
    expect(reasons()).toEqual(['no-probe', 'no-probe']);
    expect(projection()).toMatchObject({ basis: null, band: [] });
  });

  test('it has another probe now, which has not spoken yet', async () => {
    await add({ ambient: 'a1' });
    await layUp(2);
    await site.hear('p1', 'temperature', about(12), { from: 2 });
    await site.say({ kind: 'joint.assigned', joint: 'j1', probes: ['p2'], ambient: 'a1' });
    expect(reasons()).toEqual(['no-temperature', 'no-temperature']);
    settled();
    await site.hear('p2', 'temperature', about(5), { from: 0 });
    settled();
    expect(reasons()).toEqual([null, null]);
    expect(projection().band[0]?.celsius[1]).toBeLessThan(9);
  });

  test('its probe has been silent for more than an hour', async () => {
    await add({ ambient: 'a1' });
    await layUp(20);
    await site.hear('p1', 'temperature', about(12), { from: 20, to: 0.9 });
    await forecast(() => 15);
    expect(reasons()).toEqual([null, null]);
    site.wait(0.2);
    expect(reasons()).toEqual(['no-temperature', 'no-temperature']);
    expect(await booked()).toMatchObject({ chance: null, ready: { reason: 'no-temperature' } });
  });

  test('a sealant without a probe in its air; with one whose humidity has been silent for more than an hour', async () => {
    await add({ schedule: 'sealant-bead', probes: ['p1'] });
    await layUp(5);
    await site.hear('p1', 'temperature', about(12), { from: 5 });
    expect(reasons()[1]).toBe('no-probe');
    await site.say({ kind: 'joint.assigned', joint: 'j1', probes: [], ambient: 'a1', at: site.at(5) });
    await site.hear('a1', 'humidity', about(60), { from: 5, to: 0.9 });
    settled();
    expect(reasons()[1]).toBeNull();
    site.clock.advance(0.2 * HOUR_MS);
    await site.hear('a1', 'temperature', about(12), { from: 0 });
    settled();
    expect(reasons()[1]).toBe('no-humidity');
  });

  test('one that is through keeps its times when its probe moves on', async () => {
    await add({ ambient: 'a1' });
    await layUp(30);
    await site.hear('p1', 'temperature', about(15), { from: 30 });
    const through = projection().stages;
    expect(through.map(({ reason }) => reason)).toEqual([null, null]);
    await site.say({ kind: 'joint.assigned', joint: 'j1', probes: [] });
    expect(projection().stages).toEqual(through);
  });

  test('air that may stand in counts as long as it is heard', async () => {
    const definition = { ...structuredClone(builtInSchedules[0]), name: 'own', version: 1, ambientStandIn: true };
    await site.say({ kind: 'schedule.given', definition, reason: 'a test' }, quality);
    await add({ schedule: 'own', probes: [], ambient: 'a1' });
    await layUp(2);
    expect(reasons()).toEqual([null, null]);
    site.wait(1.1);
    expect(reasons()).toEqual(['no-temperature', 'no-temperature']);
  });
});

describe('several forecasts', () => {
  const ahead = () => site.live.air.ahead('a1')?.air.milliC ?? [];
  beforeEach(() => site.hear('a1', 'temperature', about(2), { from: 2 }));

  test('one that begins days ahead leaves the present to the one before it', async () => {
    await forecast(() => 2, -1, 100, 'cold');
    const before = ahead();
    await forecast(() => 25, 120, 144, 'far');
    expect(ahead().slice(0, 120)).toEqual(before.slice(0, 120));
    expect(ahead()[130]).toBeGreaterThan(24_000);
    await add({ ambient: 'a1' });
    await layUp(1);
    await site.hear('p1', 'temperature', about(7), { from: 1 });
    expect(projection().basis?.forecast).toMatchObject({ source: 'cold' });
    expect(site.live.views.whole(true).forecast).toMatchObject({ source: 'cold' });
  });

  test('one of the next hours alone leaves the frost behind it', async () => {
    await forecast((hour) => (hour > 6 ? -5 : 2), -1, 100, 'frost');
    const before = ahead();
    await forecast(() => 12, 0, 4, 'the next hours');
    expect(ahead()[4]).toBeGreaterThan(6000);
    expect(ahead()[20]).toBeLessThan(-4000);
    expect(Math.abs((ahead()[60] as number) - (before[60] as number))).toBeLessThan(50);
    await forecast(() => 12, 0, 1, 'an hour');
    expect(site.live.air.ahead('a1')?.from).toBe('forecast');
    expect(ahead()[20]).toBeLessThan(-4000);
  });

  test('one that is taken back gives the hours back that it took', async () => {
    await forecast((hour) => (hour > 6 ? -5 : 2), -1, 100, 'frost');
    const before = ahead();
    const seq = await forecast(() => 12, 0, 50, 'mild');
    expect(ahead()[20]).toBeGreaterThan(10_000);
    await site.say({ kind: 'entry.withdrawn', seq, reason: 'of another valley' });
    expect(ahead()).toEqual(before);
  });
});

describe('heat that is in the record already is not counted twice', () => {
  test('a joint that is its own air and was heated all the while stays as it is', async () => {
    await add();
    await layUp(30);
    await site.hear('p1', 'temperature', about(6), { from: 30 });
    settled();
    const before = projection();
    expect(before.basis?.air).toBe('own');
    await heating(true, 29.9);
    expect(projection().basis).toMatchObject({ air: 'own', heat: null });
    expect(hydro()).toEqual(before.stages[1]);
  });

  test('a sealant whose air was heated all the while', async () => {
    await site.hear('a1', 'temperature', about(7), { from: 40 });
    await site.hear('a1', 'humidity', about(60), { from: 40 });
    await add({ schedule: 'sealant-bead', probes: [], ambient: 'a1', beadMillimetres: 3 });
    await layUp(32);
    settled();
    const before = hydro();
    await heating(true, 32, { holdCelsius: 20 });
    expect(projection().basis).toMatchObject({ air: 'persistence', heat: null });
    // The first hours, in which it had not settled yet, are long enough ago.
    expect(hydro()).toEqual(before);
  });

  test('a heater that was just taken off is not in what is to come; how much colder it gets is uncertain', async () => {
    await add();
    await layUp(10);
    await heating(true, 17);
    await site.hear('p1', 'temperature', about(14), { from: 10 });
    settled();
    const heated = projection();
    await heating(false, 0);
    settled();
    const { basis, band } = projection();
    expect(basis).toMatchObject({ air: 'own', heat: null });
    // A heater is believed to bring 8 °C, and the joint to follow with 3 h.
    expect(band[11]?.celsius[1]).toBeLessThan((heated.band[11]?.celsius[1] as number) - 6);
    expect(band[11]?.celsius[1]).toBeGreaterThan((heated.band[11]?.celsius[1] as number) - 9);
    const { ahead } = site.live.outlooks.of(site.live.views.jointState('j1'));
    expect(ahead?.input.lag).toMatchObject({ offsetSdMilliC: 3000, timeConstantMs: 3 * HOUR_MS });
  });

  test('of a record that has both, what was measured without it counts once it is off', async () => {
    await add();
    await layUp(24);
    await site.hear('p1', 'temperature', (hour) => (hour < -8 ? about(5)(hour) : about(15)(hour)), { from: 24 });
    await heating(true, 8);
    await heating(false, 0);
    settled();
    expect(projection().band[11]?.celsius[1]).toBeLessThan(6);
  });

  test('a heater that was just put on is waited for until the readings show it', async () => {
    await add();
    await layUp(20);
    await site.hear('p1', 'temperature', about(6), { from: 20 });
    settled();
    const before = projection().band[11]?.celsius[1] as number;
    await heating(true, 0);
    settled();
    expect(Math.abs((projection().band[11]?.celsius[1] as number) - before)).toBeLessThan(0.5);
  });

  test('a joint beside whose material its own air is measured still gets what the heater brings', async () => {
    await site.hear('a1', 'temperature', about(3), { from: 30 });
    await add({ ambient: 'a1' });
    await layUp(5);
    await site.hear('p1', 'temperature', about(6), { from: 5 });
    settled();
    const cold = hoursUntil(hydro()?.likely);
    await heating(true, 0, { holdCelsius: 16 });
    expect(projection().basis?.heat).toMatchObject({ kind: 'level', celsius: 16 });
    expect(hoursUntil(hydro()?.likely)).toBeLessThan(cold - 5);
  });
});

describe('the air that a joint follows', () => {
  beforeEach(() => site.hear('a2', 'temperature', about(2), { from: 30 }));

  test('an assigned probe that never spoke does not hide another that does', async () => {
    await add({ ambient: 'a1' });
    await layUp(6);
    await site.hear('p1', 'temperature', about(11), { from: 6 });
    expect(site.live.air.probe).toBe('a2');
    expect(projection().basis?.air).toBe('persistence');
    expect(projection().band[11]?.celsius[1]).toBeLessThan(6);
  });

  test('an assigned one that is heard goes before the site’s; silent for a day, it does not', async () => {
    await site.hear('a1', 'temperature', about(20), { from: 20 });
    await add({ ambient: 'a1' });
    await layUp(1);
    await site.hear('p1', 'temperature', about(11), { from: 1 });
    settled();
    expect(projection().band[11]?.celsius[1]).toBeGreaterThan(17);
    site.clock.advance(25 * HOUR_MS);
    await site.hear('a2', 'temperature', about(2), { from: 25 });
    await site.hear('p1', 'temperature', about(2), { from: 1 });
    settled();
    expect(projection().band[11]?.celsius[1]).toBeLessThan(6);
  });
});

test('a stage that is not proven yet is never expected before now', async () => {
  await site.hear('a1', 'temperature', about(15), { from: 40 });
  await add({ ambient: 'a1' });
  // At 15 °C a laminate counts clock hours: its 12 h would be over two minutes ago.
  await layUp(12 + 2 / 60);
  await site.hear('p1', 'temperature', about(15), { from: 12.2, to: 0.1 });
  settled();
  const stage = projection().stages[0];
  expect(site.joint('j1').stages[0]?.reachedAt).toBeNull();
  expect(stage?.earliest).toBe(site.at());
  expect(site.joint('j1').projected?.stages[0]?.earliest).toBe(site.at());
});
