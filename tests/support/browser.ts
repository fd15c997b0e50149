import type { LaunchOptions } from 'playwright-core';

/** Debian's Chromium, kept from talking to anybody but us. Every launch has a new, empty profile. */
export const BROWSER: LaunchOptions = {
  executablePath: '/usr/bin/chromium',
  args: [
    '--headless',
    '--no-sandbox',
    '--disable-gpu',
    '--disable-quic',
    '--no-first-run',
    '--disable-background-networking',
    '--disable-component-update',
    '--disable-sync',
  ],
};
