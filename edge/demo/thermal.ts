import { noiseAt } from './noise.ts';
import type { Ambient } from './weather.ts';

/** Longest stretch over which the input is taken as a straight line, ms. */
const STEP_MS = 60_000;

/** Resolution of a digital one-wire chip at 12 bit, °C. */
export const SENSOR_STEP_CELSIUS = 0.0625;

/** Largest noise of a simulated sensor before it is rounded to a step, °C. */
const SENSOR_NOISE_CELSIUS = 0.07;

/** Fresh material: it goes down at `celsius` and warms itself, most at `exothermPeakMs` after lay-up, then ever less. */
export interface LayUp {
  readonly atMs: number;
  readonly celsius: number;
  readonly exothermCelsius: number;
  readonly exothermPeakMs: number;
}

/** A heater with a thermostat: adds up to `riseCelsius`, but does not heat beyond `holdCelsius`. It comes on within a minute. */
export interface Heater {
  readonly fromMs: number;
  readonly riseCelsius: number;
  readonly holdCelsius: number;
  /** It gives no heat between these. */
  readonly out?: { readonly fromMs: number; readonly toMs: number };
}

/** A spot on a joint, as heat sees it. */
export interface Body {
  readonly timeConstantMs: number;
  /** How much warmer than the air it comes to rest: cover, ground warmth. */
  readonly offsetCelsius: number;
  readonly layUp: LayUp | null;
  /** May be switched while the body is walked: from the next instant on that is asked for, it counts. */
  heater: Heater | null;
}

/**
 * First-order lag, τ·dT/dt = u − T, solved exactly for an input that runs straight from `inputFrom` to `inputTo` within `spanMs`.
 * Starts at `celsius` and returns the temperature at the end of the span.
 */
export function lag(celsius: number, inputFrom: number, inputTo: number, spanMs: number, timeConstantMs: number): number {
  const trailing = ((inputTo - inputFrom) / spanMs) * timeConstantMs;
  return inputTo - trailing + (celsius - inputFrom + trailing) * Math.exp(-spanMs / timeConstantMs);
}

/** The body's temperature from `fromMs` on, as a walk: ask for instants in rising order. Throws a RangeError on a step back. */
export function materialFrom(body: Body, ambient: Ambient, fromMs: number): (atMs: number) => number {
  let cursorMs = fromMs;
  let celsius = restingCelsius(body, ambient, fromMs);
  const walk = (untilMs: number) => {
    while (cursorMs < untilMs) {
      const nextMs = Math.min(untilMs, cursorMs + STEP_MS);
      const input = restingCelsius(body, ambient, cursorMs);
      celsius = lag(celsius, input, restingCelsius(body, ambient, nextMs), nextMs - cursorMs, body.timeConstantMs);
      cursorMs = nextMs;
    }
  };
  return (atMs) => {
    if (atMs < cursorMs) throw new RangeError('a simulated material is asked for its past');
    const { layUp } = body;
    if (layUp !== null && cursorMs < layUp.atMs && atMs >= layUp.atMs) {
      walk(layUp.atMs);
      celsius = layUp.celsius;
    }
    walk(atMs);
    return celsius + exothermCelsius(layUp, atMs);
  };
}

/** Where the body would come to rest if the air and the heater stayed as they are, °C. */
function restingCelsius({ offsetCelsius, heater }: Body, ambient: Ambient, atMs: number): number {
  const unheated = ambient(atMs) + offsetCelsius;
  if (heater === null || atMs < heater.fromMs) return unheated;
  if (heater.out !== undefined && atMs >= heater.out.fromMs && atMs < heater.out.toMs) return unheated;
  return Math.max(unheated, Math.min(heater.holdCelsius, unheated + heater.riseCelsius));
}

/** x·exp(1 − x): nothing at lay-up, all of it at the peak, a tenth of it left after five times as long. */
function exothermCelsius(layUp: LayUp | null, atMs: number): number {
  if (layUp === null || atMs < layUp.atMs) return 0;
  const peaks = (atMs - layUp.atMs) / layUp.exothermPeakMs;
  return layUp.exothermCelsius * peaks * Math.exp(1 - peaks);
}

/** What a digital sensor would report for `celsius`: a little noise, then the nearest step. */
export function sensed(celsius: number, seed: number, atMs: number): number {
  const noisy = celsius + SENSOR_NOISE_CELSIUS * noiseAt(seed, Math.floor(atMs / 1000));
  // Adding 0 turns a negative zero into zero.
  return Math.round(noisy / SENSOR_STEP_CELSIUS) * SENSOR_STEP_CELSIUS + 0;
}
