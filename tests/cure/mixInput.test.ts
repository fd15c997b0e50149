import { describe, expect, test } from 'vitest';
import { Amount, builtInPolyesterMix, MixQuestion, MixRules } from '../../edge/cure/mix.ts';

const QUART: Amount = { value: 1, unit: 'quart' };

function faultsOf(schema: typeof MixRules | typeof MixQuestion, value: unknown): string[] {
  const read = schema.safeParse(value);
  return read.success ? [] : read.error.issues.map((issue) => `${issue.path.join('.')}: ${issue.message}`);
}

describe('what is taken as a question', () => {
  const question = { amount: QUART, resinCelsius: 20, airCelsius: 18 };

  test.each([
    [{}, []],
    [{ amount: { value: 200, unit: 'L' } }, []],
    [{ amount: { value: 200, unit: 'kg' } }, []],
    [{ amount: { value: 0, unit: 'mL' } }, ['amount.value: must be above 0']],
    [{ amount: { value: -1, unit: 'kg' } }, ['amount.value: must be above 0']],
    [{ amount: { value: Number.NaN, unit: 'L' } }, ['amount.value: use a number']],
    [{ amount: { value: '1', unit: 'L' } }, ['amount.value: use a number']],
    [{ amount: { value: 1, unit: 'oz' } }, ['amount.unit: use "mL", "L", "quart", "gallon" or "kg"']],
    [{ resinCelsius: 70 }, ['resinCelsius: use °C between -40 and 60']],
    [{ airCelsius: Number.POSITIVE_INFINITY }, ['airCelsius: use °C between -40 and 60']],
  ])('%j: %j', (changes, faults) => {
    expect(faultsOf(MixQuestion, { ...question, ...changes })).toEqual(faults);
  });

  test.each<Amount>([
    { value: 200.1, unit: 'L' },
    { value: 200_001, unit: 'mL' },
    { value: 212, unit: 'quart' },
    { value: 53, unit: 'gallon' },
    { value: 201, unit: 'kg' },
  ])('%j is more than anybody mixes', (amount) => {
    expect(faultsOf(MixQuestion, { ...question, amount })).toEqual([
      'amount.value: is more than 200 L or 200 kg, which nobody mixes at once; check the unit',
    ]);
  });
});

describe('what is taken as rules', () => {
  const [cold, mild, warm] = builtInPolyesterMix.doses;
  const RISING = 'list the points from cold to warm, each warmer than the one before by 0.1 °C or more';

  test.each([
    [{}, []],
    [{ doses: [cold, warm] }, []],
    [{ doses: [cold, { celsius: 25, millilitresPerLitre: cold?.millilitresPerLitre }] }, []],
    [{ working: [], tack: [] }, []],
    [{ doses: [cold] }, ['doses: at least two temperatures are needed']],
    [{ doses: [cold, cold] }, [`doses: ${RISING}`]],
    [{ doses: [mild, { ...mild, celsius: (mild?.celsius ?? 0) + 0.01 }] }, [`doses: ${RISING}`]],
    [{ doses: [cold, { celsius: 25, millilitresPerLitre: 16 }] }, ['doses: the dose must not rise with temperature']],
    [{ doses: [cold, { celsius: 25, millilitresPerLitre: 0 }] }, ['doses.1.millilitresPerLitre: must be above 0']],
    [{ working: [{ celsius: 20, minutes: 0 }] }, ['working.0.minutes: must be above 0']],
    [
      {
        tack: [
          { celsius: 20, minutes: 5 },
          { celsius: 10, minutes: 9 },
        ],
      },
      [`tack: ${RISING}`],
    ],
    [
      { bandPercent: { ...builtInPolyesterMix.bandPercent, min: 1.5 } },
      ['bandPercent: min, preferredMin, preferredMax and max must not fall'],
    ],
    [{ bandPercent: { ...builtInPolyesterMix.bandPercent, max: 11 } }, ['bandPercent.max: use at most 10 percent']],
    [{ resinKgPerLitre: 0.9 }, ['resinKgPerLitre: use kg/L between 1 and 2']],
    [{ catalystKgPerLitre: 1150 }, ['catalystKgPerLitre: use kg/L between 0.8 and 2']],
    [{ source: ' ' }, ['source: say where the figures come from']],
  ])('%j: %j', (changes, faults) => {
    expect(faultsOf(MixRules, { ...builtInPolyesterMix, ...changes })).toEqual(faults);
  });

  test('an unknown key is refused', () => {
    expect(MixRules.safeParse({ ...builtInPolyesterMix, colour: 'red' }).success).toBe(false);
    expect(Amount.safeParse({ ...QUART, brim: true }).success).toBe(false);
  });
});
