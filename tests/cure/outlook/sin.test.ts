import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { sin } from '../../../edge/cure/sin.ts';

const BITS = 240n;
const ONE = 1n << BITS;
const STEPS = 2 ** 20;

/** sin(numerator / 2^20) as a fixed-point number, by the series in whole numbers, for small arguments. */
function exactly(numerator: number): number {
  const x = BigInt(numerator) << (BITS - 20n);
  const square = (x * x) >> BITS;
  let term = x;
  let sum = x;
  for (let n = 1n; term !== 0n && term !== -1n; n++) {
    term = -((term * square) >> BITS) / (2n * n * (2n * n + 1n));
    sum += term;
  }
  return Number((sum * 10n ** 20n) / ONE) / 1e20;
}

describe('sin', () => {
  test('is within 3e-16 of the series worked out in whole numbers', () => {
    const errors = Array.from({ length: 4001 }, (_, index) => Math.round((index - 2000) * 0.01 * STEPS) + 7 * index).map(
      (numerator) => Math.abs(sin(numerator / STEPS) - exactly(numerator)),
    );
    expect(Math.max(...errors)).toBeLessThan(3e-16);
    // The measure itself must see an error: neighbouring doubles near 1 are 1.1e-16 apart.
    expect(Math.max(...errors)).toBeGreaterThan(1e-17);
  });

  test.each([
    [0, 0],
    [Math.PI / 6, 0.5],
    [Math.PI / 4, Math.SQRT1_2],
    [Math.PI / 2, 1],
    [(5 * Math.PI) / 6, 0.5],
    [(-3 * Math.PI) / 2, 1],
    [(7 * Math.PI) / 6, -0.5],
  ])('of %d is %d', (x, value) => {
    expect(Math.abs(sin(x) - value)).toBeLessThan(1e-15);
  });

  test('agrees with the engine to the ends of its range, and says nothing beyond', () => {
    fc.assert(fc.property(fc.double({ min: -1e6, max: 1e6, noNaN: true }), (x) => Math.abs(sin(x) - Math.sin(x)) < 4e-16));
    for (const x of [1.000001e6, -1.000001e6, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, Number.NaN])
      expect(sin(x)).toBeNaN();
  });

  test('is odd to the last bit', () => {
    fc.assert(fc.property(fc.double({ min: 0, max: 1e6, noNaN: true }), (x) => sin(-x) === -sin(x)));
  });
});
