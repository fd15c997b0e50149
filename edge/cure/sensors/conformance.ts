/** Beyond so many standard uncertainties the answer is 0 or 1 to the last digit. */
const FARTHEST = 8;

/**
 * Probability that the true value is at or above `limit`, after a measurement of `measured` with the standard uncertainty
 * `standardUncertainty`, all in one unit, normally distributed (JCGM 106). Of lying below it: 1 less this.
 * Φ(z) = ½ + (z + z³/3 + z⁵/15 + …)/(e^(z²/2)·√(2π)), the exponential as its own series: basic operations, no cancellation.
 */
export function probabilityAbove(limit: number, measured: number, standardUncertainty: number): number {
  const z = (measured - limit) / standardUncertainty;
  if (z >= FARTHEST) return 1;
  if (z <= -FARTHEST) return 0;
  let odd = z;
  let even = 1;
  let area = z;
  let bell = 1;
  // 150 terms are enough for z = 8: the last ones are below 1e-17 of the sums.
  for (let n = 1; n <= 150; n++) {
    odd *= (z * z) / (2 * n + 1);
    even *= (z * z) / (2 * n);
    area += odd;
    bell += even;
  }
  return 0.5 + area / (bell * Math.sqrt(2 * Math.PI));
}
