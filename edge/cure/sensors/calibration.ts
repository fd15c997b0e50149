import { z } from 'zod';

// Our own limits: what a probe worth keeping can be off by, and what a line through two points needs.
const APART_LEAST_CELSIUS = 10;
const DEVIATION_MOST_CELSIUS = 5;
const SPAN_CHANGE_MOST = 0.2;
const COLDEST_REFERENCE_CELSIUS = -40;
const WARMEST_REFERENCE_CELSIUS = 100;
/** The ice point in °F. */
const ICE_FAHRENHEIT = 32;

const Point = z.strictObject({
  /** What the reference says: 0 in a good ice bath (ASTM E563), else the reference thermometer. */
  referenceCelsius: z.number(),
  /** What the probe showed there once it had settled, without an earlier calibration. */
  indicatedCelsius: z.number(),
});
type Point = z.infer<typeof Point>;

const Points = z.tuple([Point, Point], 'give exactly two points').superRefine((points, context) => {
  const fault = pointsFault(points);
  if (fault !== null) context.addIssue({ code: 'custom', message: fault });
});

const Line = z
  .string()
  .trim()
  .min(1, 'must not be empty')
  .max(120, 'use at most 120 characters')
  .refine((text) => text.isWellFormed(), 'has half a character in it');

/** A probe compared with a reference at two temperatures: the ice point and a warm one, as a rule. */
export const Calibration = z.strictObject({
  points: Points,
  /** Expanded uncertainty (k = 2) of the reference at these points, as its certificate says. */
  referenceUncertaintyCelsius: z.number().positive('must be more than 0; no reference is without uncertainty').max(2),
  /** What it was compared with, such as an ice bath and a thermometer with its certificate. */
  reference: Line,
  on: z.iso.date('give the day as 2026-01-15'),
  /** Who did it. */
  by: Line,
});
export type Calibration = z.infer<typeof Calibration>;

/** The two points alone: all that correcting needs. */
export type CalibrationPoints = Pick<Calibration, 'points'>;

/**
 * `milliC` as the line through both points corrects it, whole m°C; as it is without a calibration.
 * Integers and one correctly rounded division, so exact. Sentinel values of a sensor have to be sorted out before.
 */
export function calibrated(calibration: CalibrationPoints | null, milliC: number): number {
  if (calibration === null) return milliC;
  const [first, second] = calibration.points;
  const fromMilliC = milliOf(first.indicatedCelsius);
  const toMilliC = milliOf(first.referenceCelsius);
  const referenceSpan = milliOf(second.referenceCelsius) - toMilliC;
  const indicatedSpan = milliOf(second.indicatedCelsius) - fromMilliC;
  return toMilliC + Math.round(((milliC - fromMilliC) * referenceSpan) / indicatedSpan);
}

function milliOf(celsius: number): number {
  return Math.round(celsius * 1000);
}

const celsiusOf = (fahrenheit: number) => (fahrenheit - 32) / 1.8;
const shown = (celsius: number) => Number(celsius.toFixed(2));
// In whole m°C, so that 45.3 is 5 °C from 40.3.
const isNear = (one: number, other: number) => Math.abs(milliOf(one - other)) <= milliOf(DEVIATION_MOST_CELSIUS);

/** What is probably wrong with two points, in plain words; null where nothing is. */
function pointsFault(points: readonly [Point, Point]): string | null {
  const [colder, warmer] = [...points].sort((p, q) => p.referenceCelsius - q.referenceCelsius) as [Point, Point];
  const { referenceCelsius: low } = colder;
  const { referenceCelsius: high } = warmer;
  const apart = milliOf(high - low) >= milliOf(APART_LEAST_CELSIUS);
  if (apart && warmer.indicatedCelsius < colder.indicatedCelsius)
    return `the probe showed ${colder.indicatedCelsius} °C at the colder point and ${warmer.indicatedCelsius} °C at the warmer one; the two are probably swapped`;
  const fahrenheit = points.map(fahrenheitFault).find((fault) => fault !== null);
  if (fahrenheit !== undefined) return fahrenheit;
  if (low < COLDEST_REFERENCE_CELSIUS || high > WARMEST_REFERENCE_CELSIUS)
    return `the reference points must lie between ${COLDEST_REFERENCE_CELSIUS} and ${WARMEST_REFERENCE_CELSIUS} °C; give °C, not °F`;
  if (!apart)
    return `the reference points ${low} and ${high} °C are too near each other; take two at least ${APART_LEAST_CELSIUS} °C apart`;
  if (Math.abs(low - celsiusOf(0)) < 0.1)
    return 'a cold point of −17.8 °C is 0 °F; if it was the ice point, it is 0 °C, which is 32 °F';
  if (low === ICE_FAHRENHEIT) return 'a cold point of exactly 32 is the ice point in °F; give °C, which is 0 there';
  const off = points.find((point) => !isNear(point.indicatedCelsius, point.referenceCelsius));
  if (off !== undefined)
    return `${off.indicatedCelsius} °C is more than ${DEVIATION_MOST_CELSIUS} °C off the reference of ${off.referenceCelsius} °C; check the figures and the kind of sensor, let the probe settle, or replace it`;
  const span = milliOf(high) - milliOf(low);
  const indicatedSpan = milliOf(warmer.indicatedCelsius) - milliOf(colder.indicatedCelsius);
  if (Math.abs(indicatedSpan - span) > SPAN_CHANGE_MOST * span)
    return `the probe showed a difference of ${indicatedSpan / 1000} °C where the reference had ${span / 1000} °C; it had probably not settled at one of the points`;
  return null;
}

/** A figure that fits the other one only when read as °F. */
function fahrenheitFault({ referenceCelsius, indicatedCelsius }: Point): string | null {
  if (isNear(referenceCelsius, indicatedCelsius)) return null;
  for (const [name, figure, other] of [
    ['indicated', indicatedCelsius, referenceCelsius],
    ['reference', referenceCelsius, indicatedCelsius],
  ] as const)
    if (isNear(celsiusOf(figure), other)) return `the ${name} ${figure} is probably °F; in °C it is ${shown(celsiusOf(figure))}`;
  return null;
}
