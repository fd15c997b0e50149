import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { HOUR_MS } from '../../../edge/cure/schedule.ts';
import { projectionOf } from '../../../edge/tally/ahead/projection.ts';
import { historyOf } from '../../../edge/tally/history.ts';
import { about, HandSite } from '../../support/handSite.ts';

const START_MS = Date.parse('2026-02-10T14:00:00Z');

let site: HandSite;
beforeEach(async () => {
  site = await HandSite.start(START_MS);
  await site.say({ kind: 'sump.added', sump: 's1', label: 'North' });
  await site.say({ kind: 'probe.registered', probe: 'p1', role: 'material', uncertaintyCelsius: 0.5 });
  await site.say({ kind: 'probe.registered', probe: 'a1', role: 'ambient', uncertaintyCelsius: 0.5 });
});
afterEach(() => site[Symbol.asyncDispose]());

const added = (joint: string, more: object = {}) => ({
  kind: 'joint.added',
  joint,
  sump: 's1',
  label: joint,
  schedule: 'polyester-laminate',
  probes: ['p1'],
  ...more,
});
const layUp = async (hoursAgo: number, joint = 'j1') => {
  await site.say({ kind: 'prep.signed', joint, at: site.at(hoursAgo), sanded: true, wiped: true, dry: true });
  await site.say({ kind: 'joint.laidUp', joint, at: site.at(hoursAgo) });
};
/** Day and night about a mean, coldest at 06:00 UTC. */
const daily = (mean: number, swing: number) => (hour: number) =>
  mean - swing * Math.cos((2 * Math.PI * ((site.nowMs / HOUR_MS + hour - 6) % 24)) / 24);
const hydro = (joint = 'j1') => site.joint(joint).projected?.stages.find(({ stage }) => stage === 'hydro');
const hoursUntil = (at: string | null | undefined) => (Date.parse(at ?? '') - site.nowMs) / HOUR_MS;
const forecast = (celsius: (hour: number) => number, hours = 48) => ({
  kind: 'forecast.given',
  source: 'radio',
  hours: Array.from({ length: hours + 1 }, (_, hour) => ({ at: site.at(-hour), celsius: celsius(hour) })),
});
const banded = (joint = 'j1', hours = 48) =>
  projectionOf(site.live.views.jointState(joint), site.live.outlooks, ['stress', 'hydro'], site.nowMs + hours * HOUR_MS);

describe('what lies ahead of a joint', () => {
  test('without anything to go by no time is named, and it says why', async () => {
    await site.say(added('j1'));
    expect(banded().stages[0]).toMatchObject({ earliest: null, likely: null, latest: null, reason: 'not-laid-up' });
    await layUp(1);
    expect(banded()).toMatchObject({
      basis: null,
      band: [],
      stages: [{ reason: 'no-temperature' }, { reason: 'no-temperature' }],
    });
  });

  test('with a probe on the joint alone, its own past goes on', async () => {
    await site.say(added('j1'));
    await layUp(7);
    await site.hear('p1', 'temperature', about(12), { from: 7, everyMinutes: 5 });
    expect(banded().basis).toMatchObject({ air: 'own', forecast: null });
    // At 12 °C a laminate counts clock hours.
    expect(hoursUntil(hydro()?.likely)).toBeCloseTo(17, 0);
    expect(hoursUntil(hydro()?.earliest)).toBeLessThanOrEqual(hoursUntil(hydro()?.likely));
    expect(hoursUntil(hydro()?.latest)).toBeGreaterThanOrEqual(hoursUntil(hydro()?.likely));
  });

  test('with measured air its last day repeats; a forecast takes its place at once, and its withdrawal brings it back', async () => {
    await site.say(added('j1', { ambient: 'a1' }));
    await site.hear('a1', 'temperature', daily(4, 4), { from: 48, everyMinutes: 10 });
    await layUp(2);
    await site.hear('p1', 'temperature', about(14), { from: 2, everyMinutes: 5 });
    expect(banded().basis).toMatchObject({ air: 'persistence', forecast: null });
    const before = hoursUntil(hydro()?.likely);
    expect(before).toBeGreaterThan(23);
    const seq = await site.say(forecast((hour) => daily(4, 4)(0) + Math.min(8, hour)));
    expect(banded().basis).toMatchObject({ air: 'forecast', forecast: { source: 'radio', by: 'R. Oak' } });
    const warmer = hoursUntil(hydro()?.likely);
    expect(warmer).toBeLessThan(before - 3);
    await site.say({ kind: 'entry.withdrawn', seq, reason: 'wrong valley' });
    expect(hoursUntil(hydro()?.likely)).toBeCloseTo(before, 1);
  });

  test('heat that is put on record is in the outlook at once, and its thermostat with it', async () => {
    await site.say(added('j1', { ambient: 'a1' }));
    await site.hear('a1', 'temperature', daily(3, 3), { from: 48, everyMinutes: 10 });
    await layUp(2);
    await site.hear('p1', 'temperature', about(12), { from: 2, everyMinutes: 5 });
    const cold = hoursUntil(hydro()?.likely);
    await site.say({ kind: 'heating.changed', joint: 'j1', what: 'heater', on: true, holdCelsius: 16, at: site.at() });
    expect(site.joint('j1').heating).toMatchObject({ what: 'heater', holdCelsius: 16, sump: false });
    expect(banded().basis?.heat).toMatchObject({ kind: 'level', celsius: 16, seen: false });
    const warm = hoursUntil(hydro()?.likely);
    expect(warm).toBeCloseTo(22, 0);
    expect(cold - warm).toBeGreaterThan(3);
    site.wait(0.01);
    await site.say({ kind: 'heating.changed', joint: 'j1', what: 'heater', on: false, at: site.at() });
    expect(hoursUntil(hydro()?.likely)).toBeGreaterThan(warm + 2);
  });

  test('heat on the whole sump is among what the history of each of its joints shows', async () => {
    await site.say(added('j1'));
    await layUp(2);
    await site.say({ kind: 'heating.changed', sump: 's1', what: 'heater', on: true, holdCelsius: 16, at: site.at() });
    const { events } = historyOf(site.live, 'j1', { points: 100 });
    expect(events.filter(({ kind }) => kind === 'heating')).toMatchObject([{ at: site.nowMs, by: 'R. Oak' }]);
  });

  test('after a day of its own readings it knows how it follows the air', async () => {
    await site.say(added('j1', { ambient: 'a1' }));
    await layUp(30);
    const air = daily(5, 4);
    await site.hear('a1', 'temperature', air, { from: 48, everyMinutes: 10 });
    // First-order lag of 4 h behind a daily sinusoid, 3 °C warmer: gain and lag are known in closed form.
    const turn = (2 * Math.PI * 4) / 24;
    const gain = 1 / Math.sqrt(1 + turn * turn);
    const lagHours = (24 / (2 * Math.PI)) * Math.atan(turn);
    await site.hear('p1', 'temperature', (hour) => 8 + gain * (air(hour - lagHours) - 5), { from: 30, everyMinutes: 5 });
    site.clock.advance(60_000);
    const { lag } = banded().basis ?? {};
    expect(lag?.hours).toBeGreaterThan(3);
    expect(lag?.hours).toBeLessThan(5.3);
    expect(lag?.offsetCelsius).toBeGreaterThan(2.5);
    expect(lag?.offsetCelsius).toBeLessThan(3.5);
    expect(lag?.errorCelsius).toBeLessThan(0.4);
    expect(lag?.fittedHours).toBeGreaterThan(24);
  });

  test('a fresh joint is believed to follow the air as the site’s joints before it did', async () => {
    await site.say({ kind: 'probe.registered', probe: 'p2', role: 'material', uncertaintyCelsius: 0.5 });
    await site.say(added('j1', { ambient: 'a1' }));
    await site.say(added('j2', { ambient: 'a1', probes: ['p2'] }));
    await site.hear('a1', 'temperature', daily(3, 3), { from: 48, everyMinutes: 10 });
    await layUp(1, 'j2');
    await site.hear('p2', 'temperature', about(14), { from: 1, everyMinutes: 5 });
    const alone = banded('j2').basis?.lag;
    expect(alone).toMatchObject({ offsetCelsius: 0, hours: 3, fittedHours: 0 });
    await layUp(40);
    await site.hear('p1', 'temperature', (hour) => 4 + daily(3, 3)(hour), { from: 40, everyMinutes: 5 });
    site.clock.advance(3.1 * HOUR_MS);
    await site.hear('p2', 'temperature', about(14), { from: 0.2, everyMinutes: 5 });
    const { lag } = banded('j2').basis ?? {};
    expect(lag?.fittedHours).toBe(0);
    expect(lag?.offsetCelsius).toBeGreaterThan(2.5);
    expect(lag?.offsetCelsius).toBeLessThan(4);
  });

  test('what a heated joint rests at is not promised to the next one', async () => {
    await site.say({ kind: 'probe.registered', probe: 'p2', role: 'material', uncertaintyCelsius: 0.5 });
    await site.say(added('j1', { ambient: 'a1' }));
    await site.say(added('j2', { ambient: 'a1', probes: ['p2'] }));
    await site.hear('a1', 'temperature', daily(3, 3), { from: 48, everyMinutes: 10 });
    await layUp(40);
    await site.say({ kind: 'heating.changed', joint: 'j1', what: 'heater', on: true, holdCelsius: 16, at: site.at(30) });
    await site.hear('p1', 'temperature', (hour) => (hour < -30 ? 9 + daily(0, 3)(hour) : about(16)(hour)), {
      from: 40,
      everyMinutes: 5,
    });
    await layUp(1, 'j2');
    await site.hear('p2', 'temperature', about(14), { from: 1, everyMinutes: 5 });
    site.clock.advance(3.1 * HOUR_MS);
    await site.hear('p2', 'temperature', about(14), { from: 0.2, everyMinutes: 5 });
    expect(banded('j2').basis?.lag).toMatchObject({ offsetCelsius: 0, fittedHours: 0 });
  });

  test('a band goes hour by hour, low to high, and warm hours in it never fall', async () => {
    await site.say(added('j1', { ambient: 'a1' }));
    await site.hear('a1', 'temperature', daily(6, 4), { from: 48, everyMinutes: 10 });
    await layUp(2);
    await site.hear('p1', 'temperature', about(12), { from: 2, everyMinutes: 5 });
    const { band } = banded('j1', 24);
    expect(band).toHaveLength(24);
    band.forEach(({ at, celsius, warmHours }, index) => {
      expect(at).toBe(site.nowMs + (index + 1) * HOUR_MS);
      expect([...celsius]).toEqual([...celsius].sort((a, b) => a - b));
      expect([...warmHours]).toEqual([...warmHours].sort((a, b) => a - b));
      for (const place of [0, 1, 2] as const)
        expect(warmHours[place]).toBeGreaterThanOrEqual(band[index - 1]?.warmHours[place] ?? 0);
    });
  });

  test('a sealant is told by the air alone, and needs its humidity', async () => {
    await site.say(added('j2', { schedule: 'sealant-bead', probes: [], ambient: 'a1' }));
    await site.hear('a1', 'temperature', about(15), { from: 30, everyMinutes: 10 });
    await layUp(2, 'j2');
    expect(banded('j2').stages[0]).toMatchObject({ reason: 'no-humidity' });
    await site.hear('a1', 'humidity', about(60), { from: 1, everyMinutes: 10 });
    site.wait(0.02);
    expect(banded('j2').stages[1]?.reason).toBeNull();
    expect(hoursUntil(hydro('j2')?.likely)).toBeGreaterThan(22);
  });

  test('a joint that is through has nothing ahead', async () => {
    await site.say(added('j1'));
    await layUp(30);
    await site.hear('p1', 'temperature', about(14), { from: 30, everyMinutes: 5 });
    expect(site.joint('j1').projected).toBeNull();
    expect(banded().stages.map(({ reason }) => reason)).toEqual([null, null]);
  });

  test('new readings are in it within a minute', async () => {
    await site.say(added('j1'));
    await layUp(7);
    await site.hear('p1', 'temperature', about(12), { from: 7, everyMinutes: 5 });
    const before = hydro()?.likely ?? '';
    site.clock.advance(HOUR_MS);
    await site.hear('p1', 'temperature', about(2), { from: 1, everyMinutes: 5 });
    expect(Date.parse(hydro()?.likely ?? '')).toBeGreaterThan(Date.parse(before) + HOUR_MS / 2);
  });
});
