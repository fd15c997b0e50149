import type { MqttClient } from 'mqtt';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { JointView } from '../../edge/site/views/joint.ts';
import { read } from '../support/api.ts';
import { mqttClient, publishReadings, temperature } from '../support/probe.ts';
import { startService, type TestService } from '../support/service.ts';
import { openTab, PHONE, signIn, startBrowser, type Tab } from './browser.ts';
import { strokes } from './strokes.ts';

const MINUTE_MS = 60_000;
const HOSTILE = '<img src=x onerror="window.broken=1"> flange';

let browser: Browser;
let service: TestService;
let probe: MqttClient;
let tab: Tab;

beforeAll(async () => {
  [browser, service] = await Promise.all([startBrowser(), startService()]);
  probe = await mqttClient(service);
  tab = await openTab(browser);
});

afterAll(async () => {
  await tab[Symbol.asyncDispose]();
  await browser.close();
  await probe.endAsync();
  await service[Symbol.asyncDispose]();
});

/** One reading a minute between two moments, minutes ago. */
const minutely = (nowMs: number, fromAgo: number, toAgo: number, celsius: number) =>
  Array.from({ length: fromAgo - toAgo + 1 }, (_, index) => temperature(celsius, nowMs - (fromAgo - index) * MINUTE_MS));

// One story, told in order: each step needs the one before.
test('from nothing to a joint whose hours move on the page', { timeout: 90_000 }, async () => {
  const { page } = tab;

  await page.goto(service.httpUrl);
  await page.getByLabel('Your name').fill('Robin');
  await page.getByLabel('Access token').fill('not the token');
  await page.getByRole('button', { name: 'Sign in' }).click();
  await page.getByText('That access token is not valid here').waitFor();
  await signIn(page, service.httpUrl, service.token);

  await page.getByText('Name this site first').waitFor();
  await page.getByLabel('Name of the site').fill('Test yard');
  await page.getByLabel('Time zone of the site').fill('Mars/Base');
  await page.getByRole('button', { name: 'Save the site' }).click();
  // The fault stands beside its field.
  const zone = page.locator('.field', { has: page.getByLabel('Time zone of the site') });
  await zone.getByText('use an IANA time zone, such as America/Chicago').waitFor();
  await page.getByLabel('Time zone of the site').fill('Asia/Kathmandu');
  await page.getByRole('button', { name: 'Save the site' }).click();
  await page.getByRole('banner').getByText('Test yard').waitFor();
  // 5 h 45 min off UTC: no other zone would show these minutes.
  const shown = (await page.locator('.link-clock').textContent())?.slice(0, 5);
  const inKathmandu = new Intl.DateTimeFormat('en-US', {
    timeZone: 'Asia/Kathmandu',
    hour: '2-digit',
    minute: '2-digit',
    hourCycle: 'h23',
  });
  expect([inKathmandu.format(Date.now()), inKathmandu.format(Date.now() - MINUTE_MS)]).toContain(shown);

  await page.getByRole('heading', { name: 'No sump yet' }).and(page.locator(':focus')).waitFor();
  await page.getByRole('link', { name: 'Create a sump' }).click();
  await page.getByLabel('Name of the sump').fill('Tank 2 fill sump');
  await page.getByText('Identifier: tank-2-fill-sump').waitFor();
  await page.getByRole('button', { name: 'Create the sump' }).click();
  await page.getByRole('heading', { name: 'Tank 2 fill sump' }).and(page.locator(':focus')).waitFor();

  await page.getByRole('button', { name: 'Add a joint' }).click();
  await page.getByLabel('Name of the joint').fill(HOSTILE);
  await page.getByRole('radio', { name: /Polyester laminate/ }).check();
  await page.getByRole('button', { name: 'Create the joint' }).click();
  await page.getByRole('link', { name: HOSTILE }).waitFor();

  // A stranger speaks; the page hears of it by itself.
  await publishReadings(probe, 'b1', [temperature(15)]);
  await page.getByRole('button', { name: 'On the material' }).click();
  await page.getByLabel('Put on a joint').selectOption({ index: 1 });
  expect(await page.getByRole('dialog').count(), 'choosing alone does nothing').toBe(0);
  await page.getByRole('button', { name: 'Put on', exact: true }).click();
  await page.getByRole('button', { name: 'Assign' }).click();
  await page.getByText(`On ${HOSTILE} (Tank 2 fill sump)`).waitFor();

  await page.getByRole('link', { name: 'Now', exact: true }).click();
  await page.getByText(`No time can be named: ${HOSTILE} is not laid up yet.`).waitFor();
  await page.evaluate('window.sameDocument = true');
  await page.getByRole('button', { name: 'Laid up now' }).click();
  for (let hours = 0; hours < 3; hours++) await page.getByRole('button', { name: '1 h earlier' }).click();
  await page.getByRole('button', { name: /^Yes, laid up at/ }).click();
  await page.locator('.phase-name', { hasText: 'Curing' }).waitFor();

  const stress = page.locator('.stage', { hasText: 'Stress' });
  expect(await stress.locator('.stage-hours').textContent()).toBe('0.0 of 12 h');

  // Three hours of readings, an hour of them missing: two warm hours, and neither more nor less.
  const nowMs = Date.now();
  await publishReadings(probe, 'b1', [...minutely(nowMs, 181, 120, 16), ...minutely(nowMs, 60, 0, 16)]);
  await stress.getByText(/^(1\.9|2\.0)$/).waitFor();
  const view = await read(service, '/api/joints/img-src-x-onerror-window-broken-1-flange', JointView);
  expect(view.warmHours).toBeCloseTo(2, 1);
  expect(view.unprovenHours).toBeCloseTo(1, 1);
  await page.getByText('60.8').first().waitFor();

  const age = page.locator('.joint-card .age');
  const before = await age.textContent();
  await expect.poll(() => age.textContent(), { timeout: 5000 }).not.toBe(before);

  await publishReadings(probe, 'b1', [temperature(3)]);
  await page.locator('.reading-value', { hasText: '37.4' }).waitFor();
  // Floor 5 °C and guard 0.5 °C: 41.9 °F; reference 10 °C and guard: 50.9 °F.
  await page.getByText(/Hours count again when the probe shows 41\.9.°F, and in full when it shows 50\.9.°F/).waitFor();
  expect(await page.evaluate('window.sameDocument')).toBe(true);
});

test('the chart leaves the gap open, in the drawing as in the table', async () => {
  const { page } = tab;
  await page.getByRole('link', { name: HOSTILE }).click();
  await page.getByText('Times are those of the site: Asia/Kathmandu.').waitFor();
  await page.getByText('One gap without readings.').waitFor();

  await page.getByText('The numbers behind the drawing').click();
  const readings = page.locator('.numbers').first();
  await readings.getByText('no reading', { exact: true }).first().waitFor();
  expect(await readings.getByText('no reading', { exact: true }).count()).toBe(1);
  expect(await page.locator('.numbers').last().getByText('No proof: no credit').count()).toBe(1);

  expect(await page.evaluate<number>('document.documentElement.scrollWidth')).toBeLessThanOrEqual(PHONE.viewport.width);

  // What lies ahead would take most of the drawing.
  await page.getByLabel('What lies ahead', { exact: true }).uncheck();
  await page.getByText('What it rests on').waitFor({ state: 'detached' });
  // 60.8 °F runs in the upper third, clear of the levels at 50.9 and 41.9 °F and of the marks at the rim.
  const curve = (await strokes(page, { fromShare: 0.08, toShare: 0.3 })).filter(([from, to]) => to - from > 20);
  expect(curve).toHaveLength(2);
  const [[start, holeStart], [holeEnd, end]] = curve as [[number, number], [number, number]];
  expect((holeEnd - holeStart) / (end - start)).toBeCloseTo(1 / 3, 1);
});

test('a note and a hostile label are text and nothing else', async () => {
  const { page, faults } = tab;
  await page.getByRole('button', { name: 'Add a note' }).click();
  await page.getByRole('textbox', { name: 'Note' }).fill('<script>window.broken=2</script>\n<b>bold</b>');
  await page.getByRole('button', { name: 'Put the note on record' }).click();
  await page.getByText('<b>bold</b>').waitFor();
  await page.getByText('by Robin').first().waitFor();
  for (const path of ['/', '/setup']) {
    await page.goto(`${service.httpUrl}${path}`);
    await page.getByText(HOSTILE).first().waitFor();
    expect(await page.locator('img, b b').count(), path).toBe(0);
  }
  expect(await page.evaluate('window.broken')).toBeUndefined();
  expect(faults).toEqual([]);
});

test('signing out leaves nothing on the page', async () => {
  const { page } = tab;
  await page.goto(`${service.httpUrl}/settings`);
  await page.getByRole('button', { name: 'Sign out' }).click();
  await page.getByLabel('Access token').waitFor();
  expect(await page.getByText('Test yard').count()).toBe(0);
  await page.goto(service.httpUrl);
  await page.getByLabel('Access token').waitFor();
});
