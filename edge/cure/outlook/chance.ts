import { ln } from '../ln.ts';

/** Worlds that are looked at. Enough for a band from 5 to 95 %, few enough for a telephone. */
export const MEMBERS = 64;

/**
 * A standard normal deviate that depends on nothing but the three whole numbers (each 0 or above): the same in every run, on every
 * machine, in a browser too, so that an answer changes only when what it rests on does. Members come in pairs of opposite sign, so
 * that what is likeliest does not drift with the draw.
 */
export function normalAt(stream: number, member: number, step: number): number {
  const deviate = normalOf((mixed(stream, member >> 1, step) + 0.5) / RANGE);
  return member % 2 === 0 ? deviate : -deviate;
}

const RANGE = 4_294_967_296;

/** The finaliser of MurmurHash3 (public domain, A. Appleby) after each number. */
function mixed(...numbers: readonly number[]): number {
  let hash = 0x9e3779b9;
  for (const number of numbers) {
    hash ^= number;
    hash = times(hash ^ (hash >>> 16), 0x85ebca6b);
    hash = times(hash ^ (hash >>> 13), 0xc2b2ae35);
    hash = (hash ^ (hash >>> 16)) + 0x9e3779b9;
  }
  return hash >>> 0;
}

/** Product of two whole numbers modulo 2^32. */
function times(a: number, b: number): number {
  const low = (a & 0xffff) * (b >>> 0);
  const high = (((a >>> 16) * (b & 0xffff)) & 0xffff) * 0x10000;
  return (low + high) | 0;
}

/** Rational approximation of the inverse normal distribution (P. J. Acklam, 2003), relative error below 1.2e-9. */
const A = [
  -3.969683028665376e1, 2.209460984245205e2, -2.759285104469687e2, 1.38357751867269e2, -3.066479806614716e1, 2.506628277459239,
];
const B = [-5.447609879822406e1, 1.615858368580409e2, -1.556989798598866e2, 6.680131188771972e1, -1.328068155288572e1, 1];
const C = [
  -7.784894002430293e-3, -3.223964580411365e-1, -2.400758277161838, -2.549732539343734, 4.374664141464968, 2.938163982698783,
];
const D = [7.784695709041462e-3, 3.224671290700398e-1, 2.445134137142996, 3.754408661907416, 1];
const TAIL = 0.02425;

/** The value that a standard normal variable stays below with probability `p`, 0 < p < 1. */
export function normalOf(p: number): number {
  if (p > 1 - TAIL) return -normalOf(1 - p);
  if (p < TAIL) {
    const q = Math.sqrt(-2 * ln(p));
    return horner(C, q) / horner(D, q);
  }
  const q = p - 0.5;
  return (horner(A, q * q) * q) / horner(B, q * q);
}

function horner(coefficients: readonly number[], x: number): number {
  return coefficients.reduce((sum, coefficient) => sum * x + coefficient, 0);
}
