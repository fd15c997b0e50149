import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';
import { BROWSER } from '../support/browser.ts';
import { median, print } from './table.ts';

const PAGE = join(import.meta.dirname, '..', '..', 'web', 'dist', 'verify.html');
const GOAL_MS = 2000;
const RUNS = 5;

/** How long the page that works offline takes for a bundle, from the choice of the file to the verdict on screen. */
export async function verifyInBrowser(bundle: Uint8Array): Promise<void> {
  const file = { name: 'bundle.zip', mimeType: 'application/zip', buffer: Buffer.from(bundle) };
  const browser = await chromium.launch(BROWSER);
  try {
    const tookMs: number[] = [];
    for (let run = 0; run < RUNS; run++) {
      // Each time a page that has judged nothing before.
      const context = await browser.newContext();
      await context.setOffline(true);
      const page = await context.newPage();
      await page.goto(pathToFileURL(PAGE).href);
      const startMs = performance.now();
      await page.locator('input[type=file]').setInputFiles(file);
      await page.locator('.verdict:not(.is-wrong)').waitFor();
      tookMs.push(performance.now() - startMs);
      await context.close();
    }
    const typicalMs = median(tookMs);
    print({
      what: '  verified in Chromium, network off',
      figure: `${(typicalMs / 1000).toFixed(2)} s`,
      goal: { text: `< ${GOAL_MS / 1000} s`, met: typicalMs < GOAL_MS },
    });
  } finally {
    await browser.close();
  }
}
