import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { builtInPolyesterMix } from '../../edge/cure/mix.ts';
import { sheet, tap, tick, Yard } from './yard.ts';

let yard: Yard;
let page: Page;

beforeAll(async () => {
  yard = await Yard.open();
  await yard.say({ kind: 'sump.added', sump: 's1', label: 'North' });
  await yard.joint('wrap', { sump: 's1', label: 'Base wrap' }, -1);
  page = await yard.phone('crew');
});
afterAll(() => yard[Symbol.asyncDispose]());

const open = (path: string) => page.goto(`${yard.service.httpUrl}${path}`);
const dose = () => page.locator('.dose-amount');

async function fill(fields: Record<string, string>): Promise<void> {
  for (const [label, value] of Object.entries(fields)) await page.getByLabel(label, { exact: true }).fill(value);
}

describe('from the surface to the mix', () => {
  test('a surface is signed only with all three ticks', async () => {
    await open('/joints/wrap');
    await page.getByText('Planned').first().waitFor();
    await tap(page, 'Surface ready');
    const sign = page.getByRole('button', { name: 'Sign: sanded, wiped, dry' });
    await tick(page, 'Sanded', 'Wiped with solvent');
    expect(await sign.isDisabled()).toBe(true);
    await tick(page, 'Dry to the touch');
    await sign.click();
    await page
      .locator('.joint-now')
      .getByText(/^Surface signed/)
      .waitFor();
    expect((await yard.readJoint('wrap')).prepAt).not.toBeNull();
  });

  test('15 mL for a quart at 60 °F; outside the rules no number but whom to ask', async () => {
    await page.getByRole('link', { name: 'Mix resin' }).click();
    await fill({ 'Amount of resin': '1', 'Resin temperature, °F': '50', 'Air temperature, °F': '60' });
    await page.getByText(/^No dose: the resin is colder than the rules reach \(60.°F to 80.°F\)/).waitFor();
    expect(await dose().count()).toBe(0);
    expect(await page.getByLabel('Catalyst as measured, mL').inputValue()).toBe('');

    await fill({ 'Resin temperature, °F': '60' });
    await dose().getByText('15.0 mL').waitFor();
    await fill({ 'Resin temperature, °F': '80', 'Air temperature, °F': '80' });
    await dose().getByText('5.0 mL').waitFor();
    await page.getByText(/dose and the allowed band disagree: this dose lies below the band/).waitFor();
    await fill({ 'Resin temperature, °F': '60', 'Air temperature, °F': '60' });
    await dose().getByText('15.0 mL').waitFor();
  });

  test('a lot’s own sheet wins over the schedule', async () => {
    const sheetOfLot = {
      ...builtInPolyesterMix,
      doses: builtInPolyesterMix.doses.map((point) => ({ ...point, millilitresPerLitre: 12 })),
      source: 'Sheet of the lot',
    };
    await yard.say({ kind: 'lot.added', lot: 'r-7', material: 'resin', label: 'Winter resin', sheet: sheetOfLot }, 'quality');
    await page.getByLabel('Resin lot').selectOption('r-7');
    // 12 mL a litre on 0.946 L.
    await dose().getByText('11.4 mL').waitFor();
    await page.getByText('Source: Sheet of the lot').waitFor();
    await page.getByLabel('Resin lot').selectOption('');
    await dose().getByText('15.0 mL').waitFor();
  });

  test('once it is recorded the working time counts down, and is over when it is', async () => {
    // What went in is measured: the dose only stands there as a hint, and nothing is recorded without it.
    const measured = page.getByLabel('Catalyst as measured, mL');
    expect(await measured.inputValue()).toBe('');
    expect(await measured.getAttribute('placeholder')).toBe('Dose 15.0');
    await tap(page, 'Record this mix');
    expect((await yard.readJoint('wrap')).mix).toBeNull();
    await measured.fill('15');
    await tap(page, 'Record this mix');
    const timer = page.getByRole('timer');
    await timer.getByText(/^Work it by \w+ \d\d:\d\d, at least 30 min from the mix\./).waitFor();
    const left = await timer.locator('.countdown-left').textContent();
    expect(left).toMatch(/^(30:00|29:\d\d)$/);
    await expect.poll(() => timer.locator('.countdown-left').textContent(), { timeout: 5000 }).not.toBe(left);
    for (const stage of ['Surely tacky', 'Surely gelled'])
      expect(await page.locator('.mix-time', { hasText: stage }).locator('dd').textContent()).toMatch(/^by \w+ \d\d:\d\d in /);
    const recorded = await yard.readJoint('wrap');
    expect(recorded.mix).toMatchObject({ by: 'Robin', working: { minutes: 30, atLeast: true, atMost: false } });
    expect(recorded.mix?.resinCelsius).toBeCloseTo(15.56, 2);

    await yard.joint('late', { sump: 's1', label: 'Late wrap' }, -1);
    await yard.signSurface('late', -0.8);
    const resin = { resin: { value: 1, unit: 'quart' }, catalystMillilitres: 15, resinCelsius: 16 };
    await yard.say({ kind: 'mix.recorded', joint: 'late', at: yard.at(-0.7), ...resin });
    await open('/joints/late');
    await page.getByText('Working time is over: do not use what is left in the pot.').waitFor();
    expect(await page.getByRole('timer').count()).toBe(0);
  });
});

test('70 typed as °C is asked back: change it, or say that it is right', async () => {
  await yard.joint('hot', { sump: 's1', label: 'Hot wrap' }, -1);
  await open('/settings');
  await page.getByRole('radio', { name: '°C' }).check();
  await open('/joints/hot/mix');
  await fill({ 'Amount of resin': '1', 'Resin temperature, °C': '70', 'Catalyst as measured, mL': '15' });
  await tap(page, 'Record this mix');
  const question = page.getByRole('alert').filter({ hasText: 'Is this right?' });
  await question.getByText(/was it 70 °F, which is 21\.1 °C/).waitFor();
  await tap(page, 'Change it');
  await question.waitFor({ state: 'detached' });
  expect((await yard.readJoint('hot')).mix).toBeNull();
  const resin = page.getByLabel('Resin temperature, °C');
  expect(await resin.inputValue()).toBe('70');
  // It leads to what was asked about.
  expect(await resin.evaluate((field) => field === field.ownerDocument.activeElement)).toBe(true);

  await tap(page, 'Record this mix');
  await tap(page, 'Yes, it is right');
  await page.getByText(/^Last mix/).waitFor();
  expect((await yard.readJoint('hot')).mix).toMatchObject({ resinCelsius: 70 });
});

test('a question in a long sheet stands in sight above its actions, and the way back has the focus', async () => {
  await open('/joints/hot');
  await tap(page, 'Surface ready');
  await tick(page, 'Sanded', 'Wiped with solvent', 'Dry to the touch');
  await sheet(page).getByLabel('Surface temperature, °C').fill('70');
  await tap(page, 'Sign: sanded, wiped, dry');
  const question = page.getByRole('alert').filter({ hasText: 'Is this right?' });
  await question.waitFor();
  for (const name of ['Change it', 'Yes, it is right'])
    await expect
      .poll(() =>
        question.getByRole('button', { name }).evaluate((button) => {
          const { left, right, top, bottom } = button.getBoundingClientRect();
          return button.ownerDocument.elementFromPoint((left + right) / 2, bottom - 2) === button && top >= 0;
        }),
      )
      .toBe(true);
  const change = question.getByRole('button', { name: 'Change it' });
  expect(await change.evaluate((button) => button === button.ownerDocument.activeElement)).toBe(true);
  await change.click();
  const surface = sheet(page).getByLabel('Surface temperature, °C');
  expect(await surface.evaluate((field) => field === field.ownerDocument.activeElement)).toBe(true);
  await tap(page, 'Cancel');
});

test('a probe that another joint counts on is asked back by its own sentence', async () => {
  await open('/joints/hot');
  await tap(page, 'Assign probes');
  await sheet(page).getByText('on-late').click();
  await tap(page, 'Assign');
  const question = page.getByRole('alert').filter({ hasText: 'Is this right?' });
  await question.getByText('Joint "Late wrap" counts on probe "on-late" now; can it be on both?', { exact: true }).waitFor();
  await tap(page, 'Change it');
  await tap(page, 'Cancel');
  expect(yard.faults).toEqual([]);
});

test('a joint below the floor is said to be too cold before any work, and a temperature far from its probe is asked about', async () => {
  await yard.joint('frost', { sump: 's1', label: 'Frost wrap' }, -1, () => 2);
  await open('/joints/frost');
  const tooCold = page.getByText(/^The probe shows 2\.0.°C: too cold to cure below 5\.5.°C\. Warm the joint first\.$/);
  for (const [action, about] of [
    ['Surface ready', 'Sign for the surface?'],
    ['Mark as laid up', 'Mark as laid up?'],
  ] as const) {
    await tap(page, action);
    await page.getByRole('dialog', { name: about }).locator(tooCold).waitFor();
    await tap(page, 'Cancel');
  }
  await page.getByRole('link', { name: 'Mix resin' }).click();
  await tooCold.waitFor();
  const resin = page.getByLabel('Resin temperature, °C');
  expect(await resin.inputValue()).toBe('2');
  await page.getByText('Filled in from probe on-frost on the joint. Measure in the can and put that here.').waitFor();
  await resin.fill('7');
  const far = page.getByText(/^Resin temperature 7\.1.°C, but probe on-frost shows 2\.0.°C\. Is that right\?$/);
  expect(await far.count()).toBe(0);
  await resin.fill('7.1');
  await far.waitFor();
});
