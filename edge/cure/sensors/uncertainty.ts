import { z } from 'zod';
import type { Calibration } from './calibration.ts';
import { pt100ToleranceCelsius } from './pt100.ts';
import type { Sensor } from './sensor.ts';

/** Shares of uncertainty of one probe that are independent of each other. */
export const Contribution = z.strictObject({
  name: z.string().trim().min(1).max(120),
  /** Half the width of the limits, °C; for `normal` the standard uncertainty itself. */
  halfWidthCelsius: z.number().min(0).max(10),
  distribution: z.enum(['rectangular', 'triangular', 'normal']),
});
export type Contribution = z.infer<typeof Contribution>;

/** JCGM 100 (GUM) 4.3.7 and 4.3.9: variance a²/3 of a rectangle and a²/6 of a triangle of half-width a. */
const VARIANCE_DIVISOR = { rectangular: 3, triangular: 6, normal: 1 } as const;
/** JCGM 100 (GUM) 6.3.3: about 95 % for a normal distribution. */
const COVERAGE_FACTOR = 2;
/** 95 % of a normal distribution lies below this many standard deviations above its mean. */
const ONE_SIDED_95 = 1.645;

/** Combined standard uncertainty u, °C: the root of the sum of squares, JCGM 100 (GUM) 5.1.2. */
export function standardUncertainty(contributions: readonly Contribution[]): number {
  let variance = 0;
  for (const { halfWidthCelsius, distribution } of contributions)
    variance += (halfWidthCelsius * halfWidthCelsius) / VARIANCE_DIVISOR[distribution];
  return Math.sqrt(variance);
}

/** Expanded uncertainty U = 2 u, °C. */
export function expandedUncertainty(contributions: readonly Contribution[]): number {
  return COVERAGE_FACTOR * standardUncertainty(contributions);
}

/** What the true value falls below the reading by, at most, in 95 of 100 cases: 1.645 u, °C. */
export function oneSided95(contributions: readonly Contribution[]): number {
  return ONE_SIDED_95 * standardUncertainty(contributions);
}

/**
 * Guard band of a probe: U in m°C, rounded up.
 * For the digital default this is 579, more than the maker's hard limit of 500 that the program takes when nobody gave an
 * uncertainty: k = 2 is made for a bell, and this budget is nearly a rectangle, whose ends are at 1.73 u. Only reading too warm
 * is unsafe, and the one-sided 95 % of the same budget is 476, so 500 keeps on the safe side of that.
 */
export function guardMilliC(contributions: readonly Contribution[]): number {
  // Less a billionth of a degree, so that a last bit of the root does not cost a whole m°C.
  return Math.max(0, Math.ceil(expandedUncertainty(contributions) * 1000 - 1e-6));
}

/** Where the budget is drawn up. Colder no built-in schedule credits anything, warmer each credits fully. */
const BUDGET_FROM_CELSIUS = 0;
const BUDGET_TO_CELSIUS = 20;

/** Maker's limits of the one-wire class of digital sensors, −10…85 °C, and its step at 12 bit. */
const DIGITAL_LIMITS: Contribution = { name: 'sensor limits', halfWidthCelsius: 0.5, distribution: 'rectangular' };
const DIGITAL_STEP: Contribution = { name: 'resolution', halfWidthCelsius: 0.0625 / 2, distribution: 'rectangular' };
const NOISE: Contribution = { name: 'repeatability', halfWidthCelsius: 0.01, distribution: 'normal' };
/** Our own default, from memory of what makers offer. */
const THERMISTOR_LIMITS: Contribution = { name: 'interchangeability', halfWidthCelsius: 0.2, distribution: 'rectangular' };
/** Our own default for the circuit that measures the ohms, leads compensated. Two plain wires to a Pt100 can cost far more. */
const READER: Contribution = { name: 'reader', halfWidthCelsius: 0.2, distribution: 'rectangular' };
/** Our own default for what probe and reader change by until the next calibration. */
const DRIFT: Contribution = { name: 'drift', halfWidthCelsius: 0.1, distribution: 'rectangular' };

/**
 * Budget of a probe about which nothing better is known. A calibration takes the place of the limits of sensor and reader:
 * then the uncertainty of the reference and the drift since count.
 */
export function defaultBudget(
  sensor: Sensor,
  calibration: Pick<Calibration, 'points' | 'referenceUncertaintyCelsius'> | null = null,
): Contribution[] {
  const always = sensor.kind === 'digital' ? [DIGITAL_STEP, NOISE] : [NOISE];
  if (calibration === null) return [...limitsOf(sensor), ...always];
  const referenceStandard = calibration.referenceUncertaintyCelsius / COVERAGE_FACTOR;
  return [
    { name: 'reference', halfWidthCelsius: referenceStandard * leverageOf(calibration.points), distribution: 'normal' },
    DRIFT,
    ...always,
  ];
}

function limitsOf(sensor: Sensor): Contribution[] {
  switch (sensor.kind) {
    case 'digital':
      return [DIGITAL_LIMITS];
    case 'pt100': {
      const halfWidthCelsius = pt100ToleranceCelsius(sensor.tolerance, BUDGET_TO_CELSIUS);
      return [{ name: `class ${sensor.tolerance} limits`, halfWidthCelsius, distribution: 'rectangular' }, READER];
    }
    case 'thermistor':
      return [THERMISTOR_LIMITS, READER];
  }
}

/** By how much a line beyond its two points magnifies what they are uncertain by, at the worse end of the budget's range. */
function leverageOf([first, second]: Calibration['points']): number {
  const at = (celsius: number) => {
    const share = (celsius - first.referenceCelsius) / (second.referenceCelsius - first.referenceCelsius);
    return Math.sqrt(share * share + (1 - share) * (1 - share));
  };
  // Between the points it would be less than 1 for independent errors; one reference errs the same way at both.
  return Math.max(1, at(BUDGET_FROM_CELSIUS), at(BUDGET_TO_CELSIUS));
}
