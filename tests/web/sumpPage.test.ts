import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { startRelay } from './relay.ts';
import { sheet, tap, Yard } from './yard.ts';

let yard: Yard;
let page: Page;

/** One wrap, a cut that waits for it and for a signature, the test, the backfill. */
const ORDER = {
  name: 'wrap-and-cut',
  version: 1,
  title: 'Wrap and cut',
  author: 'Robin',
  source: 'For this test.',
  parts: [{ part: 'base', label: 'Base wrap', schedule: 'polyester-laminate' }],
  activities: [
    { activity: 'wrap', label: 'Wrap the base', part: 'base', waterTest: false, needs: [{ need: 'prep', part: 'base' }] },
    {
      activity: 'cut',
      label: 'Cut the pipe',
      waterTest: false,
      needs: [
        { need: 'stage', part: 'base', stage: 'stress' },
        { need: 'hold', hold: 'bolts', label: 'Bolts checked' },
      ],
    },
    {
      activity: 'test',
      label: 'Fill and test',
      waterTest: true,
      needs: [{ need: 'allJoints', stage: 'hydro' }, { need: 'decided' }],
    },
    { activity: 'backfill', label: 'Backfill', waterTest: false, needs: [{ need: 'passed' }, { need: 'decided' }] },
  ],
};

beforeAll(async () => {
  yard = await Yard.open();
  await yard.say({ kind: 'sequence.given', definition: ORDER, reason: 'a trial' }, 'quality');
  for (const [sump, label, hoursAgo] of [
    ['old', 'Old sump', 30],
    ['young', 'Young sump', 2],
  ] as const) {
    await yard.say({ kind: 'sump.added', sump, label, sequence: ORDER.name });
    await yard.joint(`${sump}-base`, { sump, label: 'Base wrap', part: 'base' }, -hoursAgo - 1);
    await yard.signSurface(`${sump}-base`, -hoursAgo - 0.5);
    await yard.say({ kind: 'joint.laidUp', joint: `${sump}-base`, at: yard.at(-hoursAgo) });
  }
  page = await yard.phone('crew');
});
afterAll(() => yard[Symbol.asyncDispose]());

const open = (sump: string, url = yard.service.httpUrl, on = page) => on.goto(`${url}/sumps/${sump}`);
const step = (name: string, on = page) => on.locator('.activity', { hasText: name });
const stateOf = (name: string) => step(name).locator('.activity-state').textContent();
const activity = async (sump: string, name: string) =>
  (await yard.readSump(sump))?.activities.find((each) => each.activity === name);

describe('a step before its time', () => {
  test('says what is missing and until when', async () => {
    await open('young');
    await step('Cut the pipe')
      .getByText(/^Base wrap is not clear for stress – (9\.[0-9]|10\.[0-9]) warm h missing$/)
      .waitFor();
    await step('Cut the pipe')
      .getByText(/^Likely \w+ \d\d:\d\d, between /)
      .waitFor();
    await step('Cut the pipe').getByText('“Bolts checked” is not signed').waitFor();
    expect(await stateOf('Cut the pipe')).toBe('Not yet');
    expect(await step('Cut the pipe').getByRole('button', { name: 'Start', exact: true }).count()).toBe(0);
    // Nobody gets around the water test with a reason.
    expect(await step('Backfill').getByRole('button').count()).toBe(0);
  });

  test('is not started without a reason; with one it stays on record as a finding', async () => {
    await step('Cut the pipe').getByRole('button', { name: 'Start before its time …' }).click();
    await sheet(page).getByText('Base wrap is not clear for stress').waitFor();
    await sheet(page).getByText('“Bolts checked” is not signed').waitFor();
    await tap(page, 'Start all the same');
    expect(await sheet(page).count()).toBe(1);
    expect((await activity('young', 'cut'))?.startedAt).toBeNull();

    await sheet(page).getByLabel('Reason').fill('Pipe fitter leaves at noon');
    await tap(page, 'Start all the same');
    await sheet(page).waitFor({ state: 'detached' });
    const early = /^Started before its time by \w+: Pipe fitter leaves at noon$/;
    await step('Cut the pipe').getByText(early).first().waitFor();
    await page
      .locator('.sump-answer')
      .getByText(/^Cut the pipe: Started before its time by \w+: Pipe fitter/)
      .waitFor();
    await page.locator('.finding', { hasText: 'Started before its time' }).waitFor();
    expect(await page.getByRole('button', { name: 'Undo' }).count(), 'it stays').toBe(0);
    expect((await yard.readSump('young'))?.findings).toMatchObject([{ code: 'started-early', open: true }]);
  });
});

test('a hold point is signed, and the step that waited for it may start', async () => {
  await open('old');
  expect(await stateOf('Cut the pipe')).toBe('Not yet');
  await tap(page, 'Sign: Bolts checked');
  await sheet(page).getByText('Work stops here until somebody signs.').waitFor();
  await tap(page, 'Sign');
  const mayStart = step('Cut the pipe').getByText('May start', { exact: true });
  await mayStart.waitFor();

  await page.getByText('Show 1 entry').click();
  await page.getByRole('button', { name: /^Take back: Signed · Bolts checked,/ }).click();
  await sheet(page).getByLabel('Reason').fill('Looked at the other flange');
  await tap(page, 'Yes, take it back');
  await mayStart.waitFor({ state: 'detached' });
  await page.locator('del').getByText('Signed · Bolts checked').waitFor();
  await tap(page, 'Sign: Bolts checked');
  await tap(page, 'Sign');
  await mayStart.waitFor();
});

test('a start that lies before what it needed asks for a reason', async () => {
  await step('Cut the pipe').getByRole('button', { name: 'Start', exact: true }).click();
  expect(await sheet(page).getByLabel('Reason').count()).toBe(0);
  await tap(page, '1 h earlier');
  await tap(page, 'Yes, start');
  await sheet(page).getByLabel('Reason').waitFor();
  await sheet(page)
    .getByText(/Give a reason to start it all the same/)
    .waitFor();
  await sheet(page).getByText('your name and your reason stay on record as a finding for good', { exact: false }).waitFor();
  expect((await activity('old', 'cut'))?.startedAt).toBeNull();
  await tap(page, 'Cancel');
});

test('with the link lost nothing may start', async () => {
  await using relay = await startRelay(yard.service.httpUrl);
  const phone = await yard.phone('crew', relay.url);
  const readyWords = phone.getByText('May start', { exact: true });
  await open('old', relay.url, phone);
  await readyWords.first().waitFor();
  relay.cut();
  await phone.getByText(/^No connection since/).waitFor();
  expect(await readyWords.count()).toBe(0);
  expect(await phone.locator('.activity.is-ready').count()).toBe(0);
  await step('Cut the pipe', phone).getByText('Last heard: may start').waitFor();
  await phone.getByText('Whether backfill is open is not known: no connection.').waitFor();

  // From page to page without the service: what was heard is known, and is told as past.
  await phone.locator('.nav-link', { hasText: 'Now' }).click();
  await phone.getByText('No live answer').first().waitFor();
  expect(await readyWords.count()).toBe(0);
  await phone.getByRole('link', { name: 'Base wrap, Old sump' }).click();
  await phone.getByText('Was: ready for water test').waitFor();
  expect(await readyWords.count()).toBe(0);
  expect(await phone.getByText('Ready for water test', { exact: true }).count()).toBe(0);
});

describe('the water test', () => {
  test('is guided from the fill to the verdict', async () => {
    await step('Fill and test').getByRole('button', { name: 'Start', exact: true }).click();
    await tap(page, '1 h earlier', 2);
    await tap(page, 'Yes, start');
    await page.getByText('Nobody enters before the air is tested', { exact: false }).waitFor();

    const above = page.getByLabel('Water above the highest penetration or seam, inches');
    await above.fill('3 1/2');
    await page.getByText('Less than 4 in (102 mm): a full-height test would not count.').waitFor();
    await page.getByRole('radio', { name: 'Low level' }).check();
    await page.getByText('Not accepted everywhere: ask the authority first.', { exact: false }).waitFor();
    await page.getByLabel('Water above the highest penetration or seam (0 if below), inches').fill('0');
    await tap(page, '1 h earlier', 3);
    await page.getByText(/^The test was started .+: filling cannot have ended before\.$/).waitFor();
    expect(await page.getByRole('button', { name: 'Filled: let it settle' }).isDisabled()).toBe(true);
    await tap(page, '1 h later', 2);
    await tap(page, '15 min earlier', 2);
    await tap(page, 'Filled: let it settle');
    // The step that is to be done has come into sight from its beginning, clear of what was just put on record.
    const stepTop = () => page.locator('.step.is-now').evaluate((now) => now.getBoundingClientRect().top);
    await expect.poll(stepTop).toBeLessThan(200);
    const barBottom = await page.locator('.recorded').evaluate((bar) => bar.getBoundingClientRect().bottom);
    expect(barBottom).toBeGreaterThan(40);
    expect(await stepTop()).toBeGreaterThanOrEqual(barBottom);

    await page.getByText('Settled long enough.').waitFor();
    await page.getByLabel('Level at the start, inches').fill('24 3/16');
    await tap(page, '1 h earlier');
    await tap(page, '15 min earlier');
    await tap(page, 'Start the hold');

    await page.getByText('Held long enough.').waitFor();
    await page.getByLabel('Level at the end, inches').fill('24 1/8');
    await tap(page, 'End the hold');
    await page.getByText('It would pass').waitFor();
    await page.getByText('Low-level method: not accepted everywhere, the authority decides.').waitFor();
    expect((await yard.readSump('old'))?.tests, 'nothing is on record yet').toEqual([]);
  });

  test('once on record it opens the backfill, and that is the end', async () => {
    await tap(page, 'Put the test on record');
    await page.getByRole('heading', { name: 'Test 1: Passed' }).waitFor();
    await page.locator('.test').getByText('Low-level method: not accepted everywhere, the authority decides.').waitFor();
    await page.getByText('Backfill is open: a water test is passed and nothing waits for a decision.').waitFor();
    expect((await yard.readSump('old'))?.tests).toMatchObject([{ verdict: 'pass', method: 'low-level', by: 'Robin' }]);

    await step('Backfill').getByRole('button', { name: 'Start', exact: true }).click();
    await tap(page, 'Yes, start');
    await page.getByText('Backfill has begun.').waitFor();
    await step('Backfill').getByRole('button', { name: 'Done', exact: true }).click();
    await tap(page, 'Yes, done');
    await page.getByText('Backfilled.', { exact: true }).waitFor();
    expect((await activity('old', 'backfill'))?.state).toBe('done');
    expect(yard.faults).toEqual([]);
  });
});
