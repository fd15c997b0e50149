import { type Browser, type BrowserContext, type BrowserContextOptions, chromium, type Page } from 'playwright-core';
import { BROWSER } from '../support/browser.ts';

export const PHONE = { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true, reducedMotion: 'reduce' } as const;
export const DESK = { viewport: { width: 1440, height: 900 }, reducedMotion: 'reduce' } as const;

export function startBrowser(): Promise<Browser> {
  return chromium.launch(BROWSER);
}

/** A tab of its own, with what went wrong on it. */
export interface Tab {
  readonly page: Page;
  readonly context: BrowserContext;
  /** Uncaught errors and refusals by the content security policy. */
  readonly faults: string[];
  [Symbol.asyncDispose](): Promise<void>;
}

export async function openTab(browser: Browser, options: BrowserContextOptions = PHONE): Promise<Tab> {
  const context = await browser.newContext(options);
  const page = await context.newPage();
  const faults: string[] = [];
  page.on('pageerror', (error) => faults.push(error.message));
  page.on('console', (message) => {
    if (message.type() === 'error' && message.text().includes('Content Security Policy')) faults.push(message.text());
  });
  return { page, context, faults, [Symbol.asyncDispose]: () => context.close() };
}

/** Signs in on the page and waits until it is live. */
export async function signIn(page: Page, httpUrl: string, token: string, path = '/'): Promise<void> {
  await page.goto(`${httpUrl}${path}`);
  await page.getByLabel('Your name').fill('Robin');
  await page.getByLabel('Access token').fill(token);
  await page.getByRole('button', { name: 'Sign in' }).click();
  await page.getByText('Live', { exact: true }).waitFor();
}
