import { createHash } from 'node:crypto';
import type { Browser, BrowserContextOptions, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { fingerprint } from '../../edge/evidence/siteKey.ts';
import { verifyBundle } from '../../edge/evidence/verify.ts';
import { DESK, openTab, PHONE, signIn, startBrowser } from './browser.ts';
import { choose, expectFitForAll, savedBy, tabAt as tabOf } from './bundles.ts';
import { startRelay } from './relay.ts';
import { tap, Yard } from './yard.ts';

let yard: Yard;
let browser: Browser;

beforeAll(async () => {
  [yard, browser] = await Promise.all([Yard.open(), startBrowser()]);
  await yard.say({ kind: 'site.described', name: 'Two sumps', timeZone: 'America/New_York' }, 'quality');
  await twoSumps();
});
afterAll(async () => {
  await browser.close();
  await yard[Symbol.asyncDispose]();
});

const tabAt = (path: string, options?: BrowserContextOptions) => tabOf(browser, yard, path, options);

/** Two sumps, three joints, and a lot that went into two of these. */
async function twoSumps(): Promise<void> {
  await yard.say({ kind: 'lot.added', lot: 'R-77', material: 'resin', label: 'Winter resin' });
  await yard.say({ kind: 'lot.added', lot: 'R-99', material: 'resin', label: 'Unopened drum' });
  await yard.say({ kind: 'sump.added', sump: 'north', label: 'Tank 1 north', serial: 'WS-2207-A' });
  await yard.say({ kind: 'sump.added', sump: 'south', label: 'Tank 1 south', serial: 'WS-2208-B' });
  await yard.joint('n-base', { sump: 'north', label: 'Base laminate' }, -30);
  await yard.joint('n-collar', { sump: 'north', label: 'Collar' }, -30);
  await yard.joint('s-base', { sump: 'south', label: 'Base laminate' }, -30);
  for (const joint of ['n-base', 's-base'])
    await yard.say({
      ...{ kind: 'mix.recorded', joint, at: yard.at(-26.2), resin: { value: 1, unit: 'quart' } },
      ...{ catalystMillilitres: 15, resinCelsius: 18, resinLot: 'R-77' },
    });
  await yard.signSurface('n-base', -26.5);
  await yard.say({ kind: 'joint.laidUp', joint: 'n-base', at: yard.at(-26) });
  await yard.say({ kind: 'joint.laidUp', joint: 's-base', at: yard.at(-26) }, 'quality');
}

const hits = (page: Page) => page.locator('.hit h3').allTextContents();

describe('finding', () => {
  test('without a word all joints are there; by serial number, lot, person, finding or day those that fit', async () => {
    await using tab = await tabAt('/evidence', DESK);
    const { page } = tab;
    await page.getByText('3 joints', { exact: true }).waitFor();

    const any = page.getByLabel('Serial number, or any words');
    await any.fill('ws 2207');
    await tap(page, 'Find');
    await page.getByText('2 joints', { exact: true }).waitFor();
    expect((await hits(page)).toSorted()).toEqual(['Base laminate, Tank 1 north', 'Collar, Tank 1 north']);
    expect(page.url()).toContain('/evidence?q=ws+2207');
    await any.fill('WS-0000');
    await any.press('Enter');
    await page.getByText('Nothing matches.', { exact: false }).waitFor();
    await page.goBack();
    await page.getByText('2 joints', { exact: true }).waitFor();

    await tap(page, 'Clear');
    await page.getByText('3 joints', { exact: true }).waitFor();
    await page.getByText('Search field by field').click();
    const field = async (label: string, value: string) => {
      await page.getByLabel(label, { exact: true }).fill(value);
      await tap(page, 'Find');
    };
    await field('Lot', 'R-77');
    await page.getByText('2 joints', { exact: true }).waitFor();
    await page.getByLabel('Finding').selectOption({ label: 'Surface not signed for' });
    await tap(page, 'Find');
    await page.getByText('1 joint', { exact: true }).waitFor();
    expect(await hits(page)).toEqual(['Base laminate, Tank 1 south']);
    await tap(page, 'Clear');
    await page.getByText('3 joints', { exact: true }).waitFor();
    await page.getByText('Search field by field').click();
    await field('Worked on from', '2031-01-01');
    await page.getByText('Nothing matches.', { exact: false }).waitFor();
    expect(tab.faults).toEqual([]);
  });

  test('what was found tells how it stands', async () => {
    await using tab = await tabAt('/evidence?joint=s-base');
    const hit = tab.page.getByRole('article', { name: 'Base laminate, Tank 1 south' });
    await hit.getByText('serial number WS-2208-B').waitFor();
    await hit.getByText('Curing').or(hit.getByText('Ready for')).first().waitFor();
    await hit.getByText(/^Findings: [1-9]\d* waiting, 0 decided$/).waitFor();
    await hit.getByText(/^People: \w/).waitFor();
    await hit.getByRole('link', { name: 'Lot R-77' }).waitFor();
  });

  test('a service that refuses is heard in words', async () => {
    await using tab = await tabAt('/evidence');
    const { page } = tab;
    await page.getByText('3 joints', { exact: true }).waitFor();
    await page.goto(`${yard.service.httpUrl}/evidence?finding=no-such-finding`);
    await page.getByRole('alert').filter({ hasText: /\w/ }).waitFor();
  });
});

describe('handing out', () => {
  test('a bundle at one tap, which holds on the page that the site serves, network off', async () => {
    await using tab = await tabAt('/evidence?joint=n-base', DESK);
    const { page } = tab;
    const { name, bytes } = await savedBy(page, 'Bundle of Base laminate, Tank 1 north (.zip)');
    expect(name).toBe('warmhours-yard-n-base.zip');
    await page
      .getByRole('status')
      .getByText(/^warmhours-yard-n-base\.zip is saved: \d+\.\d MB\.$/)
      .waitFor();
    await page.getByText('Fingerprint of the site’s key').waitFor();
    const shown = (await page.locator('.digits').first().locator('span').allTextContents()).join('');

    await using own = await openTab(browser, PHONE);
    own.page.setDefaultTimeout(10_000);
    await own.page.goto(`${yard.service.httpUrl}/verify.html`);
    await own.context.setOffline(true);
    await own.page.getByLabel('Fingerprint of the site’s key').fill(shown);
    await choose(own.page, bytes);
    await own.page.getByRole('region', { name: 'Every check holds', exact: true }).waitFor();
    expect(own.faults).toEqual([]);
  });

  test('several that are ticked in one packet, opened again joint by joint', async () => {
    await using tab = await tabAt('/evidence?sump=north', DESK);
    const { page } = tab;
    await page.getByLabel('Into one packet with others: Base laminate, Tank 1 north').check();
    await page.getByLabel('Into one packet with others: Collar, Tank 1 north').check();
    await page.getByText('2 joints ticked').waitFor();
    const { name, bytes } = await savedBy(page, 'One packet of all that are ticked (.zip)');
    expect(name).toBe('warmhours-yard-2-joints.zip');
    await page.goto(`${yard.service.httpUrl}/evidence/open`);
    await choose(page, bytes);
    await page.locator('.opened-strip').getByText('It holds', { exact: false }).waitFor();
    await page.getByRole('article', { name: 'Base laminate' }).getByText('Winter resin (R-77)').first().waitFor();
    await page.getByRole('article', { name: 'Collar' }).getByText('Not laid up, so there is nothing to draw.').waitFor();
  });

  test('the report in either size and the readings alone', async () => {
    await using tab = await tabAt('/evidence?joint=n-base', DESK);
    const { page } = tab;
    await page.getByText('Report or readings alone, or the whole sump').click();
    const letter = await savedBy(page, 'Report, letter size (.pdf)');
    await page.getByLabel('A4', { exact: true }).check();
    const a4 = await savedBy(page, 'Report, A4 (.pdf)');
    for (const { name, bytes } of [letter, a4])
      expect([name, bytes.subarray(0, 5).toString()]).toEqual(['warmhours-yard-n-base.pdf', '%PDF-']);
    expect(letter.bytes.toString('latin1')).toContain('/MediaBox [0 0 612 792]');
    expect(a4.bytes.toString('latin1')).toContain('/MediaBox [0 0 595.28 841.89]');
    const csv = await savedBy(page, 'Readings (.csv)');
    expect(csv.bytes.toString().split('\r\n')[0]).toBe('source,quantity,utc,site_time,value,unit,arrival_utc');
  });

  test('while it is made the page says so, and stops when told to', async () => {
    await using tab = await tabAt('/evidence?joint=n-base');
    const { page } = tab;
    let asked = 0;
    await page.route('**/evidence.zip*', () => {
      // Nobody answers: it is being made for ever.
      asked++;
    });
    await tap(page, 'Bundle of Base laminate, Tank 1 north (.zip)');
    await page.getByRole('status').getByText('Base laminate, Tank 1 north, Bundle (.zip) is being made …').waitFor();
    await tap(page, 'Stop');
    await page.getByRole('status').getByText('Stopped. Nothing was saved.').waitFor();
    expect(asked).toBe(1);
  });

  test('one that breaks off or is refused is not saved, and that is said', async () => {
    await using tab = await tabAt('/evidence?joint=n-base');
    const { page } = tab;
    const downloads: string[] = [];
    page.on('download', (download) => downloads.push(download.suggestedFilename()));
    await page.route('**/evidence.zip*', (route) =>
      route.fulfill({
        status: 503,
        json: { status: 503, code: 'busy', title: 'Two packets are being made', detail: 'Ask again soon.' },
      }),
    );
    await tap(page, 'Bundle of Base laminate, Tank 1 north (.zip)');
    await page.getByRole('alert').getByText('Two packets are being made', { exact: false }).waitFor();
    await page.evaluate(`window.fetch = async () => new Response(new ReadableStream({
      start: (stream) => stream.enqueue(new Uint8Array(5000)),
      pull: (stream) => stream.error(new TypeError('the line is cut')),
    }))`);
    await tap(page, 'Bundle of Base laminate, Tank 1 north (.zip)');
    await page.getByRole('status').getByText('The packet broke off on its way.', { exact: false }).waitFor();
    expect(downloads).toEqual([]);
  });
});

describe('a recall', () => {
  test('lists every joint that the lot went into, and ticks them all', async () => {
    await using tab = await tabAt('/evidence?joint=n-base', DESK);
    const { page } = tab;
    await page.getByRole('link', { name: 'Lot R-77' }).click();
    await page.getByText('Winter resin, lot R-77').waitFor();
    await page.getByText('2 joints of 2 sumps').waitFor();
    expect((await hits(page)).toSorted()).toEqual(['Base laminate, Tank 1 north', 'Base laminate, Tank 1 south']);
    expect(await page.getByText(/^As the resin, .* by \w.*\.$/).count()).toBe(2);
    await tap(page, 'Tick all');
    await page.getByText('2 joints ticked').waitFor();
  });

  test.each([
    ['a drum that was never opened', 'R-99'],
    ['one that nobody has heard of', 'R-00'],
  ])('of %s says that there is nothing', async (_, lot) => {
    await using tab = await tabAt(`/evidence/lots/${lot}`);
    await tab.page.getByText(`No joint on this site’s record was made with a lot “${lot}”.`, { exact: false }).waitFor();
  });
});

test('the story of a joint as the site’s record tells it, findings in their place', async () => {
  await using tab = await tabAt('/evidence?joint=n-base', DESK);
  const { page } = tab;
  await page.getByRole('link', { name: 'The story of Base laminate, Tank 1 north' }).click();
  const story = page.getByRole('region', { name: 'What happened, in order' });
  await story.waitFor();
  const titles = await story.locator('li b').allTextContents();
  expect(titles.slice(0, 3)).toEqual(['Surface signed', 'Mixed', 'Laid up']);
  const { bytes } = await savedBy(page, 'Get it as a bundle (.zip)');
  expect(bytes.subarray(0, 2).toString()).toBe('PK');
  await page.getByRole('button', { name: 'Back to what was found' }).click();
  await page.getByText('1 joint', { exact: true }).waitFor();
});

test('a joint’s page leads to its story, and whoever may only read finds the way from the first page', async () => {
  await using tab = await tabAt('/joints/n-base');
  await tab.page.getByRole('link', { name: 'Its story, and evidence to hand out' }).click();
  await tab.page.getByRole('heading', { name: 'The story of Base laminate, Tank 1 north' }).waitFor();

  await using reader = await openTab(browser, PHONE);
  reader.page.setDefaultTimeout(10_000);
  await signIn(reader.page, yard.service.httpUrl, yard.service.roleTokens.claims);
  await reader.page.getByRole('link', { name: 'Evidence', exact: true }).click();
  await reader.page.getByText('3 joints', { exact: true }).waitFor();
  const { bytes } = await savedBy(reader.page, 'Bundle of Base laminate, Tank 1 south (.zip)');
  expect(verifyBundle(bytes)).toMatchObject({ ok: true, summary: { site: 'yard', joints: ['s-base'] } });
  expect([...tab.faults, ...reader.faults]).toEqual([]);
});

test('what the site has signed stands there to be noted down', async () => {
  await using tab = await tabAt('/evidence', DESK);
  const signed = tab.page.getByRole('region', { name: 'What the site has signed' });
  await signed.getByText(/^[\d,]+ leaves, signed \w{3}, .* UTC$/).waitFor();
  const digits = await signed.locator('.digits').allTextContents();
  const page = await fetch(`${yard.service.httpUrl}/verify.html`).then((response) => response.arrayBuffer());
  expect(digits[0]).toBe(fingerprint(yard.service.live.publicKey).replaceAll(' ', ''));
  expect(digits[2]).toBe(createHash('sha256').update(Buffer.from(page)).digest('hex'));
  await signed.getByText('Signed, not yet anchored outside the site').waitFor();
  await signed.getByText('The checkpoint as it was signed').click();
  await signed.getByText('— warmhours/yard ', { exact: false }).waitFor();
});

const pages = ['/evidence', '/evidence/lots/R-77', '/evidence/joints/n-base'].flatMap((path) =>
  (['light', 'dark'] as const).map((colorScheme) => [path, colorScheme] as const),
);

test.each(pages)('%s, %s: fit for all', async (path, colorScheme) => {
  for (const size of [PHONE, DESK]) {
    await using tab = await tabAt(path, { ...size, colorScheme });
    await tab.page
      .getByRole('button', { name: /\(\.zip\)/ })
      .first()
      .waitFor();
    await expectFitForAll(tab.page, size.viewport.width);
  }
});

test('with the link down the page stays, says of when it is, and hands out nothing', async () => {
  await using relay = await startRelay(yard.service.httpUrl);
  const own = await yard.phone('crew', relay.url);
  await own.goto(`${relay.url}/evidence?joint=n-base`);
  await own.getByText('1 joint', { exact: true }).waitFor();
  relay.cut();
  await own.getByText(/^No connection: this was so .* Packets cannot be made now\.$/).waitFor();
  await own.getByText('Base laminate, Tank 1 north').waitFor();
  expect(await own.getByRole('button', { name: 'Bundle of Base laminate, Tank 1 north (.zip)' }).isDisabled()).toBe(true);
});
