const SQRT_HALF = Math.SQRT1_2;
/** ln 2 in two parts, the first with trailing zero bits, so that whole multiples of it stay exact. */
export const LN2_HIGH = 0.6931471803691238;
export const LN2_LOW = 1.9082149292705877e-10;

/**
 * Natural logarithm of `x`, by additions, multiplications and divisions only. Engines may give `Math.log` different last bits;
 * IEEE 754 fixes these operations to the bit, so that a resistance is the same temperature everywhere.
 * Series of the inverse hyperbolic tangent after taking out the power of two; relative error below 4e-16.
 * NaN for what is not a positive finite number.
 */
export function ln(x: number): number {
  if (!(x > 0) || x === Number.POSITIVE_INFINITY) return Number.NaN;
  let mantissa = x;
  let exponent = 0;
  while (mantissa > 2 * SQRT_HALF) {
    mantissa /= 2;
    exponent++;
  }
  while (mantissa < SQRT_HALF) {
    mantissa *= 2;
    exponent--;
  }
  const s = (mantissa - 1) / (mantissa + 1);
  const square = s * s;
  let sum = 0;
  // |s| < 0.172, so the term with s^23 is below 1e-17 of the first.
  for (let odd = 23; odd >= 3; odd -= 2) sum = (sum + 1 / odd) * square;
  return exponent * LN2_HIGH + (2 * s + (2 * s * sum + exponent * LN2_LOW));
}
