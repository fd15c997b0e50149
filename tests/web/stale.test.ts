import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { addJoint, say } from '../support/api.ts';
import { mqttClient, publishReadings, temperature } from '../support/probe.ts';
import { type SpawnedService, spawnService } from '../support/service.ts';
import { openTab, signIn, startBrowser } from './browser.ts';
import { startRelay } from './relay.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;

let browser: Browser;

beforeAll(async () => {
  browser = await startBrowser();
});
afterAll(() => browser.close());

/** A service with a joint that is done, one that cures, and one whose probe has been silent for 20 minutes. */
async function yard(): Promise<SpawnedService> {
  const service = await spawnService();
  const nowMs = Date.now();
  await addJoint(service, { joint: 'done', probes: ['p-done'], laidUpMs: nowMs - 30 * HOUR_MS });
  const signed = { sanded: true, wiped: true, dry: true };
  await say(service, { kind: 'prep.signed', joint: 'done', at: new Date(nowMs - 31 * HOUR_MS).toISOString(), ...signed });
  await addJoint(service, { joint: 'curing', probes: ['p-curing'], laidUpMs: nowMs - 2 * HOUR_MS });
  await addJoint(service, { joint: 'silent', probes: ['p-silent'], laidUpMs: nowMs - 2 * HOUR_MS });
  const client = await mqttClient(service);
  const readings = (fromMs: number, toMs: number) => {
    const records = [];
    for (let atMs = fromMs; atMs <= toMs; atMs += 5 * MINUTE_MS) records.push(temperature(14 + (records.length % 2) / 10, atMs));
    return records;
  };
  await publishReadings(client, 'p-done', readings(nowMs - 30 * HOUR_MS, nowMs));
  await publishReadings(client, 'p-curing', readings(nowMs - 2 * HOUR_MS, nowMs));
  await publishReadings(client, 'p-silent', readings(nowMs - 2 * HOUR_MS, nowMs - 20 * MINUTE_MS));
  await client.endAsync();
  return service;
}

describe('a page whose service dies', () => {
  test('says so, greys every number and tells a ready state as past', { timeout: 60_000 }, async () => {
    await using service = await yard();
    await using tab = await openTab(browser);
    const { page } = tab;
    await signIn(page, service.httpUrl, service.token);

    const done = page.locator('.joint-card', { hasText: 'Joint done' });
    const answer = page.locator('.sump', { hasText: 'Sump of done' }).locator('.answer');
    await done.getByText('Ready for water test').waitFor();
    await page
      .locator('.joint-card .likely', { hasText: /^Likely / })
      .nth(1)
      .waitFor();
    expect(await answer.textContent()).toBe('Hours reached');
    expect(await page.getByText('No connection since').count()).toBe(0);
    const colour = () => page.evaluate<string>("getComputedStyle(document.querySelector('.stage-hours b')).color");
    const fresh = await colour();

    await service.kill();
    await page.getByText(/^No connection since/).waitFor();
    await page.getByText(/What you see is \d+ s old/).waitFor();
    expect(await answer.textContent()).toBe('No live answer');
    await page.getByText(/hours of all joints were reached/).waitFor();
    await done.getByText('Was: ready for water test').waitFor();
    expect(await done.getByText(/^was reached/).count()).toBe(2);
    expect(await page.getByText('Ready for water test', { exact: true }).count()).toBe(0);
    expect(await page.locator('.joint-card .stage-when').count(), 'no time is named as of now').toBe(0);
    const ahead = await page.locator('.joint-card .likely').allTextContents();
    expect(ahead.length, 'what lay ahead of the joint that cures').toBe(2);
    for (const said of ahead) expect(said).toMatch(/^Last heard: Likely /);
    expect(await colour()).not.toBe(fresh);
    expect(await page.locator('.joint-card:not(.is-stale)').count()).toBe(0);
  });
});

describe('a link that falls silent without closing', () => {
  test('is noticed by the missing beats, and comes back by itself', { timeout: 90_000 }, async () => {
    await using service = await yard();
    await using relay = await startRelay(service.httpUrl);
    await using tab = await openTab(browser);
    const { page } = tab;
    await signIn(page, relay.url, service.token);
    await page.locator('.joint-card').first().waitFor();

    relay.hush();
    await page.getByText(/^No connection since/).waitFor({ timeout: 25_000 });
    expect(await page.getByText('Hours reached').count()).toBe(0);

    relay.mend();
    await page.getByText('Live', { exact: true }).waitFor({ timeout: 40_000 });
    await page.getByText('Hours reached').first().waitFor();
    expect(await page.getByText(/^No connection since/).count()).toBe(0);
  });
});

describe('a probe that fell silent', () => {
  test('earns nothing, shows its age in place of a time, and leaves its neighbours alone', { timeout: 60_000 }, async () => {
    await using service = await yard();
    await using tab = await openTab(browser);
    const { page } = tab;
    await signIn(page, service.httpUrl, service.token);
    const silent = page.locator('.joint-card', { hasText: 'Joint silent' });
    await silent
      .getByText(/Nothing is credited: no reading for more than 15 min\. The last one came 2\d min \d\d s ago\./)
      .waitFor();
    expect(await silent.getByText('No proof').count()).toBe(1);
    expect(await silent.locator(':is(.stage-when, .likely)').count()).toBe(0);
    const curing = page.locator('.joint-card', { hasText: 'Joint curing' });
    expect(await curing.locator('.likely').count()).toBe(2);
    expect(await curing.getAttribute('class')).not.toContain('is-stale');
  });

  test('is as old as it is, whatever the phone thinks the time to be', { timeout: 60_000 }, async () => {
    await using service = await yard();
    await using tab = await openTab(browser);
    const { page } = tab;
    await page.addInitScript(`{ const real = Date.now; Date.now = () => real() + ${3 * DAY_MS}; }`);
    await signIn(page, service.httpUrl, service.token);
    const age = (joint: string) => page.locator('.joint-card', { hasText: joint }).locator('.age').textContent();
    await page.locator('.joint-card').first().waitFor();
    expect(await age('Joint curing')).toMatch(/^(\d+ s|[01] min \d\d s) ago$/);
    expect(await age('Joint silent')).toMatch(/^2\d min \d\d s ago$/);
  });
});
