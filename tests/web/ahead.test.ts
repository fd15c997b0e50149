import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import type { Browser, Page, Response } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { Ledger } from '../../edge/ledger/ledger.ts';
import type { SystemStatement } from '../../edge/site/entries.ts';
import { JointView } from '../../edge/site/views/joint.ts';
import { SiteView } from '../../edge/site/views/site.ts';
import { read, say } from '../support/api.ts';
import { degrees, publishPast } from '../support/past.ts';
import { mqttClient } from '../support/probe.ts';
import { startService, type TempFolder, type TestService, tempFolder } from '../support/service.ts';
import { openTab, PHONE, startBrowser, type Tab } from './browser.ts';
import { faintWords } from './faint.ts';
import { startRelay } from './relay.ts';
import { sheet, tap } from './yard.ts';

const HOUR_MS = 3_600_000;
const TOUCH_PX = 56;
/** What is fetched for warnings, bookings and heat stays within a few kB beyond the first look. */
const BYTES_MOST = 48_000;
const nowMs = Date.now();
const at = (hours: number) => new Date(nowMs + hours * HOUR_MS).toISOString();

const COLD = `cold-ahead:upper:${nowMs}`;
const RISK = `booking-at-risk:pit:${nowMs}`;

let browser: Browser;
let folder: TempFolder;
let service: TestService;
let tab: Tab;
let page: Page;

/** A sump whose only joint cures in the cold, with a water test booked too early. */
async function setUp(): Promise<number> {
  await using first = await startService({ dataFolder: folder.path });
  await say(first, { kind: 'site.described', name: 'Yard', timeZone: 'America/Denver' });
  await say(first, { kind: 'sump.added', sump: 'pit', label: 'Pit sump' });
  await say(first, { kind: 'probe.registered', probe: 'p1', role: 'material' });
  await say(first, { kind: 'probe.registered', probe: 'air', role: 'ambient' });
  const joint = { joint: 'upper', sump: 'pit', label: 'Upper laminate', schedule: 'polyester-laminate' };
  await say(first, { kind: 'joint.added', ...joint, probes: ['p1'], ambient: 'air' });
  await say(first, { kind: 'prep.signed', joint: 'upper', at: at(-9), sanded: true, wiped: true, dry: true });
  await say(first, { kind: 'joint.laidUp', joint: 'upper', at: at(-8) });
  const client = await mqttClient(first);
  for (const [probe, celsius] of [
    ['p1', 9],
    ['air', 7],
  ] as const)
    await publishPast(client, probe, [degrees((hour) => celsius + 2 * Math.sin((hour * Math.PI) / 12))], nowMs, -30, 0);
  await client.endAsync();
  const { seq } = await say(first, { kind: 'booking.made', sump: 'pit', activity: 'water-test', due: at(12) });
  return seq;
}

/** As the program wrote it at last before it was stopped. */
async function raise(statements: readonly SystemStatement[]): Promise<void> {
  const ledger = new Ledger(join(folder.path, 'ledger.db'));
  const by = { name: 'warmhours', role: 'system' } as const;
  ledger.append(
    statements.map((statement) => ({ statement, by })),
    Date.now(),
  );
  await ledger.close();
}

beforeAll(async () => {
  folder = tempFolder();
  const seq = await setUp();
  const cold = { atMs: nowMs + 5 * HOUR_MS, chancePercent: 70, floorMilliC: 5000 };
  const risk = { seq, dueMs: nowMs + 12 * HOUR_MS, chancePercent: 8 };
  await raise([
    { kind: 'warning.raised', warning: COLD, code: 'cold-ahead', owner: 'upper', numbers: cold },
    { kind: 'warning.raised', warning: RISK, code: 'booking-at-risk', owner: 'pit', numbers: risk },
  ]);
  [browser, service] = await Promise.all([startBrowser(), startService({ dataFolder: folder.path }, 'Robin')]);
  tab = await openTab(browser);
  page = tab.page;
  page.setDefaultTimeout(10_000);
}, 60_000);
afterAll(async () => {
  await browser.close();
  await service[Symbol.asyncDispose]();
  folder[Symbol.dispose]();
});

const open = (path: string) => page.goto(`${service.httpUrl}${path}`);
const card = (title: string) => page.locator('.warning', { hasText: title });
const readSite = () => read(service, '/api/site', SiteView);
const heating = async () => (await read(service, '/api/joints/upper', JointView)).heating;

describe('a warning', () => {
  test('says what is to be feared, what to do, and before heat what to mind', async () => {
    await open('/');
    await card('Cold ahead')
      .getByText(
        /^Upper laminate \(Pit sump\) will likely go below 41\s°F at about \w{3} \d\d:\d[05]: about 7 in 10\. Nothing counts below it\./,
      )
      .waitFor();
    await card('Booking at risk')
      .getByText(/^Fill and test on Pit sump is booked \w{3} \d\d:\d\d: about 1 in 10 that it holds\./)
      .waitFor();
    await page.getByText(/^Before any heater: a qualified person’s word/).waitFor();
    expect(await card('Cold ahead').getByRole('link', { name: 'What would help' }).getAttribute('href')).toBe('/plan/pit');
  });

  test('is acknowledged by name, and that is undone', async () => {
    await card('Cold ahead').getByRole('button', { name: 'Acknowledge' }).click();
    await card('Cold ahead')
      .getByText(/^Seen by Robin, \w{3} \d\d:\d\d$/)
      .waitFor();
    await expect.poll(() => card('Cold ahead').getAttribute('class')).toContain('is-seen');
    await tap(page, 'Undo');
    await card('Cold ahead').getByRole('button', { name: 'Acknowledge' }).waitFor();
    expect((await readSite()).warnings.map(({ acknowledged }) => acknowledged)).toEqual([null, null]);
  });

  test('that shall come back later takes one line that opens, and waits for the time that was named', async () => {
    await card('Booking at risk').getByRole('button', { name: 'Remind me' }).click();
    await tap(page, 'In 4 h');
    const line = page.getByText(/^1 warning waits until \w{3} \d\d:\d\d$/);
    await line.waitFor();
    expect(await card('Booking at risk').count()).toBe(0);
    const snoozed = (await readSite()).warnings.find(({ warning }) => warning === RISK)?.snoozed;
    expect(Math.abs(Date.parse(snoozed?.until ?? '') - Date.now() - 4 * HOUR_MS)).toBeLessThan(60_000);
    await line.click();
    await card('Booking at risk')
      .getByText(/^Waits until \w{3} \d\d:\d\d \(Robin\)$/)
      .waitFor();
  });

  test('stands on the pages that it is about, and only there', async () => {
    await open('/joints/upper');
    await card('Cold ahead').waitFor();
    await open('/sumps/pit');
    await card('Cold ahead').waitFor();
    await page.getByText(/^1 warning waits until/).waitFor();
  });
});

describe('what lies ahead', () => {
  test('stands beside every stage as a likely time within its bounds, with what it rests on', async () => {
    await open('/');
    const stages = page.locator('.joint-card .likely');
    await stages.first().waitFor();
    for (const said of await stages.allTextContents())
      expect(said).toMatch(
        /^(Likely \w{3}.* \d\d:\d\d, (between|not before) .*|Not before .*, or later than 8 days), as if the last day repeated$/,
      );
    expect(await stages.count()).toBe(2);
    expect(await page.locator('.joint-card .stage-when').count()).toBe(0);
    expect(await page.getByRole('link', { name: 'No forecast: the last day is taken to repeat' }).getAttribute('href')).toBe(
      '/weather',
    );
  });

  test('of a booking is a word, a sentence with the joint that decides it, and no certainty', async () => {
    await page.locator('.booking.is-missed').getByText('Likely missed').waitFor();
    await page
      .locator('.booking')
      .getByText(
        /^Fill and test booked \w{3} \d\d:\d\d: less than 1 in 10 that the hours are there, decided by Upper laminate\.$/,
      )
      .waitFor();
    await open('/sumps/pit');
    const line = page.locator('.calendar > li', { hasText: 'Fill and test' }).first();
    await line.locator('.likely').waitFor();
    await line.locator('.booking.is-missed').waitFor();
    expect(await line.locator('.calendar-bar > .calendar-due').count()).toBe(1);
    expect(await page.getByText('No appointment yet.').count()).toBe(0);
    expect(await page.getByRole('link', { name: 'Plan and book' }).getAttribute('href')).toBe('/plan/pit');
  });

  test('is drawn on the chart, told in words and numbers, and switched off', async () => {
    await open('/joints/upper');
    await page.getByText('Temperature ahead: likely, and 5 to 95 of 100 cases').waitFor();
    await page.getByText(/^Warm hours by then: likely \d+\.\d, between \d+\.\d and \d+\.\d\.$/).waitFor();
    await page
      .getByText(/No forecast: the site’s last day is taken to repeat\..* a day ahead, from \d+ comparisons here\./)
      .waitFor();
    await page.getByText('The numbers behind the drawing').click();
    const hours = page.getByRole('region', { name: 'What lies ahead, hour by hour' }).locator('tbody tr');
    await hours.nth(5).waitFor();
    const whole = await page.locator('.chart-frame canvas').screenshot();
    await page.getByLabel('What lies ahead', { exact: true }).click();
    await page.getByText('Temperature ahead: likely, and 5 to 95 of 100 cases').waitFor({ state: 'detached' });
    expect((await page.locator('.chart-frame canvas').screenshot()).equals(whole)).toBe(false);
  });
});

describe('a heater', () => {
  test('is recorded with its thermostat in one’s own unit, after the cautions, and marked on the chart', async () => {
    await tap(page, 'Heater on');
    await sheet(page).getByText('Before any heat near a sump').waitFor();
    await sheet(page)
      .getByText(/^Unvented gas heaters add water/)
      .waitFor();
    await sheet(page).getByLabel('Thermostat set to (optional), °F').fill('68');
    await tap(page, 'Yes, heater is on');
    await page
      .locator('.heating')
      .getByText(/^Heater on since \w{3} \d\d:\d\d, by Robin, set to 68\.0\s°F$/)
      .waitFor();
    expect(await heating()).toMatchObject({ what: 'heater', holdCelsius: 20, by: 'Robin', sump: false });
    await page
      .locator('.event-list li', { hasText: 'Heater on' })
      .getByText(/^set to 68\.0\s°F$/)
      .waitFor();
  });

  test('is off with one tap from the glance, which is undone like anything else', async () => {
    await open('/');
    await page.getByRole('button', { name: 'Heater is off' }).click();
    await page.locator('.heating').waitFor({ state: 'detached' });
    expect(await heating()).toBeNull();
    await tap(page, 'Undo');
    await page
      .locator('.heating')
      .getByText(/^Heater on since/)
      .waitFor();
  });

  test('on a whole sump is said of the sump', async () => {
    await open('/sumps/pit');
    await tap(page, 'Cover on');
    expect(
      await sheet(page)
        .getByLabel(/^Thermostat/)
        .count(),
    ).toBe(0);
    await tap(page, 'Yes, cover is on');
    await sheet(page).waitFor({ state: 'detached' });
    await page.getByText(/^Show (all )?\d+/).click();
    await page.locator('.record-list').getByText('Cover on', { exact: true }).waitFor();
    await page
      .locator('.record-list')
      .getByText(/^Booked · Fill and test · /)
      .waitFor();
  });
});

describe.each(['light', 'dark'] as const)('outdoors, %s', (scheme) => {
  test.each(['/', '/sumps/pit'])(
    '%s has contrast enough and targets big enough for a glove, also when the link is lost',
    async (path) => {
      await using relay = await startRelay(service.httpUrl);
      await using own = await openTab(browser, { ...PHONE, colorScheme: scheme });
      await own.page.goto(`${relay.url}${path}`);
      await own.page.locator('.warning').first().waitFor();
      await own.page.locator('.booking').first().waitFor();
      expect((await faintWords(own.page)).faint).toEqual([]);
      const targets = await own.page
        .locator(':is(.warnings, .heating, .forecast-line, #ahead) :is(a, button, summary):visible')
        .all();
      const boxes = await Promise.all(targets.map((target) => target.boundingBox()));
      expect(boxes.length).toBeGreaterThan(2);
      expect(Math.min(...boxes.map((box) => box?.height ?? 0))).toBeGreaterThanOrEqual(TOUCH_PX);
      expect(await own.page.evaluate<number>('document.documentElement.scrollWidth')).toBeLessThanOrEqual(PHONE.viewport.width);

      relay.cut();
      await own.page.getByText(/^As last heard \d+/).waitFor();
      await own.page.locator('.likely.is-past').first().waitFor();
      expect(await own.page.locator('.booking:not(.is-unknown)').count(), 'nobody knows how it stands now').toBe(0);
      expect(await own.page.getByRole('button', { name: 'Acknowledge' }).count()).toBe(0);
      expect((await faintWords(own.page)).faint).toEqual([]);
      expect(own.faults).toEqual([]);
    },
  );
});

test('the first look with everything that is to be feared is small, too', async () => {
  await using own = await openTab(browser);
  const bytes: Promise<number>[] = [];
  const take = (response: Response) => {
    if (!response.url().includes('/api/')) bytes.push(response.body().then((body) => gzipSync(body).length));
  };
  own.page.on('response', take);
  await own.page.goto(service.httpUrl);
  for (const part of ['.warning', '.booking', '.heating']) await own.page.locator(part).first().waitFor();
  own.page.off('response', take);
  const sum = (await Promise.all(bytes)).reduce((all, each) => all + each, 0);
  expect(bytes.length).toBeGreaterThan(5);
  expect(sum).toBeLessThan(BYTES_MOST);
});

test('nothing went wrong on the way', () => {
  expect(tab.faults).toEqual([]);
});
