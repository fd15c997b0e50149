import fc from 'fast-check';
import type { Law } from '../../edge/cure/law.ts';
import { PPM, type Schedule } from '../../edge/cure/schedule.ts';

export type Compiled = Pick<Schedule, 'law' | 'referenceCelsius' | 'floorCelsius'>;

const KELVIN = 273.15;

/** The laws with nothing rounded, written out a second time so as not to lean on the code under test: speed relative to the reference. */
export function plainSpeed(law: Law, referenceCelsius: number, celsius: number): number {
  switch (law.kind) {
    case 'arrhenius': {
      const reciprocal = 1 / (referenceCelsius + KELVIN) - 1 / (celsius + KELVIN);
      return Math.exp((law.activationKilojoulesPerMol * 1000 * reciprocal) / 8.314462618);
    }
    case 'q10':
      return law.factorPer10Kelvin ** ((celsius - referenceCelsius) / 10);
    case 'table':
      return plainHours(law.points, referenceCelsius) / plainHours(law.points, celsius);
    case 'moisture':
      return plainPascal(celsius) / plainPascal(referenceCelsius);
  }
}

/** Log-linear in 1/T between the two points around `celsius`; infinite colder than all, that of the warmest beyond it. */
export function plainHours(points: readonly { readonly celsius: number; readonly hours: number }[], celsius: number): number {
  const last = points.at(-1);
  if (last !== undefined && celsius >= last.celsius) return last.hours;
  for (let index = 1; index < points.length; index++) {
    const [below, above] = [points[index - 1], points[index]];
    if (below === undefined || above === undefined || celsius < below.celsius || celsius > above.celsius) continue;
    const x = 1000 / (celsius + KELVIN);
    const [x0, x1] = [1000 / (below.celsius + KELVIN), 1000 / (above.celsius + KELVIN)];
    const share = (x - x0) / (x1 - x0);
    return below.hours ** (1 - share) * above.hours ** share;
  }
  return Number.POSITIVE_INFINITY;
}

/** Saturated vapour over water, Pa (WMO-No. 8) [P]. */
export function plainPascal(celsius: number): number {
  return 611.2 * Math.exp((17.62 * celsius) / (243.12 + celsius));
}

/** The law at a temperature, ppm, capped at full rate. */
export function lawPpm({ law, referenceCelsius }: Compiled, milliC: number): number {
  return PPM * Math.min(1, plainSpeed(law, referenceCelsius, milliC / 1000));
}

const span = fc.record({ floorDeci: fc.integer({ min: -400, max: 900 }), rows: fc.integer({ min: 0, max: 300 }) });
const between = ({ floorDeci, rows }: { floorDeci: number; rows: number }) => ({
  floorCelsius: floorDeci / 10,
  referenceCelsius: Math.min(1000, floorDeci + rows) / 10,
});

export const arrhenius: fc.Arbitrary<Compiled> = fc
  .tuple(fc.double({ min: 10, max: 200, noNaN: true }), span)
  .map(([activationKilojoulesPerMol, ends]) => ({ law: { kind: 'arrhenius', activationKilojoulesPerMol }, ...between(ends) }));

export const q10: fc.Arbitrary<Compiled> = fc
  .tuple(fc.double({ min: 1.01, max: 6, noNaN: true }), span)
  .map(([factorPer10Kelvin, ends]) => ({ law: { kind: 'q10', factorPer10Kelvin }, ...between(ends) }));

/** Of points that the schema takes, `stepsDeci` tenths of a degree apart, each with so many parts of the hours of the one before. */
export const table: fc.Arbitrary<Compiled> = fc
  .record({
    coldestDeci: fc.integer({ min: -400, max: 500 }),
    hours: fc.double({ min: 1, max: 2000, noNaN: true }),
    steps: fc.array(fc.tuple(fc.integer({ min: 1, max: 150 }), fc.double({ min: 0.01, max: 0.999, noNaN: true })), {
      minLength: 1,
      maxLength: 6,
    }),
    floorShare: fc.double({ min: 0, max: 1, noNaN: true }),
    referenceShare: fc.double({ min: 0, max: 1, noNaN: true }),
  })
  .map(({ coldestDeci, hours, steps, floorShare, referenceShare }) => {
    const points = [{ celsius: coldestDeci / 10, hours }];
    let [deci, left] = [coldestDeci, hours];
    for (const [stepDeci, share] of steps) {
      deci = Math.min(1000, deci + stepDeci);
      // No steeper than what the schema takes: half the hours a degree.
      left *= Math.max(share, 0.5 ** (stepDeci / 10));
      if (deci > Math.round((points.at(-1)?.celsius ?? 0) * 10)) points.push({ celsius: deci / 10, hours: left });
    }
    const wideDeci = deci - coldestDeci;
    const floorDeci = coldestDeci + Math.floor(wideDeci * floorShare);
    const referenceDeci = floorDeci + Math.floor((deci - floorDeci) * referenceShare);
    return { law: { kind: 'table', points }, floorCelsius: floorDeci / 10, referenceCelsius: referenceDeci / 10 };
  });

export const moisture: fc.Arbitrary<Compiled> = fc
  .record({
    referenceDeci: fc.integer({ min: 0, max: 400 }),
    below: fc.integer({ min: 0, max: 400 }),
    referenceHumidityPercent: fc.integer({ min: 5, max: 100 }),
  })
  .map(({ referenceDeci, below, referenceHumidityPercent }) => ({
    law: { kind: 'moisture', referenceHumidityPercent, frontMillimetres: 3, frontHours: 24, beadMillimetres: 3 },
    floorCelsius: Math.max(-400, referenceDeci - below) / 10,
    referenceCelsius: referenceDeci / 10,
  }));
