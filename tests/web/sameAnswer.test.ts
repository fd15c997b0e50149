import type { MqttClient } from 'mqtt';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { JointView } from '../../edge/site/views/joint.ts';
import type { CureReport } from '../../edge/verbs/cureReport.ts';
import { file, run } from '../cli/runCure.ts';
import { read, say } from '../support/api.ts';
import { mqttClient, publishReadings } from '../support/probe.ts';
import { startService, type TestService } from '../support/service.ts';
import { DESK, openTab, startBrowser, type Tab } from './browser.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
/** What is taken off each reading, for the service and for the command line. */
const GUARD_CELSIUS = 0.4;
const GUARD_PERCENT = 4;
const BEAD_MM = 2;

interface Reading {
  readonly ms: number;
  readonly celsius: number;
  readonly percent: number;
}

let browser: Browser;
let service: TestService;
let client: MqttClient;
let tab: Tab;
const nowMs = Math.floor(Date.now() / 1000) * 1000;
const laidUpMs = nowMs - 46 * HOUR_MS + 12_345;
const readings = winter();

/** Warm and cold, damp and dry, uneven steps, an hour of silence, and fractions that no step of a table meets. */
function winter(): Reading[] {
  const all: Reading[] = [];
  for (let index = 0, ms = nowMs - 47 * HOUR_MS; ms <= nowMs; index++, ms += (3 + (index % 4)) * MINUTE_MS + (index % 7) * 250) {
    const hour = (ms - nowMs) / HOUR_MS;
    if (hour > -30 && hour < -29) continue;
    const celsius = Math.round((13 + 9 * Math.sin(hour / 3.7) + (index % 5) * 0.0137) * 1000) / 1000;
    const percent = Math.round((70 + 22 * Math.cos(hour / 5.3) + (index % 3) * 0.21) * 1000) / 1000;
    all.push({ ms, celsius, percent });
  }
  return all;
}

beforeAll(async () => {
  [browser, service] = await Promise.all([startBrowser(), startService({}, 'Robin')]);
  client = await mqttClient(service);
  const guards = { uncertaintyCelsius: GUARD_CELSIUS, sensor: { kind: 'digital' } };
  await say(service, { kind: 'probe.registered', probe: 'skin', role: 'material', ...guards });
  await say(service, {
    kind: 'probe.registered',
    probe: 'air',
    role: 'ambient',
    humidityUncertaintyPercent: GUARD_PERCENT,
    ...guards,
  });
  await say(service, { kind: 'sump.added', sump: 's1', label: 'Sump' });
  const joint = { kind: 'joint.added', sump: 's1' };
  await say(service, { ...joint, joint: 'wrap', label: 'Wrap', schedule: 'polyester-laminate', probes: ['skin'] });
  const bead = { schedule: 'sealant-bead', probes: [], ambient: 'air', beadMillimetres: BEAD_MM };
  await say(service, { ...joint, joint: 'bead', label: 'Bead', ...bead });
  for (const name of ['wrap', 'bead'])
    await say(service, { kind: 'joint.laidUp', joint: name, at: new Date(laidUpMs).toISOString() });
  for (let first = 0; first < readings.length; first += 100) {
    const part = readings.slice(first, first + 100);
    const degrees = part.map(({ ms, celsius }) => ({ n: 'temperature', u: 'Cel', v: celsius, t: ms / 1000 }));
    const damp = part.map(({ ms, percent }) => ({ n: 'humidity', u: '%RH', v: percent, t: ms / 1000 }));
    await publishReadings(client, 'skin', degrees);
    await publishReadings(client, 'air', [...degrees, ...damp]);
  }
  tab = await openTab(browser, DESK);
});
afterAll(async () => {
  await tab[Symbol.asyncDispose]();
  await browser.close();
  await client.endAsync();
  await service[Symbol.asyncDispose]();
});

/** The joint once every reading is counted. */
async function settled(name: string): Promise<JointView> {
  const ask = () => read(service, `/api/joints/${name}`, JointView);
  const lastMs = readings.at(-1)?.ms;
  await expect.poll(async () => Date.parse((await ask()).provenUntil ?? ''), { timeout: 5000 }).toBe(lastMs);
  return ask();
}

/** What the joint's page counts by a schedule, the joint's own unless it is named. */
async function inBrowser(
  page: Page,
  name: string,
  schedule?: RegExp,
): Promise<{ warmHours: number; reached: Record<string, number> }> {
  await page.goto(`${service.httpUrl}/joints/${name}`);
  await page.getByText('What would another rule say?').click();
  const choice = page.getByLabel('Schedule', { exact: true });
  await choice.locator('option', { hasText: 'The joint’s own' }).waitFor({ state: 'attached' });
  if (schedule !== undefined) {
    const options = await choice.locator('option').allTextContents();
    await choice.selectOption({ index: options.findIndex((option) => schedule.test(option)) });
  }
  await page.getByRole('button', { name: 'Count', exact: true }).click();
  const hours = await page.locator('.what-if-hours').getAttribute('data-warm-hours');
  const stages = await page.locator('[data-stage]').all();
  const reached = await Promise.all(
    stages.map(
      async (stage): Promise<[string, number]> => [
        (await stage.getAttribute('data-stage')) ?? '',
        Number((await stage.getAttribute('data-reached-ms')) || Number.NaN),
      ],
    ),
  );
  return { warmHours: Number(hours), reached: Object.fromEntries(reached) };
}

async function byCommand(schedule: string, ...options: string[]): Promise<CureReport> {
  const rows = readings.map(({ ms, celsius, percent }) => `${new Date(ms).toISOString()},${celsius},${percent}`);
  const path = file(['time,celsius,humidity', ...rows].join('\n'));
  const from = ['--from', new Date(laidUpMs).toISOString(), '--guard-celsius', String(GUARD_CELSIUS)];
  const { code, out, err } = await run(path, '--schedule', schedule, '--json', ...from, ...options);
  expect({ code, err }).toEqual({ code: 0, err: [] });
  return JSON.parse(out[0] as string) as CureReport;
}

const reachedIn = (stages: readonly { readonly stage: string; readonly reachedAt: string | null }[]) =>
  Object.fromEntries(stages.map(({ stage, reachedAt }) => [stage, Date.parse(reachedAt ?? '')]));

test.each([
  ['a laminate', 'wrap', 'polyester-laminate', []],
  [
    'a sealant by temperature and humidity',
    'bead',
    'sealant-bead',
    ['--bead-mm', String(BEAD_MM), '--guard-humidity', String(GUARD_PERCENT)],
  ],
] as const)('the service, the browser and the command count the same to the last bit: %s', async (_, name, schedule, options) => {
  const view = await settled(name);
  const report = await byCommand(schedule, ...options);
  const page = await inBrowser(tab.page, name);
  expect(view.warmHours).toBeGreaterThan(12);
  expect(view.warmHours).toBeLessThan(view.clockHours - 1);
  expect(Object.values(reachedIn(view.stages)).some((ms) => ms > laidUpMs)).toBe(true);
  expect(report.warmHours).toBe(view.warmHours);
  expect(page.warmHours).toBe(view.warmHours);
  expect(reachedIn(report.stages)).toEqual(reachedIn(view.stages));
  expect(page.reached).toEqual(reachedIn(view.stages));
  expect(tab.faults).toEqual([]);
});

test('another rule on the page is that rule on the command line', async () => {
  const report = await byCommand('laminate-strict');
  const page = await inBrowser(tab.page, 'wrap', /strict workshop/);
  expect(page.warmHours).toBe(report.warmHours);
  expect(page.reached).toEqual(reachedIn(report.stages));
  expect(page.warmHours).toBeLessThan((await settled('wrap')).warmHours);
});
