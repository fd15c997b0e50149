import type { Browser, BrowserContextOptions, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { degrees, publishPast } from '../support/past.ts';
import { mqttClient } from '../support/probe.ts';
import { DESK, openTab, PHONE, signIn, startBrowser, type Tab } from './browser.ts';
import { faintWords } from './faint.ts';
import { startRelay } from './relay.ts';
import { sheet, tap, Yard } from './yard.ts';

interface Weather {
  readonly forecast: {
    readonly seq: number;
    readonly source: string;
    readonly hours: readonly { at: number; celsius: number }[];
  } | null;
  readonly air: { readonly from: string } | null;
}

let yard: Yard;
let browser: Browser;
let page: Page;

beforeAll(async () => {
  [yard, browser] = await Promise.all([Yard.open(), startBrowser()]);
  await yard.say({ kind: 'site.described', name: 'Weather yard', timeZone: 'America/New_York' }, 'quality');
  page = await yard.phone('crew');
});
afterAll(async () => {
  await browser.close();
  await yard[Symbol.asyncDispose]();
});

async function weather(): Promise<Weather> {
  const { httpUrl, roleTokens } = yard.service;
  const response = await fetch(`${httpUrl}/api/forecast`, { headers: { authorization: `Bearer ${roleTokens.crew}` } });
  return (await response.json()) as Weather;
}

const open = (on = page, url = yard.service.httpUrl) => on.goto(`${url}/weather`);
const fill = async (low: string, high: string) => {
  await page.getByLabel(/^Low.*, °F$/).fill(low);
  await page.getByLabel('High, °F', { exact: true }).fill(high);
};

test('without a forecast and without air no time can be named; with air the last day is taken to repeat', async () => {
  await open();
  await page.getByText('There are no readings of the air either, so no time can be named.', { exact: false }).waitFor();
  await page.getByText('Nothing to draw yet: no reading of the air and no forecast.').waitFor();

  await yard.say({ kind: 'probe.registered', probe: 'air', role: 'ambient' });
  const client = await mqttClient(yard.service);
  await publishPast(client, 'air', [degrees((hour) => 5 + 4 * Math.sin((hour / 12) * Math.PI))], yard.nowMs, -30, 0);
  await client.endAsync();
  await expect.poll(async () => (await weather()).air?.from).toBe('persistence');
  await open();
  await page.getByText('No forecast. Without a forecast the last day is taken to repeat.').waitFor();
  await page.getByText('To come, the last day repeated').waitFor();
  await page.getByText(/^In the next 24 h coldest about \d+\.\d.°F, \w+ \d\d:[03]0; warmest about/).waitFor();
});

describe('lows and highs', () => {
  test('that are no weather stand as faults beside their fields, and nothing is sent', async () => {
    await fill('41', '28');
    await tap(page, 'Save this forecast');
    await page.locator('[data-path$=".high"]').getByText('The high is below the low').waitFor();
    await fill('cold', '28');
    await tap(page, 'Save this forecast');
    await page.locator('[data-path$=".low"]').getByText('Give a number').waitFor();
    expect((await weather()).forecast).toBeNull();
  });

  test('are drawn before they are saved, gone by afterwards, and taken back by undo', async () => {
    await fill('28', '41');
    await page.getByText('As typed below, not saved yet').waitFor();
    await page.getByText(/^As typed: coldest 28\.\d.°F, \w+ 06:00; warmest 41\.\d.°F, \w+ 15:00\.$/).waitFor();
    expect((await weather()).forecast).toBeNull();

    await page.getByLabel('Where it comes from').fill('Airport');
    await tap(page, 'Save this forecast');
    await page.getByText('Recorded: a forecast of lows and highs.').waitFor();
    await page.getByText('To come, by the forecast').waitFor();
    await page.getByText(/^\d+ s ago, by Robin$/).waitFor();
    const { forecast } = await weather();
    expect(forecast?.source).toBe('Airport');
    const celsius = forecast?.hours.map((hour) => hour.celsius) ?? [];
    // 28 °F and 41 °F.
    expect(Math.min(...celsius.slice(-24))).toBeCloseTo(-2.2, 1);
    expect(Math.max(...celsius.slice(-24))).toBe(5);

    await tap(page, 'Undo');
    await page.getByText('No forecast. Without a forecast the last day is taken to repeat.').waitFor();
    expect((await weather()).forecast).toBeNull();
  });
});

describe('a file', () => {
  const at = (hours: number) => new Date(yard.nowMs + hours * 3_600_000).toISOString();

  test('is taken hour by hour, and the lines that were not are told', async () => {
    const lines = ['time,fahrenheit', ...[0, 3, 6, 9].map((hours) => `${at(hours)},${40 - hours}`), `${at(12)},mild`];
    await page
      .getByLabel('File', { exact: true })
      .setInputFiles({ name: 'radio.csv', mimeType: 'text/csv', buffer: Buffer.from(lines.join('\n')) });
    await tap(page, 'Bring it in');
    await page.getByText('4 hours were taken.').waitFor();
    await page.getByText('1 line was not taken:').waitFor();
    await page.getByText(/^Line 6: /).waitFor();
    await expect.poll(async () => (await weather()).forecast?.hours.length).toBe(4);
    expect((await weather()).forecast?.hours[0]?.celsius).toBeCloseTo(4.4, 1);
  });

  test('that is no forecast is refused in words', async () => {
    await page
      .getByLabel('File', { exact: true })
      .setInputFiles({ name: 'x.json', mimeType: 'application/json', buffer: Buffer.from('{"hours":[]}') });
    await tap(page, 'Bring it in');
    await page.getByRole('alert').filter({ hasText: /\w/ }).first().waitFor();
    expect((await weather()).forecast?.hours.length).toBe(4);
  });

  test('that is no text at all is called that, without its bytes', async () => {
    await page
      .getByLabel('File', { exact: true })
      .setInputFiles({ name: 'photo.csv', mimeType: 'text/csv', buffer: Buffer.from([0x89, 0x50, 0x4e, 0x47, 0, 1, 2]) });
    await tap(page, 'Bring it in');
    await page.getByRole('alert').getByText('This is no CSV or JSON file.').waitFor();
  });

  test('without an offset in its times is shown what was written and how to write it, as it is to be typed', async () => {
    await page
      .getByLabel('File', { exact: true })
      .setInputFiles({ name: 'x.csv', mimeType: 'text/csv', buffer: Buffer.from('time,celsius\n2026-11-25 13:00:00,4\n') });
    await tap(page, 'Bring it in');
    await page
      .getByText('Line 2: time "2026-11-25 13:00:00" has no offset; write it as in 2026-01-15T14:30:00-08:00, or with Z for UTC')
      .waitFor();
  });

  test('is taken back with a reason', async () => {
    await open();
    await tap(page, 'Remove this forecast');
    await sheet(page).getByLabel('Reason').fill('Wrong place');
    await tap(page, 'Yes, remove it');
    await page.getByText('No forecast. Without a forecast the last day is taken to repeat.').waitFor();
    expect((await weather()).forecast).toBeNull();
  });
});

test.each(['light', 'dark'] as const)(
  'outdoors, %s: every word stands out, and nothing runs off the side',
  async (colorScheme) => {
    await using tab = await tabAt({ ...PHONE, colorScheme });
    const { looked, faint } = await faintWords(tab.page);
    expect(faint).toEqual([]);
    expect(looked).toBeGreaterThan(40);
    expect(await tab.page.evaluate<number>('document.documentElement.scrollWidth')).toBeLessThanOrEqual(PHONE.viewport.width);
  },
);

test.each([PHONE, DESK])('everything that can be tapped is big enough for a glove', async (options) => {
  await using tab = await tabAt(options);
  const targets = tab.page.locator('main').locator('a:visible, button:visible, summary:visible, input:visible, select:visible');
  const boxes = await Promise.all((await targets.all()).map((target) => target.boundingBox()));
  expect(boxes.length).toBeGreaterThan(8);
  expect(Math.min(...boxes.map((box) => box?.height ?? 0))).toBeGreaterThanOrEqual(56);
});

test('the way leads back to Now, and on to what it means for each sump', async () => {
  await yard.say({ kind: 'sump.added', sump: 's1', label: 'North' });
  await open();
  expect(await page.getByRole('link', { name: 'Plan: North' }).getAttribute('href')).toBe('/plan/s1');
  await page.locator('.back').click();
  await page.locator('.forecast-line').waitFor();
});

test('with the link down the page stays, and says of when it is', async () => {
  await using relay = await startRelay(yard.service.httpUrl);
  const own = await yard.phone('crew', relay.url);
  await open(own, relay.url);
  await own.getByText('What we go by').waitFor();
  relay.cut();
  await own.getByText(/^No connection: this was so \w+ \d\d:\d\d, \d+ (s|min \d\d s) ago\.$/).waitFor();
  await own.getByText('Measured in two days', { exact: false }).waitFor();
  expect(await own.getByRole('button', { name: 'Save this forecast' }).isDisabled()).toBe(true);
  await own.getByText('A forecast can be given once the connection is back.').first().waitFor();

  // Whoever comes back to it finds the last that was known, and nothing that loads for ever.
  await own.getByRole('link', { name: 'Now' }).first().click();
  await own.locator('.forecast-line a').click();
  await own.getByText(/^No connection: this was so/).waitFor();
  await own.getByText('What we go by').waitFor();
  expect(yard.faults).toEqual([]);
});

/** A tab of its own, at which the page has come to rest. */
async function tabAt(options: BrowserContextOptions): Promise<Tab> {
  const tab = await openTab(browser, options);
  await signIn(tab.page, yard.service.httpUrl, yard.service.roleTokens.crew);
  await open(tab.page);
  await tab.page.getByText('How far off it may be').waitFor();
  return tab;
}
