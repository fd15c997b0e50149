import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { planOf } from '../../../edge/tally/ahead/plan.ts';
import { Planner } from '../../../edge/tally/ahead/planner.ts';
import { about, HandSite } from '../../support/handSite.ts';

const START_MS = Date.parse('2026-02-10T14:00:00Z');

let site: HandSite;
let planner: Planner;
beforeEach(async () => {
  planner = new Planner();
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
  await site.hear('a1', 'temperature', about(9), { from: 30, everyMinutes: 10 });
});
afterEach(async () => {
  await planner.close();
  await site[Symbol.asyncDispose]();
});

const layUp = async (hoursAgo: number) => {
  await site.say({ kind: 'prep.signed', joint: 'j1', at: site.at(hoursAgo), sanded: true, wiped: true, dry: true });
  await site.say({ kind: 'joint.laidUp', joint: 'j1', at: site.at(hoursAgo) });
  await site.hear('p1', 'temperature', about(10), { from: hoursAgo, everyMinutes: 5 });
  site.wait(61 / 3600);
};
const plan = (hours: number, more: object = {}) =>
  planOf(site.live, planner, { sump: 's1', activity: 'water-test', due: site.at(-hours), ...more });
/** What a booking shows that the answer to a plan has too. */
const booked = async (hours: number) => {
  await site.say({ kind: 'booking.made', sump: 's1', activity: 'water-test', due: site.at(-hours) });
  const { chance, decidedBy, ready, safeFrom } = site.sump('s1').bookings[0] ?? {};
  return { chance, decidedBy, ready, safeFrom };
};

describe('what a plan answers', () => {
  test.each([1, 20, 24, 60])('due in %d h: is what a booking shows', async (hours) => {
    await layUp(4);
    const { advice, ...answer } = await plan(hours);
    expect(answer).toEqual(await booked(hours));
    if (hours === 20) expect(advice.hold).toBeNull();
    if (hours === 60) expect(advice).toEqual({ hold: null, heatBy: null });
  });

  test('with nothing missing, nothing decides it', async () => {
    await layUp(28);
    const answer = await plan(3);
    expect(answer).toMatchObject({ chance: 1, decidedBy: null, advice: { hold: null, heatBy: null } });
    expect(answer).toMatchObject(await booked(3));
  });

  test('of a joint that is not laid up no time can be named, and the joint is', async () => {
    const answer = await plan(30);
    expect(answer).toMatchObject({ chance: null, decidedBy: 'j1', ready: { reason: 'not-laid-up' }, safeFrom: null });
    expect(answer).toMatchObject(await booked(30));
  });

  test('what somebody might do changes it, on the joints that it is done on', async () => {
    await layUp(4);
    const asItIs = await plan(23);
    const hold = { hold: { celsius: 12 } };
    expect((await plan(23, { change: hold })).chance).toBeGreaterThan(asItIs.chance ?? 1);
    expect(await plan(23, { change: { hold: { celsius: 12, joints: ['other'] } } })).toEqual(asItIs);
    expect((await plan(23, { change: { heat: { celsius: 20 } } })).chance).toBeGreaterThan(asItIs.chance ?? 1);
  });

  test('only a moment to come within 8 days is answered', async () => {
    await layUp(4);
    await expect(plan(-0.01)).rejects.toMatchObject({ code: 'bad-request', faults: [{ path: 'due' }] });
    await expect(plan(8 * 24 + 0.01)).rejects.toMatchObject({ code: 'bad-request', faults: [{ path: 'due' }] });
    expect((await plan(0)).chance).toBe(0);
    expect((await plan(8 * 24)).chance).toBe(1);
  });
});
