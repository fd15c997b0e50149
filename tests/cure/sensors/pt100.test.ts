import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Pt100Tolerance, pt100Celsius, pt100Ohms, pt100ToleranceCelsius } from '../../../edge/cure/sensors/pt100.ts';
import vectors from '../../vectors/sensors.json' with { type: 'json' };

/** Half a unit of the table's last digit, Ω, and what it is worth at 0.37 Ω/°C or steeper, °C. */
const HALF_DIGIT_OHMS = 0.005;
const HALF_DIGIT_CELSIUS = HALF_DIGIT_OHMS / 0.37;

describe('IEC 60751 table [P]', () => {
  test.each(vectors.pt100.rows)('$celsius °C is $ohms Ω', ({ celsius, ohms }) => {
    expect(Math.abs(pt100Ohms(celsius) - ohms)).toBeLessThanOrEqual(HALF_DIGIT_OHMS + 1e-9);
    expect(Math.abs(pt100Celsius(ohms) - celsius)).toBeLessThan(HALF_DIGIT_CELSIUS);
  });

  test('0 °C is exactly 100 Ω, either way', () => {
    expect(pt100Ohms(0)).toBe(100);
    expect(pt100Celsius(100)).toBe(0);
  });
});

describe('the inverse', () => {
  test('undoes the curve in both ranges', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -200, max: 850, noNaN: true }),
        (celsius) => Math.abs(pt100Celsius(pt100Ohms(celsius)) - celsius) < 1e-9,
      ),
    );
  });

  test('rises with the resistance, across 0 °C too', () => {
    const ohms = fc.integer({ min: 18_520, max: 390_480 });
    fc.assert(fc.property(ohms, (milliOhms) => pt100Celsius((milliOhms + 1) / 1000) > pt100Celsius(milliOhms / 1000)));
    expect(pt100Celsius(100 - 1e-9)).toBeLessThan(0);
    expect(pt100Celsius(100 + 1e-9)).toBeGreaterThan(0);
  });

  test('the term in C counts below 0 °C only', () => {
    const quadratic = (t: number) => 100 * (1 + 3.9083e-3 * t - 5.775e-7 * t * t);
    expect(pt100Ohms(50)).toBeCloseTo(quadratic(50), 10);
    expect(pt100Ohms(-50) - quadratic(-50)).toBeCloseTo(100 * -4.183e-12 * (-50 - 100) * (-50) ** 3, 10);
  });

  test('gives no figure above what the curve ever reaches', () => {
    expect(pt100Celsius(1000)).toBeNaN();
    expect(pt100Celsius(Number.POSITIVE_INFINITY)).toBeNaN();
  });
});

test.each(vectors.pt100Tolerance.rows)('class $tolerance at $celsius °C: ±$limit °C [P]', ({ tolerance, celsius, limit }) => {
  expect(pt100ToleranceCelsius(tolerance as Pt100Tolerance, celsius)).toBeCloseTo(limit, 12);
});
