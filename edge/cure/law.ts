import { z } from 'zod';
import { saturationPascal } from './dewPoint.ts';
import { exp } from './exp.ts';
import { ln } from './ln.ts';

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

/** Speed grows by one factor every 10 K: `factor^((T − Tref)/10)`. Same form as the ageing factor of ASTM F1980. */
export const Q10Law = z.strictObject({
  kind: z.literal('q10'),
  factorPer10Kelvin: z.number().gt(1, 'must be above 1: colder is slower').max(6),
});

/** A temperature on the grid of the rate table: a multiple of 0.1 °C. */
export const gridCelsius = z
  .number()
  .min(-40)
  .max(100)
  .refine((celsius) => Math.abs(celsius * 10 - Math.round(celsius * 10)) < 1e-6, 'must be a multiple of 0.1 °C');

/** Logarithm of the factor that hours may fall by in a degree: half, with a little for rounding. Our own limit. */
const STEEPEST = Math.LN2 * 1.00001;

interface Point {
  readonly celsius: number;
  readonly hours: number;
}

function steepness(colder: Point, warmer: Point): number {
  return ln(colder.hours / warmer.hours) / (warmer.celsius - colder.celsius);
}

/**
 * The maker's hours at temperatures. Between two points the logarithm of the hours is linear in 1/T. Colder than the coldest point
 * nothing is credited, warmer than the warmest no more than there.
 */
export const TableLaw = z.strictObject({
  kind: z.literal('table'),
  points: z
    .array(z.strictObject({ celsius: gridCelsius, hours: z.number().positive().max(2000) }))
    .min(2)
    .max(20)
    .superRefine((points, context) => {
      points.forEach((point, index) => {
        const before = points[index - 1];
        if (before === undefined) return;
        if (point.celsius <= before.celsius)
          context.addIssue({ code: 'custom', path: [index, 'celsius'], message: 'must be warmer than the point before it' });
        else if (point.hours >= before.hours)
          context.addIssue({
            code: 'custom',
            path: [index, 'hours'],
            message: 'must be fewer than at the colder point before it',
          });
        else if (steepness(before, point) > STEEPEST)
          context.addIssue({
            code: 'custom',
            path: [index, 'hours'],
            message: 'fall to less than half within a degree; no cure is that steep, so check the figures',
          });
      });
    }),
});

/**
 * A sealant that cures by the water vapour of the air: its speed goes with the vapour pressure, of temperature and relative
 * humidity together, and the cured front's depth with the square root of the exposure (z = √(2VPpt), Comyn,
 * doi 10.1016/S0143-7496(97)00031-6, law from memory). A bead twice as deep needs four times as long.
 */
export const MoistureLaw = z.strictObject({
  kind: z.literal('moisture'),
  referenceHumidityPercent: z.number().min(5).max(100),
  /** At the reference the front reaches this depth, mm … */
  frontMillimetres: z.number().positive().max(50),
  /** … after so many hours. */
  frontHours: z.number().positive().max(2000),
  /** Depth of a bead whose joint names none, mm. */
  beadMillimetres: z.number().positive().max(50),
});
export type MoistureLaw = z.infer<typeof MoistureLaw>;

export const Law = z.discriminatedUnion('kind', [ArrheniusLaw, Q10Law, TableLaw, MoistureLaw]);
export type Law = z.infer<typeof Law>;

/**
 * Uncapped speed of `law` at `celsius`, 1 at `referenceCelsius`; of a moisture law at the reference humidity.
 * Floating point: used to compile a rate table and by nothing that adds up credit.
 */
export function relativeSpeed(law: Law, referenceCelsius: number, celsius: number): number {
  switch (law.kind) {
    case 'arrhenius': {
      const energyOverR = (law.activationKilojoulesPerMol * 1000) / GAS_CONSTANT;
      return exp(energyOverR * (1 / kelvinOf(referenceCelsius) - 1 / kelvinOf(celsius)));
    }
    case 'q10':
      return exp((ln(law.factorPer10Kelvin) * (celsius - referenceCelsius)) / 10);
    case 'table':
      return hoursAt(law, referenceCelsius) / hoursAt(law, celsius);
    case 'moisture':
      return saturationPascal(celsius) / saturationPascal(referenceCelsius);
  }
}

/** Depth of the cured front after so many warm hours, mm. */
export function frontMillimetres(law: MoistureLaw, warmHours: number): number {
  return law.frontMillimetres * Math.sqrt(warmHours / law.frontHours);
}

/** Warm hours until the front has come through a bead, h. */
export function hoursThrough(law: MoistureLaw, beadMillimetres: number): number {
  const share = beadMillimetres / law.frontMillimetres;
  return law.frontHours * share * share;
}

function hoursAt({ points }: z.infer<typeof TableLaw>, celsius: number): number {
  const warmer = points.findIndex((point) => point.celsius >= celsius);
  const above = points[warmer];
  // Warmer than all points: no better than the warmest.
  if (above === undefined) return points.at(-1)?.hours ?? Number.POSITIVE_INFINITY;
  if (above.celsius === celsius) return above.hours;
  const below = points[warmer - 1];
  if (below === undefined) return Number.POSITIVE_INFINITY;
  const inverse = (at: number) => 1 / kelvinOf(at);
  const share = (inverse(celsius) - inverse(below.celsius)) / (inverse(above.celsius) - inverse(below.celsius));
  return exp(ln(below.hours) + share * (ln(above.hours) - ln(below.hours)));
}

function kelvinOf(celsius: number): number {
  return celsius + ZERO_CELSIUS_KELVIN;
}
