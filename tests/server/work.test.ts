import type { MqttClient } from 'mqtt';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import { JointView } from '../../edge/site/views/joint.ts';
import { SiteView } from '../../edge/site/views/site.ts';
import { SumpView } from '../../edge/site/views/sump.ts';
import { ask, problemOf, read } from '../support/api.ts';
import { degrees, mild, publishPast } from '../support/past.ts';
import { mqttClient } from '../support/probe.ts';
import { startService, type TestService } from '../support/service.ts';

const PARTS = [
  { part: 'base', schedule: 'polyester-laminate' },
  { part: 'inner', schedule: 'epoxy-pour' },
  { part: 'bed', schedule: 'sealant-bead' },
  { part: 'upper', schedule: 'polyester-laminate' },
] as const;

let service: TestService;
let client: MqttClient;
const nowMs = Date.now();
const at = (hour: number) => new Date(nowMs + hour * 3_600_000).toISOString();

beforeAll(async () => {
  service = await startService();
  client = await mqttClient(service);
});
afterAll(async () => {
  await client.endAsync();
  await service[Symbol.asyncDispose]();
});

type By = 'admin' | 'crew' | 'quality' | 'claims';
const post = (body: object, by: By) =>
  ask(service, '/api/entries', { method: 'POST', body, token: by === 'admin' ? service.token : service.roleTokens[by] });

async function say(body: object, by: By = 'crew'): Promise<number> {
  const response = await post(body, by);
  if (response.status !== 201) throw new Error(`${JSON.stringify(body)}: ${await response.text()}`);
  return ((await response.json()) as { seq: number }).seq;
}

async function expectRefused(body: object, by: By, code: string, words: RegExp): Promise<void> {
  const problem = await problemOf(await post(body, by));
  expect(problem.code).toBe(code);
  expect(problem.detail).toMatch(words);
}

async function sump(): Promise<SumpView> {
  const site = await read(service, '/api/site', SiteView);
  return SumpView.parse(site.sumps.find((one) => one.sump === 's1'));
}

async function stateOf(activity: string): Promise<string | undefined> {
  return (await sump()).activities.find((one) => one.activity === activity)?.state;
}

/** The joint's phase once the readings that it rests on have been settled. */
async function expectPhase(joint: string, phase: string): Promise<void> {
  await expect.poll(async () => (await read(service, `/api/joints/${joint}`, JointView)).phase, { timeout: 5000 }).toBe(phase);
}

const started = (activity: string, hour: number) => ({ kind: 'activity.started', sump: 's1', activity, at: at(hour) });
const done = (activity: string, hour: number) => ({ kind: 'activity.done', sump: 's1', activity, at: at(hour) });
const prep = (joint: string, hour: number) => ({
  kind: 'prep.signed',
  joint,
  at: at(hour),
  sanded: true,
  wiped: true,
  dry: true,
});
const laidUp = (joint: string, hour: number) => ({ kind: 'joint.laidUp', joint, at: at(hour) });
const inch = (value: number) => ({ value, unit: 'in' });
const waterTest = (filled: number, end: number) => ({
  kind: 'hydrotest.recorded',
  sump: 's1',
  method: 'full-height',
  fillAboveHighest: inch(4),
  filledAt: at(filled),
  startedAt: at(filled + 0.25),
  endedAt: at(filled + 1.25),
  byHand: { start: inch(40), end: inch(end), resolution: inch(0.0625) },
  waterCelsiusStart: 14,
  waterCelsiusEnd: 14,
  waterDepth: inch(44),
});

describe('one sump, from its first wipe to its backfill, over HTTP and MQTT', () => {
  test('quality gives the yard’s own schedules: half an hour to stress, one to water', async () => {
    for (const name of ['polyester-laminate', 'epoxy-pour', 'sealant-bead']) {
      const builtIn = builtInSchedules.find((schedule) => schedule.name === name);
      const stages = [
        { stage: 'stress', requiredHours: 0.5 },
        { stage: 'hydro', requiredHours: 1 },
      ];
      const law = builtIn?.law.kind === 'moisture' ? { ...builtIn.law, frontHours: 1 } : builtIn?.law;
      const given = {
        kind: 'schedule.given',
        reason: 'a trial',
        definition: { ...builtIn, version: 2, author: 'Q. Fir', stages, law },
      };
      await expectRefused(given, 'crew', 'wrong-role', /quality or admin/);
      await say(given, 'quality');
    }
  });

  test('the sump, its joints and its probes; what the probes buffered comes in', async () => {
    await say({ kind: 'sump.added', sump: 's1', label: 'North', serial: 'A-17', sequence: 'two-section-sump' });
    for (const { part, schedule } of PARTS) {
      const probe = `on-${part}`;
      const inAir = part === 'bed';
      await say({ kind: 'probe.registered', probe, role: inAir ? 'ambient' : 'material' });
      const probes = inAir ? { probes: [], ambient: probe } : { probes: [probe] };
      await say({ kind: 'joint.added', joint: part, sump: 's1', label: part, schedule, part, ...probes });
      const moist = { quantity: 'humidity', unit: '%RH', course: () => 90 } as const;
      // Warm enough for the reference of all three, 20 °C for the sealant with its guard band.
      const warm = degrees((hour) => (mild(hour) ?? 0) + 7);
      await publishPast(client, probe, inAir ? [warm, moist] : [warm], nowMs, -10, 0);
    }
    expect((await sump()).parts.map(({ part, joint }) => [part, joint])).toEqual(PARTS.map(({ part }) => [part, part]));
  });

  test('base laminate', async () => {
    await expectRefused(laidUp('base', -8.8), 'crew', 'entry-refused', /the surface of joint "base" is not signed for/);
    await say(prep('base', -9));
    expect(await stateOf('base-laminate')).toBe('ready');
    const resin = { resin: { value: 1, unit: 'quart' }, catalystMillilitres: 15 };
    await expectRefused(
      { kind: 'mix.recorded', joint: 'base', at: at(-8.9), ...resin, resinCelsius: 65 },
      'crew',
      'entry-questioned',
      /was it 65 °F, which is 18.3 °C/,
    );
    await say({ kind: 'mix.recorded', joint: 'base', at: at(-8.9), ...resin, resinCelsius: 18.3 });
    await expectRefused({ ...laidUp('inner', -8.8) }, 'crew', 'entry-refused', /"Inner epoxy pour" may not start yet/);
    await say(laidUp('base', -8.8));
    await expectPhase('base', 'hydroReady');
    expect(await stateOf('base-laminate')).toBe('done');
  });

  test('inner pour, and the cutting of penetrations', async () => {
    expect(await stateOf('cut-penetrations')).toBe('waiting');
    await say(prep('inner', -8.2));
    await say({ kind: 'mix.recorded', joint: 'inner', at: at(-8.1), resinCelsius: 20 });
    await say(laidUp('inner', -8));
    await expectPhase('inner', 'hydroReady');
    await say(started('cut-penetrations', -7.4));
    expect(await stateOf('cut-penetrations')).toBe('started');
    await expectRefused(done('cut-penetrations', -7.5), 'crew', 'entry-refused', /before its start/);
    await say(done('cut-penetrations', -7.3));
  });

  test('the upper section, bedded in sealant and laminated', async () => {
    await say(prep('bed', -7.2));
    await say(laidUp('bed', -7));
    await expectPhase('bed', 'hydroReady');
    expect(await read(service, '/api/joints/bed', JointView)).toMatchObject({ front: { beadMillimetres: 3 } });
    await say(prep('upper', -6));
    await say({
      kind: 'mix.recorded',
      joint: 'upper',
      at: at(-5.9),
      resin: { value: 950, unit: 'mL' },
      catalystMillilitres: 15,
      resinCelsius: 18,
    });
    await say(laidUp('upper', -5.8));
    await expectPhase('upper', 'hydroReady');
  });

  test('the water test: fails at 1/8 in, passes when it is repeated; backfill opens only then', async () => {
    expect(await stateOf('water-test')).toBe('ready');
    await expectRefused(waterTest(-4, 40), 'crew', 'entry-refused', /the start of "Fill and test" is not on record/);
    await say(started('water-test', -4.2));
    await expectRefused(started('backfill', -2), 'crew', 'entry-refused', /opens only after a passed water test/);
    await say(waterTest(-4, 39.875));
    expect(await stateOf('backfill')).toBe('waiting');
    await say(waterTest(-2.5, 39.9375));
    const { tests, undecided } = await sump();
    expect(tests).toMatchObject([
      { verdict: 'fail', retestOf: null, by: 'api', byHand: { nearLimit: true, temperatureMm: 0 } },
      { verdict: 'pass', retestOf: tests[0]?.seq },
    ]);
    expect(undecided).toEqual([]);
    expect(await stateOf('backfill')).toBe('ready');
  });

  test('backfill', async () => {
    await expectRefused(started('backfill', -1), 'claims', 'wrong-role', /signed in as claims/);
    await say(started('backfill', -1));
    await say(done('backfill', -0.5));
    const { activities, findings } = await sump();
    expect(activities.map(({ state }) => state)).toEqual(activities.map(() => 'done'));
    expect(findings).toEqual([]);
  });
});
