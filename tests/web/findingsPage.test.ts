import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { FindingView } from '../../edge/site/views/finding.ts';
import { sheet, tap, tick, Yard } from './yard.ts';

let yard: Yard;
let crew: Page;
let quality: Page;

/** 5 mL in a quart: half a percent where one is the least. */
const thin = { resin: { value: 1, unit: 'quart' }, catalystMillilitres: 5, resinCelsius: 16 };
const TITLE = 'Catalyst outside the allowed band';

beforeAll(async () => {
  yard = await Yard.open();
  await yard.say({ kind: 'sump.added', sump: 's1', label: 'North' });
  for (const [joint, label] of [
    ['weak', 'Weak wrap'],
    ['spare', 'Spare wrap'],
  ] as const) {
    await yard.joint(joint, { sump: 's1', label }, -4);
    await yard.signSurface(joint, -3.5);
    await yard.say({ kind: 'mix.recorded', joint, at: yard.at(-3.2), ...thin });
    await yard.say({ kind: 'joint.laidUp', joint, at: yard.at(-3) });
  }
  [crew, quality] = [await yard.phone('crew'), await yard.phone('quality')];
  for (const page of [crew, quality]) await page.goto(`${yard.service.httpUrl}/findings`);
});
afterAll(() => yard[Symbol.asyncDispose]());

const card = (page: Page, joint: string) => page.locator('.finding', { hasText: TITLE }).filter({ hasText: joint });
const button = (page: Page, joint: string, name: string) => card(page, joint).getByRole('button', { name, exact: true });

async function findingOf(joint: string): Promise<FindingView | undefined> {
  return (await yard.readJoint(joint)).findings.find(({ code }) => code === 'mix-outside-band');
}

async function give(page: Page, reason: string, confirm: string): Promise<void> {
  await sheet(page).getByLabel('Reason').fill(reason);
  await sheet(page).getByRole('button', { name: confirm, exact: true }).click();
  await sheet(page).waitFor({ state: 'detached' });
}

test('crew read it with its evidence, and are told who may decide', async () => {
  await card(crew, 'Weak wrap')
    .getByText(/Blocks: Stress and Water test/)
    .waitFor();
  await card(crew, 'Weak wrap')
    .getByText(/^Quality or administrator may decide this; you are signed in as crew\.$/)
    .waitFor();
  for (const name of ['Accept', 'Redo the joint', 'Settled by proof'])
    expect(await button(crew, 'Weak wrap', name).isDisabled(), name).toBe(true);
});

test('quality accept with a reason, which everybody sees, and take it back', async () => {
  await button(quality, 'Weak wrap', 'Accept').click();
  await give(quality, 'Sheet of this lot allows it', 'Accept it');
  await crew.getByText(/^Decided \(1\)/).click();
  await card(crew, 'Weak wrap')
    .getByText(/^Accepted by Robin \(quality\)/)
    .waitFor();
  await card(crew, 'Weak wrap').getByText('“Sheet of this lot allows it”').waitFor();
  expect(await button(crew, 'Weak wrap', 'Take back the decision').count()).toBe(0);
  expect(await findingOf('weak')).toMatchObject({ open: false, decision: { decision: 'accept', role: 'quality' } });

  await quality.getByText(/^Decided \(1\)/).click();
  await button(quality, 'Weak wrap', 'Take back the decision').click();
  await give(quality, 'Wrong lot', 'Yes, take it back');
  await expect.poll(async () => (await findingOf('weak'))?.open, { timeout: 5000 }).toBe(true);
  await card(crew, 'Weak wrap').locator('del').getByText('Sheet of this lot allows it').waitFor();
  await card(crew, 'Weak wrap')
    .getByText(/^Taken back by Robin, .*: Wrong lot$/)
    .waitFor();
});

test('a proof settles it once one is on record that passes', async () => {
  const settle = button(quality, 'Weak wrap', 'Settled by proof');
  await card(quality, 'Weak wrap').getByText('No proof since then passes yet.').waitFor();
  expect(await settle.isDisabled()).toBe(true);

  await crew.goto(`${yard.service.httpUrl}/joints/weak`);
  await tap(crew, 'Record a proof');
  await sheet(crew).getByLabel('Hardness readings').fill('38 41 40');
  await sheet(crew).getByLabel('Maker’s minimum for a full cure').fill('40');
  await sheet(crew).getByRole('radio', { name: 'Firm' }).check();
  await sheet(crew).getByText('Passes: hard enough and firm.').waitFor();
  await tap(crew, 'Put the proof on record');
  await sheet(crew)
    .getByText(/^The joint still lacks \d+\.\d warm hours for stress; a proof this early says little/)
    .waitFor();
  await tap(crew, 'Yes, it is right');
  await sheet(crew).waitFor({ state: 'detached' });

  await settle.click();
  await give(quality, 'Hardness taken', 'Yes, settled');
  await expect.poll(async () => (await findingOf('weak'))?.decision?.decision, { timeout: 5000 }).toBe('proof');
  await crew.getByText(/^Decided \(1\)/).click();
  await crew.getByText(/^Settled by proof by Robin \(quality\)/).waitFor();
  await crew.getByText(/^Proof by \w+, .+: hard enough and firm\.$/).waitFor();
});

test('a finding leads to the chart of its joint, from the list and from the joint itself', async () => {
  const phone = await yard.phone('quality');
  await phone.goto(`${yard.service.httpUrl}/findings`);
  await card(phone, 'Spare wrap').getByText('May be decided by: quality or administrator.').waitFor();
  const isInSight = () =>
    phone
      .locator('#chart')
      .evaluate((chart) => Math.abs(chart.getBoundingClientRect().top) < (chart.ownerDocument.defaultView?.innerHeight ?? 0) / 2);
  await card(phone, 'Spare wrap').getByRole('link', { name: 'See it on the chart' }).click();
  await phone.waitForURL(/\/joints\/spare#chart$/);
  await expect.poll(isInSight).toBe(true);
  await phone.evaluate('window.scrollTo(0, 0)');
  expect(await isInSight()).toBe(false);
  await phone.getByRole('link', { name: 'See it on the chart' }).first().click();
  await expect.poll(isInSight).toBe(true);
});

test('a joint to be redone is void until it is laid up anew from zero', async () => {
  await button(quality, 'Spare wrap', 'Redo the joint').click();
  await give(quality, 'Never cures', 'Yes, redo the joint');
  await card(quality, 'Spare wrap').getByText('The joint stays to be redone until it is laid up anew.').waitFor();
  await crew.goto(`${yard.service.httpUrl}/joints/spare`);
  await crew.locator('.phase-name', { hasText: 'To be redone' }).waitFor();
  await crew
    .locator('.joint-now')
    .getByText(/^To be redone by Robin \(quality\)/)
    .waitFor();
  await crew.locator('.joint-now').getByText('“Never cures”').waitFor();
  expect((await yard.readJoint('spare')).phase).toBe('void');

  await tap(crew, 'Surface ready');
  await tick(crew, 'Sanded', 'Wiped with solvent', 'Dry to the touch');
  await tap(crew, 'Sign: sanded, wiped, dry');
  await sheet(crew).waitFor({ state: 'detached' });
  await tap(crew, 'Laid again from zero');
  await crew.getByRole('button', { name: /^Yes, laid again at/ }).click();
  await crew.locator('.phase-name', { hasText: 'Curing' }).waitFor();
  await card(quality, 'Spare wrap').waitFor({ state: 'detached' });
  expect(await yard.readJoint('spare')).toMatchObject({ phase: 'curing', attempt: 2 });
  expect(yard.faults).toEqual([]);
});
