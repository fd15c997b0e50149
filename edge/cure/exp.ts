import { LN2_HIGH, LN2_LOW } from './ln.ts';

/** Beyond this the result would leave the range of ordinary numbers. */
const LARGEST = 700;

/**
 * `e` to the power of `x`, by additions, multiplications and divisions only, so that it is the same to the last bit everywhere;
 * see `ln`. Power series after taking out the power of two; relative error below 4e-16. NaN unless −700 ≤ x ≤ 700.
 */
export function exp(x: number): number {
  if (!(Math.abs(x) <= LARGEST)) return Number.NaN;
  const twos = Math.round(x / LN2_HIGH);
  const rest = x - twos * LN2_HIGH - twos * LN2_LOW;
  let sum = 1;
  // |rest| < 0.347, so the term with rest^15 is below 1e-18.
  for (let power = 14; power >= 2; power--) sum = 1 + (rest / power) * sum;
  let result = 1 + rest * sum;
  const factor = twos < 0 ? 0.5 : 2;
  for (let count = Math.abs(twos); count > 0; count--) result *= factor;
  return result;
}
