import { exp } from '../exp.ts';
import { HOUR_MS } from '../schedule.ts';
import type { Lag } from './input.ts';

/**
 * What is taken for a joint of which too little has been measured: three hours behind the air, no warmer than it, and as unsure
 * of that as `offsetSdMilliC` says. Our own choice; no source.
 */
export const DEFAULT_LAG: Lag = {
  timeConstantMs: 3 * HOUR_MS,
  offsetMilliC: 0,
  offsetSdMilliC: 2000,
  errorMilliC: null,
  fittedHours: 0,
};

/**
 * First-order lag `τ·dT/dt = u − T`, solved exactly for an input that runs straight from `fromMilliC` to `toMilliC` within
 * `spanMs`: the temperature at the end of the span, m°C, not rounded.
 */
export function lagged(milliC: number, fromMilliC: number, toMilliC: number, spanMs: number, timeConstantMs: number): number {
  if (spanMs <= 0) return milliC;
  const trailing = ((toMilliC - fromMilliC) / spanMs) * timeConstantMs;
  return toMilliC - trailing + (milliC - fromMilliC + trailing) * exp(-Math.min(700, spanMs / timeConstantMs));
}

/** How much of a sinusoid's swing is left behind a first-order lag, and how late it comes, ms. */
export function gainAndLag(periodMs: number, timeConstantMs: number): { gain: number; lagMs: number } {
  const radiansPerMs = (2 * Math.PI) / periodMs;
  const ratio = radiansPerMs * timeConstantMs;
  return { gain: 1 / Math.sqrt(1 + ratio * ratio), lagMs: arcTangent(ratio) / radiansPerMs };
}

/** Of a number from 0 on, radians: halved three times, then its power series; relative error below 1e-15. */
function arcTangent(ratio: number): number {
  let tangent = ratio;
  for (let halvings = 0; halvings < 3; halvings++) tangent /= 1 + Math.sqrt(1 + tangent * tangent);
  // Below tan(π/16) = 0.199 the term with tangent^25 is below 1e-18.
  let sum = 0;
  for (let odd = 23; odd >= 1; odd -= 2) sum = 1 / odd - tangent * tangent * sum;
  return 8 * tangent * sum;
}
