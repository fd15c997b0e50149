import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { JointView } from '../../edge/site/views/joint.ts';
import { addJoint, read, say } from '../support/api.ts';
import { mqttClient, publishReadings, temperature } from '../support/probe.ts';
import { startService, type TestService } from '../support/service.ts';
import { openTab, startBrowser } from './browser.ts';
import { faintWords } from './faint.ts';

const MINUTE_MS = 60_000;

let browser: Browser;
let service: TestService;

beforeAll(async () => {
  [browser, service] = await Promise.all([startBrowser(), startService({}, 'Robin')]);
  const nowMs = Date.now();
  await addJoint(service, { joint: 'flange', probes: ['tank', 'road'], laidUpMs: nowMs - 120 * MINUTE_MS });
  await say(service, { kind: 'probe.registered', probe: 'road', role: 'material', label: 'Road side', uncertaintyCelsius: 0.5 });
  const at = new Date(nowMs - 130 * MINUTE_MS).toISOString();
  await say(service, { kind: 'prep.signed', joint: 'flange', at, sanded: true, wiped: true, dry: true });
  const client = await mqttClient(service);
  const line = (celsius: number, untilAgo: number) =>
    Array.from({ length: (120 - untilAgo) / 5 + 1 }, (_, index) => temperature(celsius, nowMs - (120 - 5 * index) * MINUTE_MS));
  await publishReadings(client, 'tank', line(9.5, 0));
  await publishReadings(client, 'road', line(14, 30));
  await client.endAsync();
});
afterAll(async () => {
  await browser.close();
  await service[Symbol.asyncDispose]();
});

test.each(['light', 'dark'] as const)(
  'a silent probe beside one that counts is told on card, answer and page, %s',
  async (colorScheme) => {
    expect((await read(service, '/api/joints/flange', JointView)).conditions).toEqual(['silent']);
    await using tab = await openTab(browser, { colorScheme });
    const { page } = tab;
    await page.goto(service.httpUrl);
    const words = /Probe Road side \(road\) silent for 3\d min; the others count\.$/;
    await page.locator('.joint-card .why.is-silent').getByText(words).waitFor();
    await page.locator('.sump-answer .why.is-silent').getByText(words).waitFor();
    expect(await page.locator('.tag').allTextContents()).toEqual(['Probe silent']);
    expect(await page.getByText('No proof').count()).toBe(0);
    expect(await page.locator('.joint-card .likely').count()).toBe(2);
    expect((await faintWords(page)).faint).toEqual([]);

    await page.getByRole('link', { name: 'Joint flange, Sump of flange' }).click();
    await page.locator('.joint-now .why.is-silent').getByText(words).waitFor();
    await page.locator('.event-list').waitFor();
    await expect.poll(() => page.title()).toMatch(/^Joint flange, Sump of flange – /);
    expect((await faintWords(page)).faint).toEqual([]);
  },
);

test('one number says what the probe has to show for full credit', async () => {
  await using tab = await openTab(browser);
  const { page } = tab;
  await page.goto(service.httpUrl);
  // Reference 10 °C and uncertainty 0.5 °C: 50.9 °F.
  await page
    .locator('.joint-foot')
    .getByText(/in full when the probe shows 50\.9.°F$/)
    .waitFor();
  await page.goto(`${service.httpUrl}/joints/flange`);
  await page
    .locator('.joint-foot')
    .getByText(/in full when the probe shows 50\.9.°F$/)
    .waitFor();
  await page.getByText(/so the probe has to show 50\.9.°F for full credit\.$/).waitFor();
});

test('a joint opened without a link shows what is known of it, though its page cannot be fetched', async () => {
  await using tab = await openTab(browser);
  const { page, context } = tab;
  await page.goto(service.httpUrl);
  await page.getByText('Live', { exact: true }).waitFor();
  await context.setOffline(true);
  await page.getByRole('link', { name: 'Joint flange, Sump of flange' }).click();
  await page.getByText('This part could not be loaded.').waitFor();
  await page.locator('.joint-card').getByText('Polyester laminate').waitFor();
});

test('on paper the numbers stand open and nothing can be pressed', async () => {
  await using tab = await openTab(browser);
  const { page } = tab;
  await page.goto(`${service.httpUrl}/joints/flange`);
  await page.locator('.event-list').waitFor();
  await page.emulateMedia({ media: 'print' });
  await page.evaluate("dispatchEvent(new Event('beforeprint'))");
  await page.locator('.numbers').first().waitFor();
  expect(await page.locator('button:visible, .nav:visible').count()).toBe(0);
  const [table, frame] = await Promise.all([
    page.locator('.numbers').first().boundingBox(),
    page.locator('.table-frame').first().boundingBox(),
  ]);
  expect(frame?.height, 'no row is cut off').toBeGreaterThanOrEqual(table?.height ?? Number.POSITIVE_INFINITY);
  expect(await page.getByText('Sump of flange', { exact: true }).isVisible()).toBe(true);
});
