import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { coefficientsOf, ThermistorCurve, thermistorCelsius, thermistorOhms } from '../../../edge/cure/sensors/thermistor.ts';
import vectors from '../../vectors/sensors.json' with { type: 'json' };

const { a, b, c } = vectors.steinhartHart;
const PUBLISHED = { kind: 'steinhartHart', a, b, c };
const FITTED = { kind: 'points', points: vectors.threePointFit.points };

const celsiusOn = (curve: unknown, ohms: number) => thermistorCelsius(coefficientsOf(ThermistorCurve.parse(curve)), ohms);

/** The faults of a curve, as one text; empty for a good one. */
function faults(curve: unknown): string {
  const parsed = ThermistorCurve.safeParse(curve);
  return parsed.success ? '' : parsed.error.issues.map((issue) => `${issue.path.join('.')}: ${issue.message}`).join('; ');
}

const betaCurve = fc.record({
  kind: fc.constant('beta' as const),
  ohmsAt25: fc.double({ min: 100, max: 5_000_000, noNaN: true }),
  betaKelvin: fc.double({ min: 2000, max: 6000, noNaN: true }),
});

describe('Steinhart–Hart [coefficients P, values C]', () => {
  test.each(vectors.steinhartHart.rows)('$ohms Ω is $celsius °C', ({ ohms, celsius }) => {
    expect(Math.abs((celsiusOn(PUBLISHED, ohms) ?? Number.NaN) - celsius)).toBeLessThan(0.00051);
  });
});

describe('three-point fit [P]', () => {
  test.each(vectors.threePointFit.points)('goes through its own point of $celsius °C', ({ ohms, celsius }) => {
    expect(celsiusOn(FITTED, ohms)).toBeCloseTo(celsius, 9);
  });

  test.each(vectors.threePointFit.rows)('$ohms Ω between them is $celsius °C', ({ ohms, celsius }) => {
    expect(Math.abs((celsiusOn(FITTED, ohms) ?? Number.NaN) - celsius)).toBeLessThan(0.00051);
  });

  test('finds the coefficients that made the points, in whatever order they come', () => {
    const wanted = coefficientsOf(ThermistorCurve.parse(PUBLISHED));
    const at = (celsius: number) => ({ celsius, ohms: thermistorOhms(wanted, celsius) });
    const temperatures = fc.tuple(
      fc.integer({ min: -40, max: 0 }),
      fc.integer({ min: 10, max: 40 }),
      fc.integer({ min: 50, max: 100 }),
    );
    const order = fc.shuffledSubarray([0, 1, 2] as const, { minLength: 3 });
    fc.assert(
      fc.property(temperatures, order, (celsius, places) => {
        const points = places.map((place) => at(celsius[place]));
        const fitted = coefficientsOf(ThermistorCurve.parse({ kind: 'points', points }));
        expect(fitted.a).toBeCloseTo(wanted.a, 12);
        expect(fitted.b).toBeCloseTo(wanted.b, 12);
        expect(fitted.c).toBeCloseTo(wanted.c, 14);
      }),
    );
  });
});

describe('Beta', () => {
  test('R = R25·exp(Beta·(1/T − 1/298.15)), either way [C]', () => {
    fc.assert(
      fc.property(betaCurve, fc.double({ min: -60, max: 150, noNaN: true }), (curve, celsius) => {
        const ohms = curve.ohmsAt25 * Math.exp(curve.betaKelvin * (1 / (celsius + 273.15) - 1 / 298.15));
        expect(celsiusOn(curve, ohms)).toBeCloseTo(celsius, 8);
        expect((thermistorOhms(coefficientsOf(curve), celsius) ?? Number.NaN) / ohms).toBeCloseTo(1, 11);
      }),
    );
  });

  test('three points of a Beta curve give the same curve', () => {
    // Within the bounds by more than rounding, and above the 1 Ω that a point has at least.
    const inner = fc.record({
      kind: fc.constant('beta' as const),
      ohmsAt25: fc.double({ min: 110, max: 4_900_000, noNaN: true }),
      betaKelvin: fc.double({ min: 2100, max: 5900, noNaN: true }),
    });
    fc.assert(
      fc.property(inner, fc.double({ min: -40, max: 100, noNaN: true }), (curve, celsius) => {
        const at = (t: number) => ({ celsius: t, ohms: thermistorOhms(coefficientsOf(curve), t) });
        const points = [at(0), at(25), at(60)];
        expect(celsiusOn({ kind: 'points', points }, at(celsius).ohms ?? Number.NaN)).toBeCloseTo(celsius, 6);
      }),
    );
  });
});

describe('on any accepted curve', () => {
  const curve = fc.constantFrom(PUBLISHED, FITTED, { kind: 'beta', ohmsAt25: 10_000, betaKelvin: 3950 });

  test('a smaller resistance is warmer', () => {
    fc.assert(
      fc.property(curve, fc.integer({ min: 50_000, max: 1_000_000_000 }), (any, milliOhms) => {
        const celsius = celsiusOn(any, milliOhms / 1000) ?? Number.NaN;
        expect(celsiusOn(any, (milliOhms - 1000) / 1000) ?? Number.NaN).toBeGreaterThan(celsius);
      }),
    );
  });

  test('the two directions undo each other', () => {
    fc.assert(
      fc.property(curve, fc.double({ min: -60, max: 150, noNaN: true }), (any, celsius) => {
        const ohms = thermistorOhms(coefficientsOf(ThermistorCurve.parse(any)), celsius) ?? Number.NaN;
        expect(celsiusOn(any, ohms)).toBeCloseTo(celsius, 8);
      }),
    );
  });

  test('where a negative cubic term turns the curve round, there is no temperature', () => {
    // Turns round at √(b/−3c) = 14.1, which is 1.4 MΩ and −77 °C. Beyond, the bare formula would grow warm again.
    const curve = { kind: 'steinhartHart', a: 8e-4, b: 4.5e-4, c: -7.5e-7 };
    const turnsAt = Math.exp(Math.sqrt(curve.b / (-3 * curve.c)));
    const coefficients = { a: curve.a, b: curve.b, c: curve.c };
    expect(thermistorCelsius(coefficients, turnsAt * 0.99)).not.toBeNull();
    expect(thermistorCelsius(coefficients, turnsAt * 1.01)).toBeNull();
    expect(thermistorCelsius(coefficients, 1e12)).toBeNull();
    expect(thermistorOhms(coefficients, -200)).toBeNull();
  });
});

describe('published coefficients of other common parts pass [P]', () => {
  test.each([
    ['1.009249522e-03, 2.378405444e-04, 2.019202697e-07', 1.009249522e-3, 2.378405444e-4, 2.019202697e-7],
    ['0.8153122506e-3, 2.240693240e-4, 0.9025712244e-7', 0.8153122506e-3, 2.24069324e-4, 0.9025712244e-7],
  ])('%s', (_, a, b, c) => {
    expect(faults({ kind: 'steinhartHart', a, b, c })).toBe('');
  });
});

describe('refusals say what is wrong', () => {
  const [cold, middle, warm] = vectors.threePointFit.points as [Point, Point, Point];
  type Point = { celsius: number; ohms: number };
  const points = (...list: Point[]) => ({ kind: 'points', points: list });

  test('the published ones have no fault', () => {
    expect(faults(PUBLISHED)).toBe('');
    expect(faults(FITTED)).toBe('');
  });

  test.each<[string, unknown, RegExp]>([
    ['no kind', { kind: 'table' }, /kind must be one of steinhartHart, beta, points/],
    ['two points', points(cold, warm), /give exactly three points/],
    ['four points', points(cold, middle, warm, { celsius: 70, ohms: 1700 }), /give exactly three points/],
    ['one point twice', points(cold, middle, middle), /25 and 25 °C are too near each other/],
    ['points too near', points(cold, { celsius: 4, ohms: 26_000 }, warm), /0 and 4 °C are too near.*at least 5 °C apart/],
    [
      'two resistances swapped',
      points({ celsius: 0, ohms: 9814 }, { celsius: 25, ohms: 32_128 }, warm),
      /must fall as it gets warmer, but 25 °C has 32128 Ω and 0 °C has 9814 Ω; two points may be swapped/,
    ],
    [
      'a PTC or Pt1000',
      points({ celsius: 0, ohms: 1000 }, { celsius: 25, ohms: 1097 }, { celsius: 50, ohms: 1194 }),
      /not an NTC thermistor/,
    ],
    ['one resistance twice', points(cold, middle, { celsius: 50, ohms: 9814 }), /50 °C has 9814 Ω and 25 °C has 9814 Ω/],
    [
      'digits swapped',
      points(cold, { celsius: 25, ohms: 8914 }, warm),
      /does not fall steadily.*one of the three points is probably mistyped/,
    ],
    [
      'a point 6 % off',
      points(cold, { celsius: 25, ohms: 9200 }, warm),
      /bends too much: Beta 4408 K below 25 °C, 3590 K above; one of/,
    ],
    [
      'kilo-ohms',
      points({ celsius: 0, ohms: 32.128 }, { celsius: 25, ohms: 9.814 }, { celsius: 50, ohms: 3.542 }),
      /gives 9.81 Ω/,
    ],
    ['a resistance of nothing', points(cold, middle, { celsius: 50, ohms: 0 }), /points\.2\.ohms/],
    ['a figure that is none', points(cold, middle, { celsius: Number.NaN, ohms: 3542 }), /points\.2\.celsius/],
    ['Beta in thousands', { kind: 'beta', ohmsAt25: 10_000, betaKelvin: 3.95 }, /betaKelvin: must be at least 2000 K/],
    ['kilo-ohms with Beta', { kind: 'beta', ohmsAt25: 10, betaKelvin: 3950 }, /ohmsAt25: .*ohms, not kilo-ohms/],
    ['Beta below 0', { kind: 'beta', ohmsAt25: 10_000, betaKelvin: -3950 }, /must be at least 2000 K/],
    ['a without its power of ten', { ...PUBLISHED, a: a * 1000 }, /Ω at 25 °C.*powers of ten/],
    ['b without its power of ten', { ...PUBLISHED, b: b * 10_000 }, /Ω at 25 °C.*powers of ten/],
    ['c without its power of ten', { ...PUBLISHED, c: c * 1000 }, /Ω at 25 °C.*powers of ten/],
    ['b below 0', { ...PUBLISHED, b: -b }, /does not fall steadily from -40 to 100 °C/],
    ['all nothing', { ...PUBLISHED, a: 0, b: 0, c: 0 }, /does not fall steadily/],
    ['c far below 0', { ...PUBLISHED, c: -1e-6 }, /does not fall steadily/],
    ['a curve too flat', { kind: 'steinhartHart', a: -5.9e-3, b: 1e-3, c: 0 }, /Beta of 1000 K/],
    ['a key that is unknown', { ...PUBLISHED, d: 1 }, /d/],
  ])('%s', (_, curve, words) => {
    expect(faults(curve)).toMatch(words);
  });
});
