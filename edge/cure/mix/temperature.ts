import { z } from 'zod';

const RANGE = 'use °C between -40 and 60';

/** Temperature of resin or air at a mix, °C. */
export const MixCelsius = z.number(RANGE).min(-40, RANGE).max(60, RANGE);

/** Nobody mixes resin that is warmer than this, or in such air, °C. */
const WARMEST_PLAUSIBLE_CELSIUS = 45;

export function celsiusOf(fahrenheit: number): number {
  return ((fahrenheit - 32) * 5) / 9;
}

/**
 * A temperature of resin or air that was entered as °C but is above 45 was probably read in °F: what it is in °C if so. Null when
 * it is plausible as it stands, or above 45 °C as °F too. What both units allow, such as 40, shows no slip.
 */
export function maybeFahrenheit(celsius: number): number | null {
  if (!(celsius > WARMEST_PLAUSIBLE_CELSIUS)) return null;
  const converted = celsiusOf(celsius);
  return converted <= WARMEST_PLAUSIBLE_CELSIUS ? converted : null;
}

/** A temperature in tenths: thermometers and pages go no finer, so 26.7 °C is meant where a sheet's 80 °F are 26.666… °C. */
export function tenthsOf(celsius: number): number {
  return Math.round(celsius * 10);
}
