import { exp } from './exp.ts';
import { ln } from './ln.ts';

/** A surface must be at least this much warmer than the dew point before anything is bonded to it, m°C. Published as 3 °C (5 °F). */
export const DEW_MARGIN_MILLI_C = 3000;

/** Saturation over water, Guide to Instruments and Methods of Observation (WMO-No. 8): 6.112 hPa, 17.62 and 243.12 °C. */
const AT_ZERO_PASCAL = 611.2;
const SLOPE = 17.62;
const OFFSET_CELSIUS = 243.12;
const COLDEST_CELSIUS = -45;
const WARMEST_CELSIUS = 60;

/** A humidity sensor in saturated air may read a little above 100 %; beyond this the reading is no reading. */
const MOST_HUMIDITY_MILLI_PERCENT = 100_500;

/**
 * Pressure of water vapour that is saturated over water at `celsius`, Pa: `611.2·exp[17.62·t/(243.12 + t)]` (WMO-No. 8).
 * NaN outside −45 … 60 °C, where the formula does not hold.
 */
export function saturationPascal(celsius: number): number {
  return holdsAt(celsius) ? AT_ZERO_PASCAL * exp(exponentAt(celsius)) : Number.NaN;
}

/**
 * Dew point of air at `milliC` (m°C) and a relative humidity over water in thousandths of a percent: the temperature at which
 * the vapour in it would be saturated, in whole m°C, the formula of `saturationPascal` solved for the temperature.
 * Below 0 °C it is the dew point over water, which is lower than the frost point. In very dry air it may lie below −45 °C and is
 * then an extrapolation. Up to 100.5 % counts as saturated.
 * Null outside −45 … 60 °C, and for a humidity that is not above 0 or is above 100.5 %.
 */
export function dewPointMilliC(milliC: number, humidityMilliPercent: number): number | null {
  const celsius = milliC / 1000;
  if (!holdsAt(celsius) || !(humidityMilliPercent > 0 && humidityMilliPercent <= MOST_HUMIDITY_MILLI_PERCENT)) return null;
  const exponent = ln(Math.min(1, humidityMilliPercent / 100_000)) + exponentAt(celsius);
  // Adding 0 turns a rounded −0 into 0.
  return Math.round((1000 * OFFSET_CELSIUS * exponent) / (SLOPE - exponent)) + 0;
}

function exponentAt(celsius: number): number {
  return (SLOPE * celsius) / (OFFSET_CELSIUS + celsius);
}

function holdsAt(celsius: number): boolean {
  return celsius >= COLDEST_CELSIUS && celsius <= WARMEST_CELSIUS;
}
