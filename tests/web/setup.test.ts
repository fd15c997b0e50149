import type { MqttClient } from 'mqtt';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { z } from 'zod';
import { builtInPolyesterMix } from '../../edge/cure/mix.ts';
import { Schedule } from '../../edge/cure/schedule.ts';
import type { ProbeView } from '../../edge/site/views/probe.ts';
import { SiteView } from '../../edge/site/views/site.ts';
import { read, say } from '../support/api.ts';
import { mqttClient } from '../support/probe.ts';
import { startService, type TestService } from '../support/service.ts';
import { openTab, signIn, startBrowser, type Tab } from './browser.ts';

let browser: Browser;
let service: TestService;
let device: MqttClient;
let tab: Tab;

beforeAll(async () => {
  [browser, service] = await Promise.all([startBrowser(), startService()]);
  device = await mqttClient(service);
  tab = await openTab(browser);
  await signIn(tab.page, service.httpUrl, service.token);
  tab.page.setDefaultTimeout(10_000);
});

afterAll(async () => {
  await tab[Symbol.asyncDispose]();
  await browser.close();
  await device.endAsync();
  await service[Symbol.asyncDispose]();
});

const schedules = async () => (await read(service, '/api/schedules', z.object({ schedules: z.array(Schedule) }))).schedules;
const site = () => read(service, '/api/site', SiteView);
const probeNamed = async (name: string): Promise<ProbeView | undefined> =>
  (await site()).probes.find(({ probe }) => probe === name);
const publish = (topic: string, message: unknown) => device.publishAsync(topic, JSON.stringify(message), { qos: 1 });
const row = (page: Page, name: string) => page.locator('li.row', { hasText: name });

test('a schedule is copied, its faults stand at their fields, and what it comes to is shown before it is saved', async () => {
  const { page } = tab;
  await page.goto(`${service.httpUrl}/schedules`);
  await page.locator('#schedule-polyester-laminate').getByRole('button', { name: 'Copy and change' }).click();
  await page.getByLabel('Name of the schedule').fill('Laminate by the sheet');
  await page.getByRole('radio', { name: 'Maker’s table' }).check();
  // 41 and 50 °F stand ready: the floor and the reference of the copied one.
  await page.getByLabel('Hours, row 1', { exact: true }).fill('12');
  await page.getByRole('checkbox', { name: 'Stages that count from the mix, such as tack and gel' }).uncheck();
  await page.getByRole('button', { name: 'Save the schedule' }).click();
  await page.getByText('Must be fewer than at the colder point before it').waitFor();
  expect(await schedules()).toHaveLength(4);
  // With a fault in it, nothing is drawn as if it were what is typed.
  expect(await page.locator('.hours-table').count()).toBe(0);
  expect(await page.locator('.editor-preview').getByText('As changed').count()).toBe(0);

  await page.getByLabel('Hours, row 1', { exact: true }).fill('20');
  await page.getByLabel('Why it is changed').fill('Sheet of the maker');
  // At the coldest row the sheet's own 20 h, and 40 h for the stage that needs twice as much; the rate table credits a hair less.
  const line = page.locator('.hours-table tr', { hasText: '41.0' });
  await expect.poll(() => line.locator('td').allTextContents()).toEqual(['20.1 h', '40.1 h']);
  expect(await page.locator('.hours-table tr', { hasText: '32.0' }).locator('td').allTextContents()).toEqual(['never', 'never']);
  await page.getByRole('button', { name: 'Take the table’s 12 h at the reference for “Water test”' }).click();
  expect(await line.locator('td').allTextContents()).toEqual(['20.1 h', '20.1 h']);
  await page.getByRole('button', { name: 'Save the schedule' }).click();
  await page.getByText('This was said of the law before; say where the changed one comes from').waitFor();
  expect(await schedules()).toHaveLength(4);
  await page.getByLabel('Source of the figures', { exact: true }).fill('Sheet 7 of the maker');
  await page.getByRole('button', { name: 'Save the schedule' }).click();
  await page.getByText('Saved: Laminate by the sheet, version 1.').waitFor();
  const own = (await schedules()).find(({ name }) => name === 'laminate-by-the-sheet');
  expect(own).toMatchObject({
    version: 1,
    author: 'Robin',
    law: {
      kind: 'table',
      points: [
        { celsius: 5, hours: 20 },
        { celsius: 10, hours: 12 },
      ],
    },
  });
});

test('what is changed in an editor stays while other pages are looked at, and is not thrown away by one tap', async () => {
  const { page } = tab;
  await page.locator('#sequence-two-section-sump').getByRole('button', { name: 'Copy and change' }).click();
  await page.getByLabel('Name of the order of work').fill('Half an order');
  await page.getByText('Not saved yet.').waitFor();
  await page.locator('.nav-link', { hasText: 'Now' }).click();
  await page.getByText('Name this site first').waitFor();
  await page.locator('.nav-link', { hasText: 'Setup' }).click();
  await page.getByRole('link', { name: 'Open the schedules' }).click();
  expect(await page.getByLabel('Name of the order of work').inputValue()).toBe('Half an order');

  await page.getByRole('button', { name: 'Back without saving' }).click();
  await page.getByRole('button', { name: 'Go on editing' }).click();
  expect(await page.getByLabel('Name of the order of work').inputValue()).toBe('Half an order');
  await page.getByRole('button', { name: 'Back without saving' }).click();
  await page.getByRole('button', { name: 'Yes, throw it away' }).click();
  await page.getByRole('heading', { name: 'Orders of work', level: 2 }).waitFor();
  expect(await page.getByText('Half an order').count()).toBe(0);
});

test('a joint that steps wait for goes from an order of work only with what goes with it in sight', async () => {
  const { page } = tab;
  await page.locator('#sequence-two-section-sump').getByRole('button', { name: 'Copy and change' }).click();
  await page.getByRole('button', { name: 'Remove the joint Base laminate' }).click();
  await page.getByText(/Inner epoxy pour: .*Base laminate has reached stress/).waitFor();
  await page.getByRole('button', { name: 'Keep it' }).click();
  expect(await page.getByRole('button', { name: 'Remove the joint Base laminate' }).count()).toBe(1);
  await page.getByRole('button', { name: 'Remove the joint Base laminate' }).click();
  await page.getByRole('button', { name: 'Remove Base laminate and these' }).click();
  await expect.poll(() => page.getByText('Base laminate has reached stress').count()).toBe(0);
  await page.getByRole('button', { name: 'Back without saving' }).click();
  await page.getByRole('button', { name: 'Yes, throw it away' }).click();
});

test('a sump brings the joints of its order of work, each with the schedule that it asks for', async () => {
  const { page } = tab;
  await page.goto(`${service.httpUrl}/setup`);
  await page.getByLabel('Name of the sump').fill('Tank 4');
  await page.getByLabel('Order of work').selectOption('two-section-sump');
  await page.getByRole('button', { name: 'Create the sump' }).click();
  await page.getByRole('button', { name: 'Add them in one go' }).click();
  await page.getByRole('checkbox', { name: 'Upper laminate' }).uncheck();
  await page.getByText('A sealant cures by the moisture of the air').waitFor();
  await page.getByRole('button', { name: 'Add 3 joints' }).click();
  await page.getByText('One joint of its order of work is not added yet.').waitFor();
  const { joints } = await site();
  expect(joints.map(({ part, schedule }) => [part, schedule])).toEqual([
    ['base', 'polyester-laminate'],
    ['inner', 'epoxy-pour'],
    ['bed', 'sealant-bead'],
  ]);
});

test('a joint, a sump and a lot that were added by mistake are taken back; what has joints is refused in words', async () => {
  const { page } = tab;
  const takeBack = async (what: string) => {
    await page.getByRole('button', { name: `Take back: ${what}`, exact: true }).click();
    await page.getByLabel('Reason').fill('Added by mistake');
    await page.getByRole('button', { name: 'Yes, take it back' }).click();
  };
  await takeBack('Tank 4');
  await page.getByText('Sump "tank-4" has joints; take those back first').waitFor();
  expect(await page.getByText('Seq:').count()).toBe(0);
  await page.locator('dialog').getByRole('button', { name: 'Cancel' }).click();
  const added = (await site()).joints.map(({ label }) => label);
  for (const [index, label] of added.entries()) {
    await takeBack(`${label} (Tank 4)`);
    await expect.poll(async () => (await site()).joints).toHaveLength(added.length - index - 1);
  }
  await takeBack('Tank 4');
  await page.getByText('No sump yet.').waitFor();
  expect((await site()).sumps).toEqual([]);

  await say(service, { kind: 'lot.added', lot: 'r7', material: 'resin', label: 'Resin 7', sheet: builtInPolyesterMix });
  await row(page, 'Resin 7').getByText('What its sheet says').click();
  // The trade's dose near 60 °F, for a US quart.
  await expect
    .poll(() => row(page, 'Resin 7').locator('tr', { hasText: '60' }).first().locator('td').textContent())
    .toBe('15 mL');
  await takeBack('Resin 7');
  await expect.poll(async () => (await site()).lots).toEqual([]);
});

test('a Pt100 is told from its ohms, calibrated, and given the file of a logger', async () => {
  const { page } = tab;
  await publish('cure/yard/probe/pt/senml', [{ n: 'resistance', u: 'Ohm', v: 103.9 }]);
  await row(page, 'pt').getByRole('button', { name: 'Say more' }).click();
  // IEC 60751: 103.90 Ω at 10 °C.
  await page.getByText(/reads as 50\.0.°F/).waitFor();
  await page.getByRole('button', { name: 'Register', exact: true }).click();
  await expect.poll(async () => (await probeNamed('pt'))?.sensor).toEqual({ kind: 'pt100', tolerance: 'B' });
  const before = (await probeNamed('pt'))?.uncertaintyCelsius ?? 0;

  await row(page, 'pt').getByRole('button', { name: 'Calibrate' }).click();
  await page.getByLabel('Probe shows').first().fill('32.9');
  await page.getByLabel('Reference', { exact: true }).nth(1).fill('77');
  await page.getByLabel('Probe shows').nth(1).fill('77.9');
  await page.getByLabel('Compared with').fill('ice bath and thermometer');
  await page.getByLabel('Uncertainty of the reference').fill('0.18');
  await page.getByText(/Taken off each reading: .* instead of/).waitFor();
  // A probe 20 °F off is told in °F; and an ice bath has one temperature.
  await page.getByLabel('Probe shows').nth(1).fill('97');
  await page.getByText(/97\.0.°F is more than 9.°F off the reference of 77\.0.°F/).waitFor();
  await page.getByLabel('Reference', { exact: true }).nth(1).fill('250');
  await page.getByLabel('Probe shows').nth(1).fill('249');
  await page.getByText(/^The reference points must lie between −40\.0.°F and 212\.0.°F$/).waitFor();
  await page.getByLabel('Reference', { exact: true }).nth(1).fill('77');
  await page.getByLabel('Probe shows').nth(1).fill('77.9');
  await page.getByLabel('Reference', { exact: true }).first().fill('0');
  await page.getByLabel('Probe shows').first().fill('0.9');
  await page.getByText('The ice point is 32 °F; check what stands there').waitFor();
  await page.getByLabel('Probe shows').first().fill('32.9');
  await page.getByLabel('Reference', { exact: true }).first().fill('33');
  await page.getByRole('button', { name: 'Record the calibration' }).click();
  await page.getByText(/33\.0.°F stands as the reference of the ice point, but an ice bath is 32\.0.°F/).waitFor();
  await page.getByRole('button', { name: 'Change it' }).click();
  expect((await probeNamed('pt'))?.calibrations).toEqual([]);
  await page.getByLabel('Reference', { exact: true }).first().fill('32');
  await page.getByRole('button', { name: 'Record the calibration' }).click();
  await row(page, 'pt').getByText('What was said: 2 records').waitFor();
  const calibrated = await probeNamed('pt');
  expect(calibrated?.calibrations).toHaveLength(1);
  expect(calibrated?.uncertaintyCelsius).toBeLessThan(before);

  const lines = ['time,celsius', '2026-01-14T08:00:00-06:00,11.2', '2026-01-14T08:10:00,11.3', '2026-01-14T08:20:00-06:00,11.4'];
  await row(page, 'pt').getByRole('button', { name: 'Take in a file' }).click();
  await page
    .getByLabel('CSV file')
    .setInputFiles({ name: 'logger.csv', mimeType: 'text/csv', buffer: Buffer.from(lines.join('\n')) });
  await page.getByRole('button', { name: 'Take it in' }).click();
  await page.getByText('2 readings taken in.').waitFor();
  await page.getByText(/Line 3: .* has no offset/).waitFor();
  await page.locator('dialog').getByRole('button', { name: 'Close' }).last().click();
  await row(page, 'pt').getByText('What was said: 3 records').click();
  await row(page, 'pt')
    .getByRole('button', { name: /^Take back: File taken in: logger\.csv, 2 readings/ })
    .click();
  await page.getByLabel('Reason').fill('Wrong logger');
  await page.getByRole('button', { name: 'Yes, take it back' }).click();
  await row(page, 'pt')
    .getByText(/Taken back by Robin, .*: Wrong logger/)
    .waitFor();
  expect(await row(page, 'pt').locator('del').textContent()).toContain('logger.csv');
  expect((await probeNamed('pt'))?.imports).toEqual([]);
});

test('a device of another make is read by tapping its values', async () => {
  const { page, faults } = tab;
  await say(service, { kind: 'probe.registered', probe: 'air', role: 'ambient' });
  await publish('tent/7', { id: 'a7', env: { temp_f: 50, rh: 61 } });
  await page.getByRole('button', { name: 'Read this one: tent/7' }).click();
  await page.getByRole('button', { name: '/env/temp_f' }).click();
  await page.getByRole('button', { name: '/env/rh' }).click();
  await page.getByRole('button', { name: 'Read this device' }).click();
  await page.getByText('Choose one').waitFor();
  expect((await probeNamed('air'))?.mappings).toEqual([]);
  await page.getByLabel('Unit').first().selectOption('Far');
  const preview = page.getByRole('region', { name: 'What would be read from it' });
  await preview.getByText(/50\.0.°F/).waitFor();
  await page.getByLabel('It counts as').selectOption('air');
  // The next message shows by itself, with what is wrong in it.
  await publish('tent/7', { id: 'a7', env: { temp_f: 'off', rh: 60 } });
  await preview.getByText(/holds the text "off"/).waitFor();
  await page.getByRole('button', { name: 'Read this device' }).click();
  await row(page, 'air').getByText('What was said: 2 records').waitFor();
  await expect.poll(() => page.getByRole('button', { name: 'Read this one: tent/7' }).count()).toBe(0);
  await publish('tent/7', { id: 'a7', env: { temp_f: 59, rh: 55 } });
  await row(page, 'air')
    .getByText(/59\.0.°F, 55 % humidity/)
    .waitFor();
  expect(faults).toEqual([]);
});
