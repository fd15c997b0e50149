import type { Browser, BrowserContextOptions } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import * as names from '../../edge/evidence/bundle.ts';
import { fingerprint } from '../../edge/evidence/siteKey.ts';
import { CHECKS } from '../../edge/evidence/verify.ts';
import { publicKey } from '../evidence/support/bundle.ts';
import { DESK, PHONE, startBrowser } from './browser.ts';
import { changed, choose, expectFitForAll, good, payload, tabAt as tabOf } from './bundles.ts';
import { tap, Yard } from './yard.ts';

let yard: Yard;
let browser: Browser;

beforeAll(async () => {
  [yard, browser] = await Promise.all([Yard.open(), startBrowser()]);
  // The site that is watched live has a probe of the same name as the bundles below, called otherwise, and lies elsewhere.
  await yard.say({ kind: 'site.described', name: 'Live yard', timeZone: 'Asia/Kathmandu' }, 'quality');
  await yard.say({ kind: 'probe.registered', probe: 'p1', role: 'material', label: 'Live probe' });
});
afterAll(async () => {
  await browser.close();
  await yard[Symbol.asyncDispose]();
});

const tabAt = (path: string, options?: BrowserContextOptions) => tabOf(browser, yard, path, options);

test('opened by its address, without any page before it, everything is big enough for a glove', async () => {
  await using tab = await tabAt('/evidence/verify');
  await tab.page.reload();
  await tab.page.getByRole('textbox').waitFor();
  await expectFitForAll(tab.page, 390);
});

test('on the site’s page a bundle is verified in the browser: nothing of it is sent', async () => {
  await using tab = await tabAt('/evidence/verify');
  const { page } = tab;
  const sent: string[] = [];
  page.on('request', (request) => {
    if (request.method() !== 'GET') sent.push(request.url());
  });
  await choose(page, good);
  await page.getByRole('region', { name: 'Every check holds, but one thing is left to you' }).waitFor();
  await page.getByLabel('Fingerprint of the site’s key').fill(fingerprint(publicKey));
  await tap(page, 'Compare');
  await page.getByRole('region', { name: 'Every check holds', exact: true }).waitFor();
  await choose(page, changed);
  const told = page.getByRole('region', { name: 'This bundle does not hold' });
  await told.getByText(`“${CHECKS.inclusion}” does not hold.`, { exact: false }).waitFor();
  expect(sent).toEqual([]);
  expect(tab.faults).toEqual([]);
});

describe('an old bundle, opened', () => {
  test('says throughout that it is from a file, tells its joint, and takes nothing from the live site', async () => {
    await using tab = await tabAt('/evidence/open', DESK);
    const { page } = tab;
    await choose(page, good);
    const strip = page.locator('.opened-strip');
    await strip.getByText('From a file, not live').waitFor();
    await strip.getByText('It holds; its key is left to you to compare.').waitFor();
    const banner = page.getByRole('region', { name: 'From a file, not live' });
    await banner
      .getByText('Site North yard, as its record stood Thu, Jan 15, 2026, 04:10:00 CST. Nothing here is of now.')
      .waitFor();
    await banner.getByText('Signed, not yet anchored outside the site').waitFor();
    const joint = page.getByRole('article', { name: 'Joint j1' });
    await joint.getByText('Sump 1, serial number A-17').waitFor();
    const fact = (name: string) => joint.locator('.bundle-facts div', { hasText: name }).locator('dd');
    expect(await fact('Laid up').first().textContent()).toBe('Thu, Jan 15, 2026, 02:00:00 CST');
    expect(await fact('Warm hours').textContent()).toBe('1.8 h');
    expect(await fact('Stress, needs 0.5 h').textContent()).toBe('Thu, Jan 15, 2026, 02:30:00 CST, proven by p2');
    expect(await fact('quality').textContent()).toBe('B. Resin 1 entry');
    await joint.getByRole('region', { name: 'People' }).getByText('Drum 1 (r1)').waitFor();
    await joint.getByText('p1, material: 50.4\u202f°F to 54.6\u202f°F.').waitFor();
    expect(await page.locator('main').getByText('Live probe').count()).toBe(0);
    expect(await page.locator('main').getByText('+0545').count()).toBe(0);
    expect(await page.locator('main').getByText('GMT+5:45').count()).toBe(0);
    await page.mouse.wheel(0, 4000);
    await expect.poll(() => strip.boundingBox().then((box) => box?.y)).toBe(0);
    expect(tab.faults).toEqual([]);
  });

  test('tells what happened in order, what was taken back struck through', async () => {
    await using tab = await tabAt('/evidence/open');
    const { page } = tab;
    await choose(page, good);
    const story = page.getByRole('region', { name: 'What happened, in order' });
    await story.waitFor();
    const titles = await story.locator('> .story > li b').allTextContents();
    expect(titles).toEqual([
      ...['Joint added', 'Surface signed for', 'Material mixed', 'Laid up', 'Note', 'Hours reached: Stress'],
      ...['Hours reached: Water test', 'Sealed', 'Note', 'Taken back', 'Sealed'],
    ]);
    expect(await story.locator('del').allTextContents()).toEqual(['Notewrong joint']);
    await story.getByText('Taken back by B. Resin, Thu, Jan 15, 2026, 03:03:00 CST: said by mistake').waitFor();
    await story.getByText('=Lid "ajar", wind').waitFor();
    const instants = await story.locator('> .story time').evaluateAll((all) => all.map((one) => one.getAttribute('datetime')));
    expect(instants).toEqual(instants.toSorted());
  });

  test('hands out the report as it lies in the bundle', async () => {
    await using tab = await tabAt('/evidence/open');
    const { page } = tab;
    await choose(page, good);
    const download = page.waitForEvent('download');
    await page.getByRole('link', { name: 'Save its report (PDF)' }).click();
    const saved = await (await download).createReadStream();
    expect(Buffer.concat(await saved.toArray())).toEqual(Buffer.from(payload.get(names.REPORT) as Uint8Array));
    expect((await download).suggestedFilename()).toBe('report-north.pdf');
  });

  test('that does not hold is shown only with what is wrong on top', async () => {
    await using tab = await tabAt('/evidence/open');
    const { page } = tab;
    await choose(page, changed);
    await page.locator('.opened-strip').getByText('It does not hold.').waitFor();
    const banner = page.getByRole('region', { name: 'From a file, not live' });
    await banner.getByText('It does not hold: do not rely on what stands here.').waitFor();
    await banner.getByText('What somebody said was changed, made up or moved after it was signed.', { exact: false }).waitFor();
    await page.getByRole('region', { name: 'People' }).getByText('Drum 9 (r1)').waitFor();
  });

  test('that cannot be put together is not shown, and the checks say why', async () => {
    await using tab = await tabAt('/evidence/open');
    const { page } = tab;
    await choose(page, good.subarray(0, -30));
    await page.getByRole('region', { name: 'This bundle does not hold' }).waitFor();
    await page.getByText('What is in it cannot be put on screen', { exact: false }).waitFor();
    expect(await page.getByRole('article').count()).toBe(0);
  });
});

test.each(['light', 'dark'] as const)('opened, %s: fit for all', async (colorScheme) => {
  for (const size of [PHONE, DESK]) {
    await using tab = await tabAt('/evidence/open', { ...size, colorScheme });
    await choose(tab.page, good);
    await tab.page.getByRole('article').waitFor();
    await expectFitForAll(tab.page, size.viewport.width);
  }
});
