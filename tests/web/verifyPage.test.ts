import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser, BrowserContextOptions, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import * as names from '../../edge/evidence/bundle.ts';
import { fingerprint } from '../../edge/evidence/siteKey.ts';
import { CHECKS } from '../../edge/evidence/verify.ts';
import { bagOf, edited, flipped, packed, payloadOf, publicKey, zipOf } from '../evidence/support/bundle.ts';
import { smallYard } from '../evidence/support/yard.ts';
import { DESK, openTab, PHONE, startBrowser, type Tab } from './browser.ts';
import { faintWords } from './faint.ts';

const PAGE = join(import.meta.dirname, '..', '..', 'web', 'dist', 'verify.html');
const OWN_KEY = fingerprint(publicKey);
const COUNT = Object.keys(CHECKS).length;

const payload = payloadOf(smallYard());
const good = packed(payload);

let browser: Browser;
beforeAll(async () => {
  browser = await startBrowser();
});
afterAll(() => browser.close());

interface Opened extends Tab {
  /** Addresses that it asked for. */
  readonly asked: string[];
}

/** The built page, opened as a file with the network off. */
async function offline(options: BrowserContextOptions = PHONE): Promise<Opened> {
  const tab = await openTab(browser, options);
  const asked: string[] = [];
  tab.page.on('request', (request) => asked.push(request.url()));
  tab.page.setDefaultTimeout(10_000);
  await tab.context.setOffline(true);
  await tab.page.goto(pathToFileURL(PAGE).href);
  return { ...tab, asked };
}

async function choose(page: Page, bytes: Uint8Array, name = 'warmhours-north-j1.zip'): Promise<void> {
  await page.locator('input[type=file]').setInputFiles({ name, mimeType: 'application/zip', buffer: Buffer.from(bytes) });
}

async function giveKey(page: Page, key: string): Promise<void> {
  await page.getByLabel('Fingerprint of the site’s key').fill(key);
  await page.getByRole('button', { name: 'Compare' }).click();
}

const verdict = (page: Page, words: string) => page.getByRole('region', { name: words, exact: true });

/** How each check stands, by its word. */
const standings = (page: Page) => page.locator('.check-word').allTextContents();

describe('the file', () => {
  const page = readFileSync(PAGE, 'utf8');
  const policy = /http-equiv="Content-Security-Policy" content="([^"]+)"/.exec(page)?.[1] ?? '';

  test('is one page: nothing in it names another file or place to load from', () => {
    expect(page.match(/<script/g)).toHaveLength(1);
    expect(page.match(/<link[^>]*>/g)).toEqual(['<link rel="icon" href="data:,">']);
    expect(page).not.toMatch(/<(?:script|img|iframe|object|embed|source|form)[^>]*\s(?:src|href|action)=/i);
    expect(/<style>([\s\S]*)<\/style>/.exec(page)?.[1]).not.toMatch(/@import|url\(/);
    expect(page).not.toMatch(/\bimport\s*\(/);
  });

  test('lets through its own script and style by their hashes, and nothing else', () => {
    const hash = (text: string) => createHash('sha256').update(text).digest('base64');
    const script = /<script>([\s\S]*)<\/script>/.exec(page)?.[1] ?? '';
    const style = /<style>([\s\S]*)<\/style>/.exec(page)?.[1] ?? '';
    expect(script.length).toBeGreaterThan(50_000);
    expect(policy.split('; ')).toEqual([
      "default-src 'none'",
      `script-src 'sha256-${hash(script)}'`,
      `style-src 'sha256-${hash(style)}'`,
      'worker-src blob:',
      'img-src data:',
      "base-uri 'none'",
      "form-action 'none'",
    ]);
  });
});

describe('a good bundle, from a file and with the network off', () => {
  test('holds in every check, in their order; the key is left to the reader until a fingerprint is given', async () => {
    await using tab = await offline();
    const { page, asked, faults } = tab;
    await choose(page, good);
    await verdict(page, 'Every check holds, but one thing is left to you').waitFor();
    expect(await page.locator('.check').evaluateAll((all) => all.map((one) => one.getAttribute('data-check')))).toEqual(
      Object.keys(CHECKS),
    );
    expect(await standings(page)).toEqual(Object.keys(CHECKS).map((id) => (id === 'key' ? 'left to you' : 'right')));

    await giveKey(page, OWN_KEY.replaceAll(' ', '').toUpperCase());
    await verdict(page, 'Every check holds').waitFor();
    await page.getByText('It was signed with the key whose fingerprint you gave.').waitFor();
    expect(await standings(page)).toEqual(new Array(COUNT).fill('right'));
    expect(asked.filter((url) => !/^(?:file|blob|data):/.test(url))).toEqual([]);
    expect(faults).toEqual([]);
  });

  test('shows what there is to compare by eye, what it proves and what not, and the hours counted anew', async () => {
    await using tab = await offline(DESK);
    const { page } = tab;
    await choose(page, good);
    await page.locator('.verdict').waitFor();
    const fact = (name: string) =>
      page.locator('.bundle-facts div', { has: page.getByText(name, { exact: true }) }).locator('dd');
    expect((await fact('Fingerprint of the key').locator('span').allTextContents()).join(' ')).toBe(OWN_KEY);
    const digest = createHash('sha256').update(good).digest('hex');
    expect((await fact('SHA-256 of the file').locator('span').allTextContents()).join('')).toBe(digest);
    const bundle = names.Bundle.parse(JSON.parse(new TextDecoder().decode(payload.get(names.BUNDLE))));
    expect((await fact('Root of the record').locator('span').allTextContents()).join('')).toBe(bundle.tree.rootHash);
    expect(await fact('Anchor').textContent()).toBe('Signed, not yet anchored outside the site');
    expect(await fact('Signed').textContent()).toBe('Thu, Jan 15, 2026, 10:10:00 UTC');
    await page.getByText('It does not prove that the probes sat where they should', { exact: false }).waitFor();
    await page.getByText('Joint j1, Sump 1 (A-17)').waitFor();
    await page.getByText('reached Thu, Jan 15, 2026, 08:30:00 UTC').waitFor();
  });

  test('is judged on a thread of its own, and told to whoever hears the page', async () => {
    await using tab = await offline();
    const { page } = tab;
    const status = page.getByRole('status');
    expect(await status.textContent()).toBe('');
    const thread = page.waitForEvent('worker');
    await choose(page, good);
    expect((await thread).url()).toMatch(/^blob:/);
    await status.getByText('Checked. Every check holds', { exact: false }).waitFor();
  });

  test('is judged on the page itself where no thread can be had', async () => {
    await using tab = await openTab(browser);
    await tab.page.addInitScript('globalThis.Worker = class { constructor() { throw new Error("no threads here"); } }');
    await tab.context.setOffline(true);
    await tab.page.goto(pathToFileURL(PAGE).href);
    await choose(tab.page, good);
    await verdict(tab.page, 'Every check holds, but one thing is left to you').waitFor();
    expect(tab.page.workers()).toEqual([]);
    expect(tab.faults).toEqual([]);
  });

  test('can be dropped anywhere on the page', async () => {
    await using tab = await offline(DESK);
    const { page } = tab;
    await page.evaluate(
      `(() => {
        const bytes = Uint8Array.from(atob(${JSON.stringify(Buffer.from(good).toString('base64'))}), (one) => one.charCodeAt(0));
        const dropped = new DataTransfer();
        dropped.items.add(new File([bytes], 'dropped.zip'));
        document.querySelector('h1').dispatchEvent(new DragEvent('drop', { dataTransfer: dropped, bubbles: true, cancelable: true }));
      })()`,
    );
    await verdict(page, 'Every check holds, but one thing is left to you').waitFor();
    await page.getByText('dropped.zip').waitFor();
  });
});

describe('what is wrong is named first, with what it means', () => {
  const spoilt: readonly [what: string, bytes: Uint8Array, check: keyof typeof CHECKS, consequence: string][] = [
    ['cut short', good.subarray(0, -100), 'zip', 'This is not a whole bundle as it was handed out'],
    ['with a byte behind it', Buffer.concat([good, Buffer.of(0)]), 'zip', 'This is not a whole bundle'],
    ['of another kind', Buffer.from('Dear adjuster, all was warm.'), 'zip', 'This is not a whole bundle'],
    [
      'with words that were changed, and every list redone',
      packed(edited(payload, names.ENTRIES, (text) => text.replace('Drum 1', 'Drum 9'))),
      'inclusion',
      'What somebody said was changed, made up or moved after it was signed.',
    ],
    [
      'with a reading left out of the list that people open',
      packed(edited(payload, names.READINGS, (text) => text.split('\n').toSpliced(4, 1).join('\n'))),
      'derived-readings',
      'The readings that people open are not those that were signed',
    ],
    [
      'with another claim of warm hours',
      packed(edited(payload, names.RECORD, (text) => text.replace(/"creditPpmMs":(\d)/, '"creditPpmMs":9$1'))),
      'hours',
      'do not follow from its readings by its own rules',
    ],
    [
      'signed with another key than its own',
      packed(
        new Map(payload).set(
          names.SITE_KEY,
          payloadOf(smallYard(), { key: new Uint8Array(32).fill(9) }).get(names.SITE_KEY) as Uint8Array,
        ),
      ),
      'signature',
      'Nothing in the bundle is vouched for.',
    ],
    ['with a file less', zipOf(withoutReport()), 'bag', 'A file was changed, added or taken out after the bundle was packed.'],
  ];

  test.each(spoilt)('%s', async (_, bytes, check, consequence) => {
    await using tab = await offline();
    const { page } = tab;
    await choose(page, bytes);
    const told = verdict(page, 'This bundle does not hold');
    await told.getByText(`The first thing that is wrong: “${CHECKS[check]}” does not hold.`).waitFor();
    expect(await told.locator('.verdict-means').textContent()).toContain(consequence);
    const words = await standings(page);
    expect(words).toHaveLength(COUNT);
    expect(words.indexOf('wrong')).toBe(Object.keys(CHECKS).indexOf(check));
    expect(await page.getByRole('status').textContent()).toContain(CHECKS[check]);
    expect(tab.faults).toEqual([]);
  });

  test('a key that is not the one that the reader was given', async () => {
    await using tab = await offline();
    await giveKey(tab.page, Buffer.from(flipped(Buffer.from(OWN_KEY.replaceAll(' ', ''), 'hex'), 3)).toString('hex'));
    await choose(tab.page, good);
    const told = verdict(tab.page, 'This bundle does not hold');
    await told.getByText(`“${CHECKS.key}” does not hold.`, { exact: false }).waitFor();
    await told.getByText('It was not signed by the site whose key you were given. Do not rely on it.').waitFor();
  });
});

describe('what cannot be judged', () => {
  test('a fingerprint that is none is refused beside its field, and the verdict before stays', async () => {
    await using tab = await offline();
    const { page } = tab;
    await choose(page, good);
    await verdict(page, 'Every check holds, but one thing is left to you').waitFor();
    await giveKey(page, OWN_KEY.slice(0, -1));
    await page.getByText('A fingerprint has 64 digits, from 0 to 9 and a to f. This has 63.').waitFor();
    await giveKey(page, `${OWN_KEY.slice(0, -1)}o`);
    await page.getByText('This has “o” in it.', { exact: false }).waitFor();
    expect(await page.getByLabel('Fingerprint of the site’s key').getAttribute('aria-invalid')).toBe('true');
    await verdict(page, 'Every check holds, but one thing is left to you').waitFor();
  });

  test('an empty file', async () => {
    await using tab = await offline();
    await choose(tab.page, new Uint8Array(0));
    await tab.page.getByText('The file is empty.').waitFor();
    expect(await tab.page.locator('.check').count()).toBe(0);
  });
});

describe('for everybody', () => {
  test.each([
    ['phone', 'light', PHONE],
    ['phone', 'dark', PHONE],
    ['desk', 'light', DESK],
    ['desk', 'dark', DESK],
  ] as const)(
    '%s, %s: every word stands out, nothing runs off the side, all targets are big enough',
    async (_, colorScheme, size) => {
      await using tab = await offline({ ...size, colorScheme });
      const { page } = tab;
      for (const bytes of [good, good.subarray(1)]) {
        await choose(page, bytes);
        await page.locator('.verdict').waitFor();
        await page.getByRole('button', { name: 'Print this' }).waitFor();
        const { looked, faint } = await faintWords(page);
        expect(faint).toEqual([]);
        expect(looked).toBeGreaterThan(40);
        expect(await page.evaluate<number>('document.documentElement.scrollWidth')).toBeLessThanOrEqual(size.viewport.width);
        const boxes = await Promise.all(
          (await page.locator('button:visible, input:visible, a:visible').all()).map((target) => target.boundingBox()),
        );
        expect(boxes).toHaveLength(4);
        // The field of the file lies over its label, within the label's edge.
        for (const box of boxes) expect(box?.height).toBeGreaterThanOrEqual(52);
      }
    },
  );

  test('the keyboard alone is enough', async () => {
    await using tab = await offline(DESK);
    const { page } = tab;
    await page.keyboard.press('Tab');
    const chooser = page.waitForEvent('filechooser');
    await page.keyboard.press('Space');
    await (await chooser).setFiles({ name: 'b.zip', mimeType: 'application/zip', buffer: Buffer.from(good) });
    await verdict(page, 'Every check holds, but one thing is left to you').waitFor();
    await page.keyboard.press('Tab');
    await page.keyboard.type(OWN_KEY);
    await page.keyboard.press('Enter');
    await verdict(page, 'Every check holds').waitFor();
  });

  test('on paper stands the verdict with all that it rests on, and nothing that can be pressed', async () => {
    await using tab = await offline({ ...DESK, colorScheme: 'dark' });
    const { page } = tab;
    await choose(page, good);
    await page.locator('.verdict').waitFor();
    await page.emulateMedia({ media: 'print' });
    expect(await page.locator('button:visible, input:visible').count()).toBe(0);
    expect(await page.locator('.verdict:visible, .digits:visible').count()).toBe(4);
    expect(await page.locator('.check:visible').count()).toBe(COUNT);
    expect((await faintWords(page)).faint).toEqual([]);
    // Dark ink on light paper, whatever the screen is set to.
    expect(await page.evaluate<string>('getComputedStyle(document.documentElement).backgroundColor')).toBe('rgb(242, 241, 236)');
  });
});

function withoutReport(): ReturnType<typeof bagOf> {
  const files = bagOf(payload);
  if (!files.delete(`warmhours-north-j1/data/${names.REPORT}`)) throw new Error('there was no report');
  return files;
}
