import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { ln } from '../../edge/cure/ln.ts';

/** Error in units of the last place of `wanted`, roughly. */
function relativeError(got: number, wanted: number): number {
  return wanted === 0 ? Math.abs(got) : Math.abs(got / wanted - 1);
}

describe('ln', () => {
  test('is exact where the answer is', () => {
    expect(ln(1)).toBe(0);
    expect(ln(2)).toBe(Math.LN2);
    expect(relativeError(ln(10), Math.LN10)).toBeLessThan(4e-16);
    expect(relativeError(ln(Math.E), 1)).toBeLessThan(4e-16);
  });

  test('agrees with the engine over the range of doubles', () => {
    fc.assert(fc.property(fc.double({ min: 1e-300, max: 1e300, noNaN: true }), (x) => relativeError(ln(x), Math.log(x)) < 4e-16));
  });

  test('agrees with the engine over the resistances of thermistors', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 1_000_000_000 }), (milliOhms) => {
        const ohms = milliOhms / 1000;
        return relativeError(ln(ohms), Math.log(ohms)) < 4e-16;
      }),
    );
  });

  test('keeps its digits next to 1, where the logarithm is small', () => {
    fc.assert(
      fc.property(fc.double({ min: -1e-3, max: 1e-3, noNaN: true }), (offset) => {
        const x = 1 + offset;
        return relativeError(ln(x), Math.log(x)) < 4e-16;
      }),
    );
  });

  test('reaches the ends of the doubles', () => {
    expect(relativeError(ln(Number.MAX_VALUE), Math.log(Number.MAX_VALUE))).toBeLessThan(4e-16);
    expect(relativeError(ln(Number.MIN_VALUE), Math.log(Number.MIN_VALUE))).toBeLessThan(4e-16);
  });

  test.each([0, -0, -1, Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY])('of %s there is none', (x) => {
    expect(ln(x)).toBeNaN();
  });
});
