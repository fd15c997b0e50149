import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { ohmsAt } from '../../edge/cure/sensors/sensor.ts';
import { historyOf } from '../../edge/tally/history.ts';
import { calibration } from '../site/work.ts';
import { about, HandSite, quality } from '../support/handSite.ts';

const START_MS = Date.parse('2026-01-15T08:00:00Z');
const PT100 = { kind: 'pt100', tolerance: 'A' } as const;
const THERMISTOR = {
  kind: 'thermistor',
  curve: { kind: 'steinhartHart', a: 1.129148e-3, b: 2.34125e-4, c: 8.76741e-8 },
} as const;
const digital = { kind: 'digital' } as const;

let site: HandSite;
beforeEach(async () => {
  site = await HandSite.start(START_MS);
  await site.say({ kind: 'sump.added', sump: 's1', label: 'North' });
});
afterEach(() => site[Symbol.asyncDispose]());

/** A joint of its own for each probe, laid up now, all with the same guard band. */
async function jointsOn(sensors: Readonly<Record<string, object>>): Promise<void> {
  for (const [probe, sensor] of Object.entries(sensors)) {
    await site.say({ kind: 'probe.registered', probe, role: 'material', sensor, uncertaintyCelsius: 0.5 });
    await site.say({
      kind: 'joint.added',
      joint: `on-${probe}`,
      sump: 's1',
      label: probe,
      schedule: 'polyester-laminate',
      probes: [probe],
    });
    await site.say({ kind: 'joint.laidUp', joint: `on-${probe}`, at: site.at() });
  }
}

const warmHours = (probe: string) => site.joint(`on-${probe}`).warmHours;
/** A cool night, in whole m°C, since a stored temperature has no more. */
const night = (hour: number) => Math.round((8 + 2.5 * Math.sin(hour / 3)) * 1000) / 1000;

describe('a probe that sends ohms', () => {
  test.each([
    ['Pt100', PT100],
    ['thermistor', THERMISTOR],
  ] as const)('%s: makes the same warm hours as the temperatures that its ohms stand for', async (_, sensor) => {
    await jointsOn({ ohms: sensor, degrees: digital });
    site.wait(10);
    await site.hear('degrees', 'temperature', night, { from: 10 });
    await site.hear('ohms', 'resistance', (hour) => ohmsAt(sensor, night(hour)) as number, { from: 10 });
    expect(warmHours('degrees')).toBeGreaterThan(5);
    // Ohms are kept to a thousandth: 0.0026 °C of a Pt100, far less of a thermistor.
    const tolerance = sensor.kind === 'pt100' ? 0.002 : 0.0002;
    expect(Math.abs(warmHours('ohms') - warmHours('degrees'))).toBeLessThan(tolerance);
    expect(site.live.views.probe('ohms')).toMatchObject({ ohms: { ohms: expect.any(Number) } });
    expect(site.joint('on-ohms').governing?.celsius).toBeCloseTo(site.joint('on-degrees').governing?.celsius ?? 0, 1);
    await site.restart();
    expect(Math.abs(warmHours('ohms') - warmHours('degrees'))).toBeLessThan(tolerance);
  });

  test('published points of IEC 60751 [P]: 100 Ω is 0 °C, 107.79 Ω 20 °C', async () => {
    await jointsOn({ ohms: PT100 });
    for (const [ohms, celsius] of [
      [100, 0],
      [103.9, 10],
      [107.79, 20],
      [92.16, -20],
    ] as const) {
      site.wait(0.1);
      await site.hear('ohms', 'resistance', ohms, { from: 0 });
      expect(site.live.views.probe('ohms').latest?.celsius).toBeCloseTo(celsius, 1);
    }
  });

  test('degrees that it sends all the same count for nothing, and ohms of a digital probe neither', async () => {
    await jointsOn({ ohms: PT100, degrees: digital });
    site.wait(2);
    await site.hear('ohms', 'temperature', 20, { from: 2 });
    await site.hear('degrees', 'resistance', 107.79, { from: 2 });
    expect(warmHours('ohms')).toBe(0);
    expect(warmHours('degrees')).toBe(0);
    expect(site.joint('on-ohms').conditions).toEqual(['unproven']);
  });

  test('ohms off the curve earn nothing and are found', async () => {
    await jointsOn({ ohms: PT100 });
    site.wait(3);
    await site.hear('ohms', 'resistance', (hour) => (hour < -2 || hour > -1 ? 107.79 : 400), { from: 3 });
    // From the last good reading before to the first one after, 70 minutes.
    expect(warmHours('ohms')).toBeCloseTo(110 / 60, 5);
    expect(site.findings('on-ohms', 'off-curve')).toMatchObject([{ probes: ['ohms'], severity: 'warning', open: true }]);
  });
});

describe('a calibration', () => {
  test('corrects from its date on and nothing before', async () => {
    await jointsOn({ p1: digital, p2: digital });
    site.wait(6);
    // Both read 0.5 °C too warm around 10 °C; the second one was compared with ice half way.
    await site.hear('p1', 'temperature', 9.5, { from: 6 });
    await site.hear('p2', 'temperature', 9.5, { from: 6 });
    const before = warmHours('p2');
    expect(before).toBe(warmHours('p1'));
    await site.say({ kind: 'calibration.recorded', probe: 'p2', at: site.at(3), calibration: calibration(0.4) }, quality);
    expect(warmHours('p1')).toBe(before);
    const corrected = before - warmHours('p2');
    // For half of the time the rate is that of 8.6 instead of 9.0 °C; five minutes are lost at the seam.
    const rate = (celsius: number) => Math.exp((60_000 / 8.314462618) * (1 / 283.15 - 1 / (celsius + 273.15)));
    expect(corrected).toBeCloseTo(3 * (rate(9) - rate(8.6)) + (5 / 60) * rate(9), 2);
    expect(site.live.views.probe('p2').latest?.celsius).toBeCloseTo(9.1, 3);
  });

  test('that is taken back never corrected anything', async () => {
    await jointsOn({ p1: digital });
    site.wait(6);
    await site.hear('p1', 'temperature', 9.5, { from: 6 });
    const before = warmHours('p1');
    const seq = await site.say(
      { kind: 'calibration.recorded', probe: 'p1', at: site.at(3), calibration: calibration(0.4) },
      quality,
    );
    expect(warmHours('p1')).toBeLessThan(before);
    await site.say({ kind: 'entry.withdrawn', seq, reason: 'the ice had melted' }, quality);
    expect(warmHours('p1')).toBe(before);
  });
});

describe('values that measure nothing', () => {
  test('85.000 °C, what a sensor says before its first conversion, never counts; 85.001 °C is a temperature', async () => {
    await jointsOn({ p1: digital });
    site.wait(2);
    await site.hear('p1', 'temperature', 85, { from: 2 });
    expect(warmHours('p1')).toBe(0);
    expect(site.joint('on-p1')).toMatchObject({ governing: null, conditions: ['unproven'] });
    expect(site.findings('on-p1', 'power-on-value')).toMatchObject([{ severity: 'note', open: true }]);
    site.wait(2);
    await site.hear('p1', 'temperature', 85.001, { from: 1 });
    expect(warmHours('p1')).toBe(1);
  });

  test('one of them between good readings leaves a gap no longer than itself', async () => {
    await jointsOn({ p1: digital });
    site.wait(2);
    await site.hear('p1', 'temperature', (hour) => (Math.abs(hour + 1) < 0.01 ? 85 : 20), { from: 2 });
    expect(warmHours('p1')).toBe(2);
    expect(site.findings('on-p1', 'power-on-value')[0]?.numbers).toMatchObject({ milliC: 85_000, count: 1 });
  });

  test('a calibration does not turn it into a temperature', async () => {
    await jointsOn({ p1: digital });
    await site.say({ kind: 'calibration.recorded', probe: 'p1', at: site.at(), calibration: calibration() }, quality);
    site.wait(2);
    await site.hear('p1', 'temperature', 85, { from: 2 });
    expect(warmHours('p1')).toBe(0);
  });
});

describe('a logger’s file', () => {
  const readings = (hours: number, celsius: number, fromHoursAgo = hours) => {
    const count = hours * 12 + 1;
    const atMs = Float64Array.from({ length: count }, (_, index) => site.nowMs - fromHoursAgo * 3_600_000 + index * 300_000);
    return { atMs, milliC: Int32Array.from(atMs, () => celsius * 1000), milliRh: Array.from(atMs, () => null), rejected: [] };
  };
  const SHA256 = '1c'.repeat(32);
  const take = (probe: string, hours: number, celsius: number, fromHoursAgo = hours) =>
    site.live.importFile(
      { probe, file: 'logger.csv', sha256: SHA256, readings: readings(hours, celsius, fromHoursAgo) as never, rejected: 0 },
      quality,
    );

  test('counts as a source of its own beside the probe: it fills its silence, and the colder of both governs', async () => {
    await jointsOn({ p1: digital });
    site.wait(6);
    await site.hear('p1', 'temperature', 20, { from: 6, to: 3 });
    expect(warmHours('p1')).toBe(3);
    await take('p1', 4, 8, 4);
    const rate = Math.exp((60_000 / 8.314462618) * (1 / 283.15 - 1 / (7.5 + 273.15)));
    // Two hours on the probe's word, then four on the file's, the first of them although the probe itself is warm.
    expect(warmHours('p1')).toBeCloseTo(2 + 4 * rate, 3);
    expect(site.live.views.probe('p1').imports).toMatchObject([
      { file: 'logger.csv', sha256: SHA256, rows: 49, by: quality.name },
    ]);
    const series = historyOf(site.live, 'on-p1', { points: 1000 }).series;
    expect(series.map(({ probe, imported }) => [probe, imported])).toEqual([
      ['p1', false],
      [`p1#${SHA256.slice(0, 12)}`, true],
    ]);
  });

  test('taken back, it is gone from the hours; the same file can then be taken again', async () => {
    await jointsOn({ p1: digital });
    site.wait(6);
    await take('p1', 6, 20);
    expect(warmHours('p1')).toBe(6);
    await expect(take('p1', 6, 20)).rejects.toMatchObject({ code: 'entry-refused' });
    const seq = site.live.views.probe('p1').imports[0]?.seq as number;
    await site.say({ kind: 'entry.withdrawn', seq, reason: 'another sump’s logger' });
    expect(warmHours('p1')).toBe(0);
    expect(site.live.views.probe('p1').imports).toEqual([]);
    await take('p1', 6, 20);
    expect(warmHours('p1')).toBe(6);
    await site.restart();
    expect(warmHours('p1')).toBe(6);
  });

  test('for a Pt100 its degrees are taken as degrees', async () => {
    await jointsOn({ ohms: PT100 });
    site.wait(6);
    await take('ohms', 6, 20);
    expect(warmHours('ohms')).toBe(6);
  });
});

test('a sealant: the air probe’s humidity counts with its temperature, through restarts too', async () => {
  await site.say({
    kind: 'probe.registered',
    probe: 'air',
    role: 'ambient',
    uncertaintyCelsius: 0.5,
    humidityUncertaintyPercent: 3,
  });
  await site.say({
    kind: 'joint.added',
    joint: 'bed',
    sump: 's1',
    label: 'Bed',
    schedule: 'sealant-bead',
    probes: [],
    ambient: 'air',
    beadMillimetres: 6,
  });
  await site.say({ kind: 'joint.laidUp', joint: 'bed', at: site.at() });
  site.wait(24);
  await site.hear('air', 'temperature', about(20.5), { from: 24 });
  expect(site.joint('bed')).toMatchObject({ warmHours: 0, governing: null });
  await site.hear('air', 'humidity', 53, { from: 24 });
  const view = site.joint('bed');
  expect(view).toMatchObject({
    warmHours: 24,
    phase: 'stressReady',
    front: { millimetres: 3, beadMillimetres: 6 },
    governing: { probe: 'air', humidityPercent: 50 },
    creditRate: 1,
  });
  expect(view.stages).toMatchObject([
    { stage: 'stress', requiredHours: 12 },
    { stage: 'hydro', requiredHours: 96, reachedAt: null, remainingHours: 72 },
  ]);
  await site.restart();
  expect(site.joint('bed').warmHours).toBe(24);
});

test('crew give a probe another name after a restart, with the sensor that it has', async () => {
  const registered = { kind: 'probe.registered', probe: 'ohms', role: 'material', sensor: THERMISTOR, uncertaintyCelsius: 0.5 };
  await site.say(registered);
  await site.restart();
  await site.say({ ...registered, label: 'Rim' });
  expect(site.live.views.probe('ohms')).toMatchObject({ label: 'Rim', sensor: THERMISTOR });
  await expect(site.say({ ...registered, sensor: PT100 })).rejects.toMatchObject({ faults: [{ path: 'sensor' }] });
});

describe('a power-on value that is the newest', () => {
  const powerOn = () => site.hear('p1', 'temperature', 85, { from: 0 });
  const seen = () => ({ governing: site.joint('on-p1').governing, latest: site.live.views.probe('p1').latest });

  test('hides what was measured before it neither now nor after a restart', async () => {
    await jointsOn({ p1: digital });
    await site.cure(2, 20, 'p1');
    site.wait(0.05);
    const before = seen();
    expect(before.governing?.celsius).toBeCloseTo(20, 0);
    await powerOn();
    expect(seen()).toEqual(before);
    await site.restart();
    expect(seen()).toEqual(before);
  });

  test('nor does a row of them, once all is sealed', async () => {
    await jointsOn({ p1: digital });
    await site.cure(2, 20, 'p1');
    const before = seen();
    site.wait(0.1);
    await site.hear('p1', 'temperature', 85, { from: 0.09, everyMinutes: 1 });
    await site.live.seal(0);
    await site.restart();
    expect(seen()).toEqual(before);
  });

  test('of a probe that has said nothing else shows nothing', async () => {
    await jointsOn({ p1: digital });
    await powerOn();
    await site.restart();
    expect(seen()).toEqual({ governing: null, latest: null });
  });
});
