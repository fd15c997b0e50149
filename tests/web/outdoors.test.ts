import { gzipSync } from 'node:zlib';
import type { Browser, Response } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { addJoint, say } from '../support/api.ts';
import { mqttClient, publishReadings, temperature } from '../support/probe.ts';
import { startService, type TestService } from '../support/service.ts';
import { openTab, PHONE, startBrowser, type Tab } from './browser.ts';
import { faintWords } from './faint.ts';
import { startRelay } from './relay.ts';

const HOUR_MS = 3_600_000;
/** A gloved fingertip, CSS px. */
const TOUCH_PX = 56;
/** What a first look may cost on a poor link. */
const FIRST_LOAD_BYTES_MOST = 40_000;

let browser: Browser;
let service: TestService;

beforeAll(async () => {
  [browser, service] = await Promise.all([startBrowser(), startService({}, 'Robin')]);
  const nowMs = Date.now();
  await addJoint(service, { joint: 'done', probes: ['p1'], laidUpMs: nowMs - 30 * HOUR_MS });
  await addJoint(service, { joint: 'warm', probes: ['p2'], laidUpMs: nowMs - 2 * HOUR_MS });
  await addJoint(service, { joint: 'cold', probes: ['p3'], laidUpMs: nowMs - 2 * HOUR_MS });
  await addJoint(service, { joint: 'silent', probes: ['p4'], laidUpMs: nowMs - 2 * HOUR_MS });
  await addJoint(service, { joint: 'planned', probes: ['p5'] });
  await say(service, { kind: 'sump.added', sump: 'bare', label: 'Bare sump' });
  const client = await mqttClient(service);
  const line = (celsius: number, fromHours: number, toHours: number) => {
    const records = [];
    for (let atMs = nowMs - fromHours * HOUR_MS; atMs <= nowMs - toHours * HOUR_MS; atMs += HOUR_MS / 12)
      records.push(temperature(celsius + (records.length % 2) / 10, atMs));
    return records;
  };
  await publishReadings(client, 'p1', line(14, 30, 0));
  await publishReadings(client, 'p2', line(14, 2, 0));
  await publishReadings(client, 'p3', line(2, 2, 0));
  await publishReadings(client, 'p4', line(14, 2, 1));
  await client.endAsync();
});
afterAll(async () => {
  await browser.close();
  await service[Symbol.asyncDispose]();
});

async function openNow(colorScheme: 'light' | 'dark', url = service.httpUrl): Promise<Tab> {
  const tab = await openTab(browser, { ...PHONE, colorScheme });
  await tab.page.goto(url);
  for (const words of ['Ready for water test', 'Too cold', 'No proof', 'Laid up now', 'No joints yet'])
    await tab.page.getByText(words).first().waitFor();
  return tab;
}

describe.each(['light', 'dark'] as const)('the Now page outdoors, %s', (scheme) => {
  test('every word on it has contrast enough for glare', async () => {
    await using tab = await openNow(scheme);
    const { looked, faint } = await faintWords(tab.page);
    expect(faint).toEqual([]);
    expect(looked).toBeGreaterThan(60);
  });

  test('so has every word of a stale page', async () => {
    await using relay = await startRelay(service.httpUrl);
    await using tab = await openNow(scheme, relay.url);
    relay.cut();
    await tab.page.getByText(/^No connection since/).waitFor();
    const { looked, faint } = await faintWords(tab.page);
    expect(faint).toEqual([]);
    expect(looked).toBeGreaterThan(60);
  });
});

test('everything that can be tapped on it is big enough for a glove, and nothing runs off the side', async () => {
  await using tab = await openNow('light');
  const targets = tab.page.locator('a:visible:not(.skip, .joint-link), button:visible, summary:visible, .joint-card');
  const boxes = await Promise.all((await targets.all()).map((target) => target.boundingBox()));
  const heights = boxes.map((box) => box?.height ?? 0);
  expect(heights.length).toBeGreaterThan(10);
  expect(Math.min(...heights)).toBeGreaterThanOrEqual(TOUCH_PX);
  expect(await tab.page.evaluate<number>('document.documentElement.scrollWidth')).toBeLessThanOrEqual(PHONE.viewport.width);
});

test('the first look is small and asks nobody but the service', async () => {
  // Nothing is to be feared here yet: what a warning takes comes after the first look.
  await using service = await startService({}, 'Robin');
  await addJoint(service, { joint: 'warm', probes: ['p1'], laidUpMs: Date.now() - 2 * HOUR_MS });
  const client = await mqttClient(service);
  await publishReadings(client, 'p1', [temperature(14, Date.now() - HOUR_MS / 60), temperature(14, Date.now())]);
  await client.endAsync();
  await using tab = await openTab(browser);
  const asked: { readonly url: string; readonly bytes: number }[] = [];
  const bodies: Promise<void>[] = [];
  const take = (response: Response) => {
    if (response.url().includes('/api/')) return;
    bodies.push(response.body().then((body) => void asked.push({ url: response.url(), bytes: gzipSync(body).length })));
  };
  tab.page.on('response', take);
  const outside: string[] = [];
  tab.page.on('request', (request) => {
    if (new URL(request.url()).origin !== service.httpUrl) outside.push(request.url());
  });
  await tab.page.goto(service.httpUrl);
  await tab.page.locator('.joint-card').first().waitFor();
  tab.page.off('response', take);
  await Promise.all(bodies);
  expect(outside).toEqual([]);
  expect(asked.some(({ url }) => url.endsWith('.js'))).toBe(true);
  expect(asked.some(({ url }) => url.endsWith('.css'))).toBe(true);
  expect(asked.reduce((sum, { bytes }) => sum + bytes, 0)).toBeLessThan(FIRST_LOAD_BYTES_MOST);
});
