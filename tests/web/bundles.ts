import type { Browser, BrowserContextOptions, Page } from 'playwright-core';
import { expect } from 'vitest';
import * as names from '../../edge/evidence/bundle.ts';
import { edited, packed, payloadOf } from '../evidence/support/bundle.ts';
import { smallYard } from '../evidence/support/yard.ts';
import { openTab, PHONE, signIn, type Tab } from './browser.ts';
import { faintWords } from './faint.ts';
import { tap, type Yard } from './yard.ts';

export const payload = payloadOf(smallYard());
export const good = packed(payload);
/** With words that were changed after they were signed, and every list redone. */
export const changed = packed(edited(payload, names.ENTRIES, (text) => text.replace('Drum 1', 'Drum 9')));

/** Chooses a bundle on the page. */
export async function choose(page: Page, bytes: Uint8Array): Promise<void> {
  const file = { name: 'bundle.zip', mimeType: 'application/zip', buffer: Buffer.from(bytes) };
  await page.locator('input[type=file]').setInputFiles(file);
}

/** A tab of its own at a page of the yard’s service, signed in. */
export async function tabAt(browser: Browser, yard: Yard, path: string, options: BrowserContextOptions = PHONE): Promise<Tab> {
  const tab = await openTab(browser, options);
  tab.page.setDefaultTimeout(10_000);
  await signIn(tab.page, yard.service.httpUrl, yard.service.token, path);
  return tab;
}

/** What was saved by a click. */
export async function savedBy(page: Page, button: string): Promise<{ name: string; bytes: Buffer<ArrayBuffer> }> {
  const download = page.waitForEvent('download');
  await tap(page, button);
  const stream = await (await download).createReadStream();
  return { name: (await download).suggestedFilename(), bytes: Buffer.concat(await stream.toArray()) };
}

/** Every word on it stands out, nothing runs off its side, and all that can be tapped is big enough for a glove. */
export async function expectFitForAll(page: Page, widthPx: number): Promise<void> {
  const { looked, faint } = await faintWords(page);
  expect(faint).toEqual([]);
  expect(looked).toBeGreaterThan(15);
  expect(await page.evaluate<number>('document.documentElement.scrollWidth')).toBeLessThanOrEqual(widthPx);
  const targets = page.locator('main').locator('a:visible, button:visible, summary:visible, input:visible, select:visible');
  // What is ticked or chosen is tapped on its words.
  const heights = await targets.evaluateAll((all) =>
    all.map((one) => (one.closest('label') ?? one).getBoundingClientRect().height),
  );
  expect(heights.length).toBeGreaterThan(3);
  expect(Math.min(...heights)).toBeGreaterThanOrEqual(56);
}
