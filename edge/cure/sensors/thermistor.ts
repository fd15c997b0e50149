import { z } from 'zod';
import { exp } from '../exp.ts';
import { ZERO_CELSIUS_KELVIN } from '../law.ts';
import { ln } from '../ln.ts';

// What a thermistor for such work can be. Our own bounds, wide on purpose: they catch slips of the pen, not bad parts.
const OHMS_AT_25_LEAST = 100;
const OHMS_AT_25_MOST = 5_000_000;
const BETA_LEAST_KELVIN = 2_000;
const BETA_MOST_KELVIN = 6_000;
/** Beta of a real part drifts by a few per cent over this range. */
const BETA_CHANGE_MOST = 0.15;
const POINTS_APART_CELSIUS = 5;
/** Newton's method on a cubic gains a third per round from far away and doubles its digits from near. */
const ROUNDS_MOST = 100;

const Point = z.strictObject({ celsius: z.number().min(-60).max(150), ohms: z.number().min(1).max(1e8) });
type Point = z.infer<typeof Point>;

const SteinhartHart = z
  .strictObject({ kind: z.literal('steinhartHart'), a: z.number(), b: z.number(), c: z.number() })
  .superRefine((curve, context) => {
    const fault = curveFault(curve);
    if (fault !== null)
      context.addIssue({ code: 'custom', message: `${fault}; check the signs and the powers of ten of the coefficients` });
  });

const Beta = z.strictObject({
  kind: z.literal('beta'),
  ohmsAt25: z
    .number()
    .min(OHMS_AT_25_LEAST, `must be at least ${OHMS_AT_25_LEAST} Ω; give ohms, not kilo-ohms`)
    .max(OHMS_AT_25_MOST, `must be at most ${OHMS_AT_25_MOST} Ω; give ohms`),
  betaKelvin: z
    .number()
    .min(BETA_LEAST_KELVIN, `must be at least ${BETA_LEAST_KELVIN} K`)
    .max(BETA_MOST_KELVIN, `must be at most ${BETA_MOST_KELVIN} K`),
});

const Points = z
  .strictObject({ kind: z.literal('points'), points: z.tuple([Point, Point, Point], 'give exactly three points') })
  .superRefine(({ points }, context) => {
    const fault = pointsFault(points);
    if (fault !== null) context.addIssue({ code: 'custom', path: ['points'], message: fault });
  });

/**
 * How a thermistor's resistance falls with temperature (NTC): the maker's Steinhart–Hart coefficients (K and Ω), the resistance
 * at 25 °C with Beta, or three measured points, through which a Steinhart–Hart curve is laid.
 */
export const ThermistorCurve = z.discriminatedUnion('kind', [SteinhartHart, Beta, Points], {
  error: (issue) => (issue.code === 'invalid_union' ? 'kind must be one of steinhartHart, beta, points' : undefined),
});
export type ThermistorCurve = z.infer<typeof ThermistorCurve>;

/** 1/T = a + b·ln R + c·(ln R)³, T in kelvin, R in ohms (Steinhart & Hart 1968). */
export interface Coefficients {
  readonly a: number;
  readonly b: number;
  readonly c: number;
}

/** Every kind of curve as Steinhart–Hart coefficients. Beta is the case without the cubic term. */
export function coefficientsOf(curve: ThermistorCurve): Coefficients {
  switch (curve.kind) {
    case 'steinhartHart':
      return curve;
    case 'beta':
      return { a: 1 / (25 + ZERO_CELSIUS_KELVIN) - ln(curve.ohmsAt25) / curve.betaKelvin, b: 1 / curve.betaKelvin, c: 0 };
    case 'points':
      return fitThrough(curve.points);
  }
}

/** Solves the three equations of the three points by divided differences. Resistances are above 1 Ω and differ. */
function fitThrough([first, second, third]: readonly [Point, Point, Point]): Coefficients {
  const [l1, l2, l3] = [ln(first.ohms), ln(second.ohms), ln(third.ohms)];
  const inverse = (point: Point) => 1 / (point.celsius + ZERO_CELSIUS_KELVIN);
  const slope12 = (inverse(second) - inverse(first)) / (l2 - l1);
  const slope13 = (inverse(third) - inverse(first)) / (l3 - l1);
  const c = (slope13 - slope12) / (l3 - l2) / (l1 + l2 + l3);
  const b = slope12 - c * (l1 * l1 + l1 * l2 + l2 * l2);
  return { a: inverse(first) - l1 * (b + c * l1 * l1), b, c };
}

/** Temperature at `ohms`, °C. Null for no resistance at all, and where the curve has turned round and means nothing. */
export function thermistorCelsius({ a, b, c }: Coefficients, ohms: number): number | null {
  const l = ln(ohms);
  // With c below 0 the curve turns round at a high resistance: an open circuit would read as a mild day.
  if (!(b + 3 * c * l * l > 0)) return null;
  const inverse = a + b * l + c * l * l * l;
  return inverse > 0 ? 1 / inverse - ZERO_CELSIUS_KELVIN : null;
}

/** Resistance at `celsius`, Ω: the inverse of `thermistorCelsius`. Null where the curve does not reach. */
export function thermistorOhms({ a, b, c }: Coefficients, celsius: number): number | null {
  const inverse = 1 / (celsius + ZERO_CELSIUS_KELVIN);
  let l = (inverse - a) / b;
  for (let round = 0; round < ROUNDS_MOST; round++) {
    const slope = b + 3 * c * l * l;
    if (!(slope > 0)) return null;
    const step = (a + b * l + c * l * l * l - inverse) / slope;
    l -= step;
    if (Math.abs(step) < 1e-14 * Math.max(1, Math.abs(l))) return exp(l);
  }
  return null;
}

function pointsFault(points: readonly [Point, Point, Point]): string | null {
  const [coldest, middle, warmest] = [...points].sort((p, q) => p.celsius - q.celsius) as [Point, Point, Point];
  for (const [colder, warmer] of [
    [coldest, middle],
    [middle, warmest],
  ] as const) {
    if (warmer.celsius - colder.celsius < POINTS_APART_CELSIUS)
      return `${colder.celsius} and ${warmer.celsius} °C are too near each other; take three points at least ${POINTS_APART_CELSIUS} °C apart`;
    if (warmer.ohms >= colder.ohms)
      return `resistance must fall as it gets warmer, but ${warmer.celsius} °C has ${warmer.ohms} Ω and ${colder.celsius} °C has ${colder.ohms} Ω; two points may be swapped, or this is not an NTC thermistor`;
  }
  const fault = curveFault(fitThrough(points));
  return fault === null ? null : `${fault}; one of the three points is probably mistyped`;
}

/** What speaks against a curve, in plain words; null for a plausible one. */
function curveFault(coefficients: Coefficients): string | null {
  const ohms = (celsius: number) => thermistorOhms(coefficients, celsius);
  const ohmsAt25 = ohms(25);
  if (ohmsAt25 !== null && (ohmsAt25 < OHMS_AT_25_LEAST || ohmsAt25 > OHMS_AT_25_MOST))
    return `the curve gives ${Number(ohmsAt25.toPrecision(3))} Ω at 25 °C, where a thermistor has ${OHMS_AT_25_LEAST} to ${OHMS_AT_25_MOST} Ω`;
  // Where both ends are reached, the curve falls all the way between them.
  if (ohmsAt25 === null || ohms(-40) === null || ohms(100) === null) return 'the curve does not fall steadily from -40 to 100 °C';
  const cold = betaBetween(coefficients, -20, 25);
  const warm = betaBetween(coefficients, 25, 70);
  for (const beta of [cold, warm])
    if (!(beta >= BETA_LEAST_KELVIN && beta <= BETA_MOST_KELVIN))
      return `the curve has a Beta of ${Math.round(beta)} K, where a thermistor has ${BETA_LEAST_KELVIN} to ${BETA_MOST_KELVIN} K`;
  if (Math.abs(warm / cold - 1) > BETA_CHANGE_MOST)
    return `the curve bends too much: Beta ${Math.round(cold)} K below 25 °C, ${Math.round(warm)} K above`;
  return null;
}

function betaBetween(coefficients: Coefficients, colder: number, warmer: number): number {
  const inverse = (celsius: number) => 1 / (celsius + ZERO_CELSIUS_KELVIN);
  const logarithm = (celsius: number) => ln(thermistorOhms(coefficients, celsius) ?? Number.NaN);
  return (logarithm(colder) - logarithm(warmer)) / (inverse(colder) - inverse(warmer));
}
