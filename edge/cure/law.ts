import { z } from 'zod';

/** Molar gas constant, J/(mol·K). CODATA 2018, exact. */
export const GAS_CONSTANT = 8.314462618;

/** 0 °C in kelvin. Exact by definition of the Celsius scale. */
export const ZERO_CELSIUS_KELVIN = 273.15;

/**
 * Reaction speed relative to the reference temperature:
 * `exp[(Ea/R)·(1/Tref − 1/T)]`, both temperatures in kelvin.
 * Same form as the equivalent-age function of ASTM C1074 (Freiesleben Hansen & Pedersen), with the resin's own energy.
 */
export const ArrheniusLaw = z.strictObject({
  kind: z.literal('arrhenius'),
  activationKilojoulesPerMol: z.number().min(10).max(200),
});

export const Law = z.discriminatedUnion('kind', [ArrheniusLaw]);
export type Law = z.infer<typeof Law>;

/**
 * Uncapped speed of `law` at `celsius`, 1 at `referenceCelsius`.
 * Floating point: used to compile a rate table and by nothing that adds up credit.
 */
export function relativeSpeed(law: Law, referenceCelsius: number, celsius: number): number {
  const reference = referenceCelsius + ZERO_CELSIUS_KELVIN;
  const kelvin = celsius + ZERO_CELSIUS_KELVIN;
  const energyOverR = (law.activationKilojoulesPerMol * 1000) / GAS_CONSTANT;
  return Math.exp(energyOverR * (1 / reference - 1 / kelvin));
}
