import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  type Amount,
  builtInPolyesterMix,
  celsiusOf,
  type Dose,
  doseOf,
  MixRules,
  maybeFahrenheit,
  millilitresOf,
  standingOf,
} from '../../edge/cure/mix.ts';

const QUART: Amount = { value: 1, unit: 'quart' };

/** A dose at one temperature of resin and air alike. */
function doseAt(fahrenheit: number, amount: Amount = QUART, rules = builtInPolyesterMix): Dose {
  const dose = doseOf(rules, { amount, resinCelsius: celsiusOf(fahrenheit), airCelsius: celsiusOf(fahrenheit) });
  if (dose.kind !== 'dose') throw new Error(`refers: ${dose.why}`);
  return dose;
}

// Doses and times: common practice, no source [T]. Densities from memory, so percentages by mass are [C] from those.
describe('the trade’s doses for polyester [T]', () => {
  test.each([
    [60, 15, 1.585, 1.657, 'preferred'],
    [70, 10, 1.057, 1.105, 'inside'],
    [80, 5, 0.528, 0.552, 'below'],
  ])(
    'at %d °F %d mL per US quart: %d percent by volume, %d percent by mass, %s',
    (fahrenheit, millilitres, volume, mass, standing) => {
      const dose = doseAt(fahrenheit);
      expect(dose.resinMillilitres).toBe(946.352946);
      expect(dose.catalystMillilitres).toBeCloseTo(millilitres, 9);
      expect(dose.percentByVolume).toBeCloseTo(volume, 3);
      expect(dose.percentByMass).toBeCloseTo(mass, 3);
      expect(dose.standing).toBe(standing);
    },
  );

  test('between two temperatures the dose is linear', () => {
    expect(doseAt(65).catalystMillilitres).toBeCloseTo(12.5, 9);
    expect(doseAt(77.5).catalystMillilitres).toBeCloseTo(6.25, 9);
  });

  test.each<[Amount, number, number]>([
    [{ value: 1, unit: 'gallon' }, 3785.411784, 60],
    [{ value: 0.5, unit: 'gallon' }, 1892.705892, 30],
    [{ value: 2, unit: 'quart' }, 1892.705892, 30],
    [{ value: 946.352946, unit: 'mL' }, 946.352946, 15],
    [{ value: 1, unit: 'L' }, 1000, 15.850323],
    [{ value: 1.1, unit: 'kg' }, 1000, 15.850323],
  ])('%j of resin is %d mL and takes %d mL at 60 °F', (amount, resinMillilitres, catalystMillilitres) => {
    const dose = doseAt(60, amount);
    expect(dose.resinMillilitres).toBeCloseTo(resinMillilitres, 9);
    expect(dose.catalystMillilitres).toBeCloseTo(catalystMillilitres, 6);
  });

  test('a gallon is four quarts', () => {
    expect(millilitresOf({ value: 1, unit: 'gallon' }, 1)).toBe(millilitresOf({ value: 4, unit: 'quart' }, 1));
  });

  test('the band is told in millilitres of catalyst for the same resin, and the 80 °F dose lies below it', () => {
    // 1, 1.25, 2 and 2.5 % of 1.1 kg, as litres of 1.15 kg [C].
    const { bandMillilitres, catalystMillilitres } = doseAt(80, { value: 1, unit: 'L' });
    expect(bandMillilitres.min).toBeCloseTo(9.5652, 4);
    expect(bandMillilitres.preferredMin).toBeCloseTo(11.9565, 4);
    expect(bandMillilitres.preferredMax).toBeCloseTo(19.1304, 4);
    expect(bandMillilitres.max).toBeCloseTo(23.913, 4);
    expect(catalystMillilitres).toBeLessThan(bandMillilitres.min);
  });

  test('the built-in rules pass their own schema unchanged and say what they rest on', () => {
    expect(MixRules.parse(builtInPolyesterMix)).toEqual(builtInPolyesterMix);
    expect(builtInPolyesterMix.source).toMatch(/common practice, no source.*Densities: from memory.*lot wins/);
    expect(builtInPolyesterMix.bandPercent).toEqual({ min: 1, preferredMin: 1.25, preferredMax: 2, max: 2.5 });
  });
});

describe('outside the temperatures of the doses there is no number', () => {
  const limits = { minCelsius: celsiusOf(60), maxCelsius: celsiusOf(80) };
  test.each([
    [15.4, 20, 'resin-colder'],
    [-5, 20, 'resin-colder'],
    [26.8, 20, 'resin-warmer'],
    [20, 15.4, 'air-colder'],
    [20, 26.8, 'air-warmer'],
    [10, 35, 'resin-colder'],
  ])('resin %d °C, air %d °C: %s', (resinCelsius, airCelsius, why) => {
    expect(doseOf(builtInPolyesterMix, { amount: QUART, resinCelsius, airCelsius })).toEqual({ kind: 'refer', why, ...limits });
  });

  test.each([
    [15.6, 14.96],
    [15.55, 15],
    [26.7, 5],
    [26.67, 5],
  ])('%d °C is inside, as a thermometer that shows tenths has it: %d mL', (celsius, millilitres) => {
    expect(doseAt(celsius * 1.8 + 32).catalystMillilitres).toBeCloseTo(millilitres, 2);
  });
});

describe('which temperature governs', () => {
  const asked = (resinCelsius: number, airCelsius: number) =>
    doseOf(builtInPolyesterMix, { amount: QUART, resinCelsius, airCelsius }) as Dose;

  test('the resin’s own sets the dose, whatever the air', () => {
    expect(asked(celsiusOf(70), celsiusOf(61)).catalystMillilitres).toBeCloseTo(10, 9);
    expect(asked(celsiusOf(70), celsiusOf(79)).catalystMillilitres).toBeCloseTo(10, 9);
  });

  test.each([
    [20, 25, false],
    [20.1, 15.6, false],
    [25.1, 20.1, false],
    [20, 25.1, true],
    [25.1, 20, true],
  ])('resin %d °C and air %d °C are too far apart: %s', (resinCelsius, airCelsius, airDiffers) => {
    expect(asked(resinCelsius, airCelsius).airDiffers).toBe(airDiffers);
  });

  test('the warmer of the two bounds the working time, the colder the wait for tack', () => {
    const dose = asked(celsiusOf(70), celsiusOf(80));
    expect(dose.working).toEqual({ minutes: 30, atLeast: false, atMost: false });
    expect(dose.tack).toEqual({ minutes: 5, atLeast: true, atMost: false });
    expect(asked(celsiusOf(80), celsiusOf(70))).toMatchObject({ working: dose.working, tack: dose.tack });
  });
});

describe('working time and tack', () => {
  test('one published point near 80 °F, and no other is invented: at least that in the cool [T]', () => {
    expect(doseAt(80)).toMatchObject({
      working: { minutes: 30, atLeast: false, atMost: false },
      tack: { minutes: 5, atLeast: false, atMost: false },
    });
    for (const fahrenheit of [60, 65, 70, 79])
      expect(doseAt(fahrenheit)).toMatchObject({
        working: { minutes: 30, atLeast: true, atMost: false },
        tack: { minutes: 5, atLeast: true, atMost: false },
      });
  });

  test('a lot’s sheet may give more points, or none', () => {
    const working = [
      { celsius: 18, minutes: 50 },
      { celsius: 24, minutes: 20 },
    ];
    const sheet: MixRules = { ...builtInPolyesterMix, working, tack: [] };
    const celsiusTimes: [number, object][] = [
      [16, { minutes: 50, atLeast: true, atMost: false }],
      [18, { minutes: 50, atLeast: false, atMost: false }],
      [21, { minutes: 35, atLeast: false, atMost: false }],
      [24, { minutes: 20, atLeast: false, atMost: false }],
      [25, { minutes: 20, atLeast: false, atMost: true }],
    ];
    for (const [celsius, time] of celsiusTimes) {
      const dose = doseOf(sheet, { amount: QUART, resinCelsius: celsius, airCelsius: celsius });
      expect(dose).toMatchObject({ working: time, tack: null });
    }
  });
});

describe('a mix that was made', () => {
  const { resinKgPerLitre, catalystKgPerLitre } = builtInPolyesterMix;
  const madeAt = (percentByMass: number, resinMillilitres = 1000) =>
    standingOf(
      builtInPolyesterMix,
      resinMillilitres,
      ((percentByMass / 100) * resinMillilitres * resinKgPerLitre) / catalystKgPerLitre,
    );

  test.each([
    [0, 'below'],
    [0.999, 'below'],
    [1, 'inside'],
    [1.249, 'inside'],
    [1.25, 'preferred'],
    [2, 'preferred'],
    [2.001, 'inside'],
    [2.5, 'inside'],
    [2.501, 'above'],
    [40, 'above'],
  ])('%d percent by mass is %s', (percent, standing) => {
    expect(madeAt(percent)).toMatchObject({ standing });
    expect(madeAt(percent).percentByMass).toBeCloseTo(percent, 9);
  });

  test('the ends of the band belong to it for every quantity', () => {
    const expected = ['inside', 'preferred', 'preferred', 'inside'];
    fc.assert(
      fc.property(fc.double({ min: 1, max: 200_000, noNaN: true }), (resinMillilitres) => {
        expect([1, 1.25, 2, 2.5].map((percent) => madeAt(percent, resinMillilitres).standing)).toEqual(expected);
      }),
    );
  });

  test('percent by volume is of the resin, as the trade counts it', () => {
    expect(standingOf(builtInPolyesterMix, 946.352946, 15).percentByVolume).toBeCloseTo(1.585, 3);
  });

  test('a dose stands as the same mix would', () => {
    fc.assert(
      fc.property(fc.integer({ min: 600, max: 800 }), fc.integer({ min: 1, max: 1000 }), (tenths, tenthsOfLitre) => {
        const dose = doseAt(tenths / 10, { value: tenthsOfLitre / 10, unit: 'L' });
        expect(dose).toMatchObject(standingOf(builtInPolyesterMix, dose.resinMillilitres, dose.catalystMillilitres));
        expect(dose.catalystMillilitres / dose.resinMillilitres).toBeLessThanOrEqual(15.0001 / 946.352946);
        expect(dose.catalystMillilitres / dose.resinMillilitres).toBeGreaterThanOrEqual(4.9999 / 946.352946);
      }),
    );
  });
});

describe('a temperature in the wrong unit', () => {
  test.each([
    [70, 21.111],
    [46, 7.778],
    [45.1, 7.278],
    [113, 45],
    [113.1, null],
    [45, null],
    [20, null],
    [-10, null],
    [Number.NaN, null],
  ])('%d entered as °C: %s', (entered, celsius) => {
    const read = maybeFahrenheit(entered);
    if (celsius === null) expect(read).toBeNull();
    else expect(read).toBeCloseTo(celsius, 3);
  });
});
