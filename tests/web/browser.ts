import { type Browser, type BrowserContext, type BrowserContextOptions, chromium, type Page } from 'playwright-core';

/** Where Debian puts it. */
const CHROMIUM = '/usr/bin/chromium';
/** Nothing but the page under test may be asked for, and nothing of the machine be touched. */
const FLAGS = [
  '--headless',
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

export const PHONE = { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true, reducedMotion: 'reduce' } as const;
export const DESK = { viewport: { width: 1440, height: 900 }, reducedMotion: 'reduce' } as const;

export function startBrowser(): Promise<Browser> {
  return chromium.launch({ executablePath: CHROMIUM, args: FLAGS });
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
