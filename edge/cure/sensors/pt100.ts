import { z } from 'zod';

// Callendar–Van Dusen coefficients of IEC 60751, and the resistance at 0 °C.
const A = 3.9083e-3;
const B = -5.775e-7;
const C = -4.183e-12;
const OHMS_AT_ZERO = 100;

/** Rounds of Newton's method below 0 °C. From the quadratic's root three settle the last digit down to −200 °C; one is spare. */
const ROUNDS = 4;

/** Tolerance class of IEC 60751. */
export const Pt100Tolerance = z.enum(['A', 'B'], { error: 'tolerance must be A or B, the class of IEC 60751' });
export type Pt100Tolerance = z.infer<typeof Pt100Tolerance>;

/** Resistance at `celsius`, Ω. IEC 60751, −200…850 °C; the caller keeps to that range. */
export function pt100Ohms(celsius: number): number {
  const cubic = celsius < 0 ? C * (celsius - 100) * celsius * celsius : 0;
  return OHMS_AT_ZERO * (1 + celsius * (A + B * celsius + cubic));
}

/**
 * Temperature at `ohms`, °C: the inverse of `pt100Ohms`. NaN above what the curve ever reaches.
 * From 0 °C the root of the quadratic in the form that loses no digits near 0; colder, Newton's method from that root.
 */
export function pt100Celsius(ohms: number): number {
  const excess = ohms / OHMS_AT_ZERO - 1;
  let celsius = (2 * excess) / (A + Math.sqrt(A * A + 4 * B * excess));
  if (!(excess < 0)) return celsius;
  for (let round = 0; round < ROUNDS; round++) {
    const slope = OHMS_AT_ZERO * (A + 2 * B * celsius + C * celsius * celsius * (4 * celsius - 300));
    celsius -= (pt100Ohms(celsius) - ohms) / slope;
  }
  return celsius;
}

/** Half-width of the class limits at `celsius`, °C. IEC 60751: A 0.15 + 0.002·|t|, B 0.3 + 0.005·|t|. */
export function pt100ToleranceCelsius(tolerance: Pt100Tolerance, celsius: number): number {
  const distance = Math.abs(celsius);
  return tolerance === 'A' ? 0.15 + 0.002 * distance : 0.3 + 0.005 * distance;
}
