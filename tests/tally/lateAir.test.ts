import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { about, HandSite } from '../support/handSite.ts';

const START_MS = Date.parse('2026-05-04T08:00:00Z');
/** Longer than a joint whose readings come in waits to be looked through again. */
const A_MOMENT_HOURS = 20 / 3600;

let site: HandSite;
beforeEach(async () => {
  site = await HandSite.start(START_MS);
  await site.say({ kind: 'sump.added', sump: 's1', label: 'North' });
  await site.say({ kind: 'probe.registered', probe: 'p1', role: 'material' });
  await site.say({ kind: 'probe.registered', probe: 'air', role: 'ambient' });
  const joint = { joint: 'j1', sump: 's1', label: 'One', schedule: 'polyester-laminate', probes: ['p1'], ambient: 'air' };
  await site.say({ kind: 'joint.added', ...joint });
});
afterEach(() => site[Symbol.asyncDispose]());

const prep = () => site.say({ kind: 'prep.signed', joint: 'j1', at: site.at(), sanded: true, wiped: true, dry: true });
const layUp = () => site.say({ kind: 'joint.laidUp', joint: 'j1', at: site.at() });
const mix = (hoursAgo = 0) =>
  site.say({
    kind: 'mix.recorded',
    joint: 'j1',
    at: site.at(hoursAgo),
    resin: { value: 1, unit: 'quart' },
    catalystMillilitres: 15,
    resinCelsius: 20,
  });
const start = () => site.say({ kind: 'activity.started', sump: 's1', activity: 'water-test', at: site.at() });

const open = () => site.joint('j1').findings.flatMap(({ code, open: isOpen }) => (isOpen ? [code] : []));
const waterTest = () => site.sump('s1').activities[0]?.state;

/** A joint by the book that is through: water may go in. */
async function finished(celsius: (hour: number) => number = about(20)): Promise<void> {
  await prep();
  await mix();
  await layUp();
  await site.cure(26, celsius, 'p1');
  site.wait(0.05);
  expect(site.joint('j1').phase).toBe('hydroReady');
  expect(open()).toEqual([]);
  expect(waterTest()).toBe('ready');
}

/** What the air probe had kept of the first three hours: so moist that the dew point lies a degree below the surface. */
async function dewComesLate(): Promise<void> {
  await site.hear('air', 'temperature', about(19), { from: 26.05, to: 23 });
  await site.hear('air', 'humidity', 95, { from: 26.05, to: 23 });
}

describe('air of a finished joint that comes late', () => {
  test('shows dew: the next look finds it, and no water goes in', async () => {
    await finished();
    await dewComesLate();
    site.wait(A_MOMENT_HOURS);
    expect(open()).toEqual(['dew-risk']);
    expect(site.joint('j1').phase).toBe('curing');
    expect(waterTest()).toBe('waiting');
    await expect(start()).rejects.toMatchObject({ code: 'entry-refused', faults: [{ path: 'reason' }] });
  });

  test('is looked through before a start is judged, though nobody has had time to look before', async () => {
    await finished();
    await dewComesLate();
    await expect(start()).rejects.toMatchObject({ code: 'entry-refused', faults: [{ path: 'reason' }] });
    expect(open()).toEqual(['dew-risk']);
  });

  test('shows the same after a restart', async () => {
    await finished();
    await dewComesLate();
    site.wait(A_MOMENT_HOURS);
    const before = site.joint('j1').findings;
    await site.restart();
    expect(site.joint('j1').findings).toEqual(before);
    site.live.tick();
    expect(site.joint('j1').findings).toEqual(before);
    expect(waterTest()).toBe('waiting');
  });

  test('counts too when the program was stopped before it had looked', async () => {
    await finished();
    await dewComesLate();
    await site.restart();
    await expect(start()).rejects.toMatchObject({ code: 'entry-refused', faults: [{ path: 'reason' }] });
    expect(open()).toEqual(['dew-risk']);
  });

  test('of the time before lay-up counts as well', async () => {
    await prep();
    await site.cure(4, 20, 'p1');
    await mix();
    await layUp();
    await site.cure(26, 20, 'p1');
    site.wait(0.05);
    expect(waterTest()).toBe('ready');
    await site.hear('air', 'temperature', about(19), { from: 30, to: 26.1 });
    await site.hear('air', 'humidity', 95, { from: 30, to: 26.1 });
    site.wait(A_MOMENT_HOURS);
    expect(open()).toEqual(['dew-risk']);
    expect(waterTest()).toBe('waiting');
  });

  test('shows that the probe hung in it', async () => {
    const swing = (hour: number) => 18 + 4 * Math.sin(hour / 2) + (Math.round(hour * 60) % 2 === 0 ? 0 : 0.0625);
    await finished(swing);
    await site.hear('air', 'temperature', (hour) => swing(hour + 0.05) + 0.1, { from: 26.05, to: 0.05 });
    site.wait(A_MOMENT_HOURS);
    expect(open()).toEqual(['probe-detached']);
    expect(waterTest()).toBe('waiting');
    const before = site.joint('j1').findings;
    await site.restart();
    site.live.tick();
    expect(site.joint('j1').findings).toEqual(before);
  });

  test('that was dry changes nothing', async () => {
    await finished();
    await site.hear('air', 'temperature', about(19), { from: 26.05, to: 23 });
    await site.hear('air', 'humidity', 40, { from: 26.05, to: 23 });
    site.wait(A_MOMENT_HOURS);
    expect(open()).toEqual([]);
    await start();
    expect(waterTest()).toBe('started');
  });
});

test('a second mix that is put on record when the joint is through: it was cold before that one gelled', async () => {
  await prep();
  await mix();
  await layUp();
  // Warm for two hours, at 4 °C for one, then warm: gelled before the cold by the first mix, not by the second.
  const cold = (hour: number) => (hour > -28 && hour < -27 ? 4 : 20) + (Math.round(hour * 60) % 2 === 0 ? 0 : 0.0625);
  await site.cure(30, cold, 'p1');
  site.wait(0.05);
  expect(open()).not.toContain('cold-before-gel');
  const gelledAt = () => site.joint('j1').fromMix?.stages.at(-1)?.reachedAt ?? '';
  const gelledBefore = gelledAt();
  await mix(28.2);
  expect(gelledAt() > gelledBefore).toBe(true);
  expect(open()).toContain('cold-before-gel');
  const before = site.joint('j1').findings;
  await site.restart();
  site.live.tick();
  expect(site.joint('j1').findings).toEqual(before);
});
