import { describe, expect, test } from 'vitest';
import { exp } from '../../edge/cure/exp.ts';

const BITS = 400n;
const ONE = 1n << BITS;
const STEPS = 1 << 20;

/** e^(numerator / 2^20) as a fixed-point number of 400 binary places, by the series in whole numbers. */
function exactly(numerator: number): bigint {
  const halvings = 16n;
  const reduced = (BigInt(numerator) << (BITS - 20n)) >> halvings;
  let sum = ONE;
  let term = ONE;
  for (let n = 1n; term !== 0n && term !== -1n; n++) {
    term = ((term * reduced) >> BITS) / n;
    sum += term;
  }
  for (let n = 0n; n < halvings; n++) sum = (sum * sum) >> BITS;
  return sum;
}

/** A number whose last bit is worth 2^-140 or more, in the same fixed-point form. */
function fixed(x: number): bigint {
  return BigInt(x * 2 ** 140) << (BITS - 140n);
}

function relativeError(numerator: number): number {
  const exact = exactly(numerator);
  return Number(((fixed(exp(numerator / STEPS)) - exact) * 10n ** 24n) / exact) / 1e24;
}

describe('exp', () => {
  test('is within 4e-16 of the series worked out in whole numbers', () => {
    const numerators = Array.from({ length: 4001 }, (_, index) => Math.round((index - 2000) * 0.02 * STEPS) + 7 * index);
    expect(numerators[0]).toBe(-40 * STEPS);
    const errors = numerators.map((numerator) => Math.abs(relativeError(numerator)));
    expect(Math.max(...errors)).toBeLessThan(4e-16);
    // The measure itself must see an error: neighbouring doubles are 1.1e-16 to 2.2e-16 apart.
    expect(Math.max(...errors)).toBeGreaterThan(1e-17);
  });

  test.each([
    [0, 1],
    [1, Math.E],
    [-1, 0.36787944117144233],
    [10, 22026.465794806718],
    [Math.LN2, 2],
  ])('e^%d = %d', (x, value) => {
    expect(Math.abs(exp(x) / value - 1)).toBeLessThan(4e-16);
  });

  test('goes with the engine to the ends of its range, and no further', () => {
    for (const x of [-700, -699.99, -345.6, -1e-9, 1e-300, 345.6, 699.99, 700])
      expect(Math.abs(exp(x) / Math.exp(x) - 1)).toBeLessThan(1e-15);
    for (const x of [-700.001, 700.001, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, Number.NaN]) expect(exp(x)).toBeNaN();
  });
});
