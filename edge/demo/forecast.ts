import { noiseAt } from './noise.ts';
import type { Ambient } from './weather.ts';

const HOUR_MS = 3_600_000;

/** How far a forecast is off at most, °C: nothing when it is issued, most of it from half a day ahead on. */
const ERROR_MOST_CELSIUS = 1.6;
const ERROR_GROWS_HOURS = 8;
/** Its errors last: it is too warm, or too cold, for about so long. */
const ERROR_LASTS_HOURS = 7;
/** It is read out in steps of so much, °C. */
const STEP_CELSIUS = 0.5;

export interface ForecastSettings {
  readonly air: Ambient;
  readonly issuedMs: number;
  readonly untilMs: number;
  /** Picks one of many reproducible forecasts. */
  readonly seed: number;
}

/** What somebody would have forecast of that air: hour by hour, and off by a degree or so. UTC ms, °C. */
export function forecastOf({ air, issuedMs, untilMs, seed }: ForecastSettings): { atMs: number; celsius: number }[] {
  const hours: { atMs: number; celsius: number }[] = [];
  for (let hour = 0; issuedMs + hour * HOUR_MS <= untilMs; hour++) {
    const atMs = issuedMs + hour * HOUR_MS;
    const celsius = air(atMs) + errorCelsius(hour, seed);
    // Adding 0 turns a negative zero into zero.
    hours.push({ atMs, celsius: Math.round(celsius / STEP_CELSIUS) * STEP_CELSIUS + 0 });
  }
  return hours;
}

function errorCelsius(leadHours: number, seed: number): number {
  const knot = Math.floor(leadHours / ERROR_LASTS_HOURS);
  const share = leadHours / ERROR_LASTS_HOURS - knot;
  const wandering = noiseAt(seed, knot) * (1 - share) + noiseAt(seed, knot + 1) * share;
  return ERROR_MOST_CELSIUS * wandering * (1 - Math.exp(-leadHours / ERROR_GROWS_HOURS));
}
