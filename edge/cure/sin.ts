/** A quarter turn in two parts, the first with trailing zero bits, so that whole multiples of it stay exact. */
const QUARTER_HIGH = 1.5707963267341256;
const QUARTER_LOW = 6.077100506506192e-11;

/** Beyond this many radians multiples of the first part are no longer exact. */
const LARGEST = 1e6;

/**
 * Sine of `x` in radians, by additions, multiplications and divisions only, so that it is the same to the last bit everywhere;
 * see `ln`. Power series after taking out quarter turns; absolute error below 3e-16. NaN unless −1e6 ≤ x ≤ 1e6.
 */
export function sin(x: number): number {
  if (!(Math.abs(x) <= LARGEST)) return Number.NaN;
  const quarters = Math.round(x / (QUARTER_HIGH + QUARTER_LOW));
  const rest = x - quarters * QUARTER_HIGH - quarters * QUARTER_LOW;
  const isOdd = quarters % 2 !== 0;
  // |rest| < 0.786, so the first term left out, with rest^18 or rest^19, is below 3e-18.
  let sum = 1;
  for (let power = isOdd ? 16 : 17; power >= 2; power -= 2) sum = 1 - ((rest * rest) / (power * (power - 1))) * sum;
  const value = isOdd ? sum : rest * sum;
  const turned = quarters % 4;
  return turned === 2 || turned === 3 || turned === -1 || turned === -2 ? -value : value;
}
