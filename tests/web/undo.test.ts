import type { Browser, Locator, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { JointView } from '../../edge/site/views/joint.ts';
import { HistoryView } from '../../edge/tally/history.ts';
import { addJoint, read, say } from '../support/api.ts';
import { startService, type TestService } from '../support/service.ts';
import { openTab, signIn, startBrowser } from './browser.ts';
import { faintWords } from './faint.ts';
import { startRelay } from './relay.ts';

const HOUR_MS = 3_600_000;
/** A gloved fingertip, CSS px. */
const TOUCH_PX = 56;
const OFFERED_MS = 60_000;

let browser: Browser;
let service: TestService;

beforeAll(async () => {
  [browser, service] = await Promise.all([startBrowser(), startService({}, 'Rosa')]);
});
afterAll(async () => {
  await browser.close();
  await service[Symbol.asyncDispose]();
});

const bar = (page: Page) => page.locator('.recorded');
const undoOf = (page: Page) => bar(page).getByRole('button', { name: 'Undo' });
const cardOf = (page: Page, joint: string) => page.locator('.joint-card', { hasText: `Joint ${joint}` });
const historyOf = (joint: string) => read(service, `/api/joints/${joint}/history`, HistoryView);

/** The quick action on the Now page. */
async function layUp(page: Page, joint: string): Promise<void> {
  await cardOf(page, joint).getByRole('button', { name: 'Laid up now' }).click();
  await page.getByRole('button', { name: /^Yes, laid up at/ }).click();
  await bar(page)
    .getByText(new RegExp(`^Recorded: Joint ${joint} \\(Sump of ${joint}\\) laid up at `))
    .waitFor();
}

async function boxOf(thing: Locator) {
  const box = await thing.boundingBox();
  if (box === null) throw new Error('it is not on the page');
  return { ...box, bottom: box.y + box.height };
}

test('the wrong joint, laid up by the quick action, is planned again after Undo, and the slip stays to be read', async () => {
  await addJoint(service, { joint: 'west', probes: ['p-west'] });
  await using tab = await openTab(browser);
  const { page } = tab;
  await page.goto(service.httpUrl);
  await page.getByText('Live', { exact: true }).waitFor();
  await page.evaluate('window.sameDocument = true');
  await layUp(page, 'west');
  await cardOf(page, 'west').getByText('Curing').waitFor();

  await page.getByRole('link', { name: 'Setup' }).click();
  await page.getByRole('heading', { name: 'Setup', level: 1 }).waitFor();
  await undoOf(page).click();
  await bar(page)
    .getByText(/^Undone: Joint west /)
    .waitFor();
  expect(await undoOf(page).count()).toBe(0);

  await page.getByRole('link', { name: 'Now', exact: true }).click();
  await cardOf(page, 'west').getByText('Planned').waitFor();
  await cardOf(page, 'west').getByRole('button', { name: 'Laid up now' }).waitFor();
  expect((await read(service, '/api/joints/west', JointView)).phase).toBe('planned');

  await page.getByRole('link', { name: 'Joint west' }).click();
  const event = page.locator('.event-list li');
  await event.getByText(/^Taken back by Rosa, .+: Undone right away$/).waitFor();
  expect(await event.locator('del').textContent()).toMatch(/^Laid up .+ by Rosa$/);
  expect(await event.count()).toBe(1);
  expect(await event.getByRole('button').count(), 'nothing is taken back twice').toBe(0);
  expect(await page.evaluate('window.sameDocument')).toBe(true);
});

test('the bar is legible, big enough for a glove, within reach of the keyboard, hides nothing, and goes by itself', async () => {
  await addJoint(service, { joint: 'south', probes: ['p-south'] });
  await using tab = await openTab(browser);
  const { page } = tab;
  await page.clock.install();
  await page.goto(service.httpUrl);
  await page.getByText('Live', { exact: true }).waitFor();
  await layUp(page, 'south');
  expect(await bar(page).getByRole('status').getAttribute('aria-live')).toBe('polite');
  expect((await faintWords(page)).faint).toEqual([]);

  await page.evaluate('window.scrollTo(0, document.documentElement.scrollHeight)');
  const [shown, undo, nav, last] = await Promise.all(
    [bar(page), undoOf(page), page.locator('.nav'), page.locator('.caution')].map(boxOf),
  );
  // Above, and the page's end stands free between it and the links.
  expect(shown?.y).toBeLessThan(40);
  expect(shown?.bottom).toBeLessThan(last?.y ?? 0);
  expect(last?.bottom).toBeLessThanOrEqual(nav?.y ?? 0);
  expect(undo?.height).toBeGreaterThanOrEqual(TOUCH_PX);
  expect(undo?.width).toBeGreaterThanOrEqual(TOUCH_PX);

  await page.locator('.nav-link').last().focus();
  await page.keyboard.press('Tab');
  expect(await page.evaluate('document.activeElement.textContent')).toBe('Undo');

  await page.clock.fastForward(OFFERED_MS - 5000);
  expect(await undoOf(page).count()).toBe(1);
  await page.clock.fastForward(10_000);
  await expect.poll(() => undoOf(page).count()).toBe(0);
  expect((await read(service, '/api/joints/south', JointView)).phase, 'what stands, stands').toBe('curing');
});

test('ply, note, assignment and a lay-up from zero offer the same, the newest alone', async () => {
  await addJoint(service, { joint: 'base', probes: ['p-base'], laidUpMs: Date.now() - HOUR_MS });
  await using tab = await openTab(browser);
  const { page } = tab;
  await page.goto(`${service.httpUrl}/joints/base`);
  const record = async (action: string, confirm: RegExp, words: RegExp) => {
    await page.getByRole('button', { name: action }).click();
    if (action === 'Add a note') await page.getByRole('textbox', { name: 'Note' }).fill('Heater is on.');
    await page.getByRole('dialog').getByRole('button', { name: confirm }).click();
    await bar(page).getByText(words).waitFor();
  };
  await record('Further ply laid', /^Yes/, /^Recorded: Joint base \(Sump of base\), further ply laid at .+\.$/);
  await record('Add a note', /^Put the note/, /^Recorded: a note on Joint base \(Sump of base\)\.$/);
  await record('Assign probes', /^Assign$/, /^Recorded: probes assigned to Joint base \(Sump of base\)\.$/);
  await record('Laid again from zero', /^Yes/, /^Recorded: Joint base \(Sump of base\) laid again from zero at .+\.$/);
  await undoOf(page).click();
  await page.locator('.event-list del').waitFor();
  const events = (await historyOf('base')).events;
  expect(events.map(({ kind, withdrawn }) => [kind, withdrawn?.reason ?? null]).sort()).toEqual([
    ['assigned', null],
    ['furtherPly', null],
    ['laidUp', null],
    ['note', null],
    ['relaid', 'Undone right away'],
  ]);
});

/** How many lines run from the top of the drawing to its bottom: those that mark an event. */
function marks(page: Page): Promise<number> {
  return page.evaluate<number>(
    `(() => {
      const canvas = document.querySelector('canvas[role="img"]');
      // The middle of the plot, away from both axes and from the numbers at the top of the marks.
      const [left, right] = [0.15, 0.85].map((share) => Math.round(canvas.width * share));
      const [top, bottom] = [0.2, 0.8].map((share) => Math.round(canvas.height * share));
      const { data, width, height } = canvas.getContext('2d').getImageData(left, top, right - left, bottom - top);
      const isFull = (x) => {
        for (let y = 0; y < height; y++) if (data[4 * (y * width + x) + 3] === 0) return false;
        return true;
      };
      let count = 0;
      for (let x = 0; x < width; x++) if (isFull(x) && (x === 0 || !isFull(x - 1))) count++;
      return count;
    })()`,
  );
}

test('an older event is taken back with a reason: struck in the list, gone from the drawing, the hours counted anew', async () => {
  const nowMs = Date.now();
  await addJoint(service, { joint: 'east', probes: ['p-east'], laidUpMs: nowMs - 8 * HOUR_MS });
  await say(service, {
    kind: 'joint.laidUp',
    joint: 'east',
    at: new Date(nowMs - 4 * HOUR_MS).toISOString(),
    note: 'third wrap',
  });
  await using tab = await openTab(browser);
  const { page } = tab;
  await page.goto(`${service.httpUrl}/joints/east`);
  await page.getByRole('button', { name: '6 h' }).click();
  await expect.poll(() => marks(page)).toBe(1);
  await page.evaluate('window.sameDocument = true');

  const ply = page.locator('.event-list li', { hasText: 'third wrap' });
  const takeBack = ply.getByRole('button', { name: /^Take back: Further ply, / });
  expect((await boxOf(takeBack)).height).toBeGreaterThanOrEqual(TOUCH_PX);
  await takeBack.click();
  const sheet = page.getByRole('dialog', { name: 'Take this back?' });
  await sheet.getByText('third wrap').waitFor();
  await sheet.getByRole('button', { name: 'Yes, take it back' }).click();
  expect(await sheet.getByLabel('Reason').evaluate((field) => field.matches(':invalid')), 'a reason is required').toBe(true);
  await sheet.getByLabel('Reason').fill('   ');
  await sheet.getByRole('button', { name: 'Yes, take it back' }).click();
  // The service's own words, beside the field that they are about.
  await sheet.locator('.field.has-fault', { hasText: 'Reason' }).getByText('must not be empty').waitFor();
  expect((await historyOf('east')).events.filter(({ withdrawn }) => withdrawn !== null)).toEqual([]);

  await sheet.getByRole('radio', { name: 'Wrong joint' }).check();
  await sheet.getByRole('button', { name: 'Yes, take it back' }).click();
  await ply.getByText(/^Taken back by Rosa, .+: Wrong joint$/).waitFor();
  await sheet.waitFor({ state: 'detached' });
  expect(await ply.locator('del').textContent()).toMatch(/^Further ply .+, put on record .+ by apithird wrap$/);
  await expect.poll(() => marks(page)).toBe(0);
  expect(await page.locator('.event-list li:not(.is-withdrawn)').count()).toBe(1);
  expect((await read(service, '/api/joints/east', JointView)).laidUpAt).toBe(new Date(nowMs - 8 * HOUR_MS).toISOString());
  expect(await page.evaluate('window.sameDocument')).toBe(true);
  expect((await faintWords(page)).faint).toEqual([]);
});

test('a refusal is shown by its path, and the sheet stays open', async () => {
  await addJoint(service, { joint: 'north', probes: ['p-north'] });
  const { seq } = await say(service, { kind: 'note.added', joint: 'north', text: 'Tent is up.' });
  await using tab = await openTab(browser);
  const { page } = tab;
  await page.goto(`${service.httpUrl}/joints/north`);
  await page.getByRole('button', { name: /^Take back: Note, / }).click();
  // Somebody else is quicker.
  await say(service, { kind: 'entry.withdrawn', seq, reason: 'Recorded twice' });
  await page.getByRole('radio', { name: 'Recorded twice' }).check();
  await page.getByRole('button', { name: 'Yes, take it back' }).click();
  await page.getByRole('alert').getByRole('listitem').getByText(`Entry ${seq} has been taken back already`).waitFor();
});

test('a hostile reason is text and nothing else', async () => {
  const hostile = '<img src=x onerror="window.broken=1"><b>bold</b>';
  await addJoint(service, { joint: 'hostile', probes: ['p-hostile'] });
  await say(service, { kind: 'note.added', joint: 'hostile', text: 'Tent is up.' });
  await using tab = await openTab(browser);
  const { page, faults } = tab;
  await page.goto(`${service.httpUrl}/joints/hostile`);
  await page.getByRole('button', { name: /^Take back: Note, / }).click();
  await page.getByLabel('Reason').fill(hostile);
  await page.getByRole('button', { name: 'Yes, take it back' }).click();
  const told = page.locator('.event-list li p', { hasText: 'Taken back by Rosa' });
  await told.waitFor();
  expect((await told.textContent())?.endsWith(`: ${hostile}`)).toBe(true);
  expect(await page.locator('.event-list img, .event-list b b, .event-list p b').count()).toBe(0);
  expect(await page.evaluate('window.broken')).toBeUndefined();
  expect(faults).toEqual([]);
});

test('an undo without a link says so and keeps offering until it is done', { timeout: 90_000 }, async () => {
  await addJoint(service, { joint: 'deep', probes: ['p-deep'] });
  await using relay = await startRelay(service.httpUrl);
  await using tab = await openTab(browser);
  const { page } = tab;
  await page.goto(relay.url);
  await page.getByText('Live', { exact: true }).waitFor();
  await layUp(page, 'deep');
  // Radio falls silent without hanging up: no answer will ever come, and the page must not wait for one.
  relay.hush();
  await undoOf(page).click();
  await bar(page)
    .getByText(/^No answer to the undo .+ Still on record, as far as is known: Joint deep /)
    .waitFor({ timeout: 40_000 });
  expect((await read(service, '/api/joints/deep', JointView)).phase).toBe('curing');

  relay.mend();
  await undoOf(page).click();
  await bar(page)
    .getByText(/^Undone: Joint deep /)
    .waitFor();
  expect((await read(service, '/api/joints/deep', JointView)).phase).toBe('planned');
});

test('an undo that came through although its answer was lost counts as done when it is repeated', async () => {
  await addJoint(service, { joint: 'twice', probes: ['p-twice'] });
  await using tab = await openTab(browser);
  const { page } = tab;
  await page.goto(service.httpUrl);
  await page.getByText('Live', { exact: true }).waitFor();
  await layUp(page, 'twice');
  // The service takes the first one, and the page never hears of it.
  let lost = 0;
  await page.route('**/api/entries', async (route) => {
    await route.fetch();
    lost++;
    await route.abort();
  });
  await undoOf(page).click();
  await bar(page)
    .getByText(/^No answer to the undo/)
    .waitFor();
  await page.unroute('**/api/entries');
  await undoOf(page).click();
  await bar(page)
    .getByText(/^Undone: Joint twice /)
    .waitFor();
  expect(lost).toBe(1);
  const { events } = await historyOf('twice');
  expect(events.map(({ withdrawn }) => withdrawn?.reason)).toEqual(['Undone right away']);
});

test('who signs in next is not offered to undo what another one did', async () => {
  await using shared = await startService();
  await addJoint(shared, { joint: 'west', probes: ['p-west'] });
  await using tab = await openTab(browser);
  const { page } = tab;
  await signIn(page, shared.httpUrl, shared.token);
  await layUp(page, 'west');
  await page.getByRole('link', { name: 'Settings' }).click();
  await page.getByRole('button', { name: 'Sign out' }).click();
  await page.getByLabel('Your name').fill('Sam');
  await page.getByLabel('Access token').fill(shared.token);
  await page.getByRole('button', { name: 'Sign in' }).click();
  await page.getByText('Live', { exact: true }).waitFor();
  expect(await bar(page).count()).toBe(1);
  expect(await bar(page).textContent()).toBe('');
});
