/** Half a tenth of a degree Celsius, in °F. */
const ROUND_FAHRENHEIT = 0.0901;

/**
 * A limit in the unit that it is shown in, rounded up to a tenth: who meets what is shown meets the limit. What a tenth of a degree
 * Celsius makes of a round number of degrees Fahrenheit is that number again: 15.6 °C is meant as 60 °F.
 */
export function roundLimit(exact: number, unit: 'C' | 'F'): number {
  const whole = Math.round(exact);
  if (unit === 'F' && Math.abs(exact - whole) < ROUND_FAHRENHEIT) return whole;
  // Just below zero rounds to zero, which has no sign.
  return Math.ceil(exact * 10 - 1e-6) / 10 || 0;
}
