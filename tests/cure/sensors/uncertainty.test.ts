import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { probabilityAbove } from '../../../edge/cure/sensors/conformance.ts';
import type { Sensor } from '../../../edge/cure/sensors/sensor.ts';
import {
  Contribution,
  defaultBudget,
  expandedUncertainty,
  guardMilliC,
  oneSided95,
  standardUncertainty,
} from '../../../edge/cure/sensors/uncertainty.ts';
import vectors from '../../vectors/sensors.json' with { type: 'json' };

const DIGITAL: Sensor = { kind: 'digital' };
const THERMISTOR: Sensor = { kind: 'thermistor', curve: { kind: 'beta', ohmsAt25: 10_000, betaKelvin: 3950 } };
const SENSORS: Sensor[] = [DIGITAL, { kind: 'pt100', tolerance: 'A' }, { kind: 'pt100', tolerance: 'B' }, THERMISTOR];

const of = (distribution: Contribution['distribution'], halfWidthCelsius: number): Contribution => ({
  name: distribution,
  halfWidthCelsius,
  distribution,
});
const points = (low: number, high: number) =>
  [
    { referenceCelsius: low, indicatedCelsius: low },
    { referenceCelsius: high, indicatedCelsius: high },
  ] as [{ referenceCelsius: number; indicatedCelsius: number }, { referenceCelsius: number; indicatedCelsius: number }];

const contribution = fc.record({
  name: fc.constant('any'),
  halfWidthCelsius: fc.double({ min: 0, max: 10, noNaN: true }),
  distribution: fc.constantFrom('rectangular' as const, 'triangular' as const, 'normal' as const),
});

describe('combining', () => {
  test('the digital default is the worked GUM example [C]', () => {
    const budget = defaultBudget(DIGITAL);
    const { standard, expanded, oneSided95: oneSided } = vectors.gum;
    expect(standardUncertainty(budget)).toBeCloseTo(standard, 3);
    expect(expandedUncertainty(budget)).toBeCloseTo(expanded, 3);
    expect(oneSided95(budget)).toBeCloseTo(oneSided, 3);
    expect(guardMilliC(budget)).toBe(579);
  });

  test('each distribution has its own divisor (GUM 4.3.7, 4.3.9)', () => {
    expect(standardUncertainty([of('rectangular', 0.3)])).toBeCloseTo(0.3 / Math.sqrt(3), 15);
    expect(standardUncertainty([of('triangular', 0.3)])).toBeCloseTo(0.3 / Math.sqrt(6), 15);
    expect(standardUncertainty([of('normal', 0.3)])).toBeCloseTo(0.3, 15);
    expect(standardUncertainty([of('normal', 0.3), of('normal', 0.4)])).toBeCloseTo(0.5, 15);
    expect(standardUncertainty([])).toBe(0);
  });

  test('more to be uncertain of never makes surer', () => {
    fc.assert(
      fc.property(fc.array(contribution), contribution, (budget, more) => {
        expect(standardUncertainty([...budget, more])).toBeGreaterThanOrEqual(standardUncertainty(budget));
        expect(guardMilliC([...budget, more])).toBeGreaterThanOrEqual(guardMilliC(budget));
      }),
    );
  });

  test('the guard band is U rounded up to whole m°C', () => {
    fc.assert(
      fc.property(fc.array(contribution), (budget) => {
        const exact = expandedUncertainty(budget) * 1000;
        const guard = guardMilliC(budget);
        expect(Number.isInteger(guard)).toBe(true);
        expect(guard).toBeGreaterThanOrEqual(exact - 1e-6);
        expect(guard).toBeLessThan(exact + 1);
      }),
    );
    expect(guardMilliC([of('normal', 0.25)])).toBe(500);
    expect(guardMilliC([of('normal', 0.07)])).toBe(140);
    expect(guardMilliC([of('normal', 0.070001)])).toBe(141);
    expect(guardMilliC([])).toBe(0);
  });
});

describe('default budgets', () => {
  test('pass their own schema and name each share', () => {
    for (const sensor of SENSORS)
      for (const share of defaultBudget(sensor)) expect(Contribution.safeParse(share).success).toBe(true);
    expect(defaultBudget(DIGITAL).map(({ name }) => name)).toEqual(['sensor limits', 'resolution', 'repeatability']);
  });

  test('a Pt100 counts its class limits at 20 °C [P] and the reader', () => {
    // √((0.19² + 0.2²)/3 + 0.01²)·2 and √((0.4² + 0.2²)/3 + 0.01²)·2 [C]
    expect(expandedUncertainty(defaultBudget({ kind: 'pt100', tolerance: 'A' }))).toBeCloseTo(0.3192, 4);
    expect(expandedUncertainty(defaultBudget({ kind: 'pt100', tolerance: 'B' }))).toBeCloseTo(0.5168, 4);
  });

  test('a thermistor counts its interchangeability and the reader', () => {
    // √((0.2² + 0.2²)/3 + 0.01²)·2 [C]
    expect(expandedUncertainty(defaultBudget(THERMISTOR))).toBeCloseTo(0.3272, 4);
  });

  test('a calibration takes the place of the limits: then the reference and the drift count', () => {
    const calibration = { points: points(0, 40), referenceUncertaintyCelsius: 0.1 };
    const budget = defaultBudget(DIGITAL, calibration);
    expect(budget.map(({ name }) => name)).toEqual(['reference', 'drift', 'resolution', 'repeatability']);
    // 0.1/2 ⊕ 0.1/√3 ⊕ 0.0625/√12 ⊕ 0.01, doubled [C]
    expect(expandedUncertainty(budget)).toBeCloseTo(0.1582, 4);
    expect(guardMilliC(budget)).toBe(159);
    for (const sensor of SENSORS)
      expect(guardMilliC(defaultBudget(sensor, calibration))).toBeLessThan(guardMilliC(defaultBudget(sensor)));
  });

  test('a poor reference is not made good by it', () => {
    expect(guardMilliC(defaultBudget(DIGITAL, { points: points(0, 40), referenceUncertaintyCelsius: 1 }))).toBeGreaterThan(1000);
  });

  test('beyond its points a line is worth less: 0 and 10 °C magnify by √5 at 20 °C [C]', () => {
    const reference = (low: number, high: number) =>
      defaultBudget(DIGITAL, { points: points(low, high), referenceUncertaintyCelsius: 0.2 })[0]?.halfWidthCelsius;
    expect(reference(0, 10)).toBeCloseTo(0.1 * Math.sqrt(5), 12);
    expect(reference(10, 0)).toBeCloseTo(0.1 * Math.sqrt(5), 12);
    expect(reference(30, 60)).toBeCloseTo(0.1 * Math.sqrt(5), 12);
    expect(reference(0, 20)).toBe(0.1);
    expect(reference(-10, 50)).toBe(0.1);
  });
});

describe('conformance', () => {
  test.each(vectors.jcgm106.rows)('JCGM 106: $measured with u $uncertainty lies $side $limit with $probability [p]', (row) => {
    const above = probabilityAbove(row.limit, row.measured, row.uncertainty);
    expect(row.side === 'above' ? above : 1 - above).toBeCloseTo(row.probability, 3);
  });

  test.each(vectors.normal.rows)('$z standard uncertainties above the limit: $probability [C]', ({ z, probability }) => {
    expect(probabilityAbove(0, z, 1)).toBeCloseTo(probability, 9);
    expect(probabilityAbove(0, -z, 1)).toBeCloseTo(1 - probability, 9);
  });

  test('keeps its digits far out, and does not jump where it stops adding up', () => {
    for (const z of [7, 7.5, 7.999, 8, 8.001, 1e9]) {
      expect(Math.abs(probabilityAbove(0, z, 1) - 1)).toBeLessThan(2e-12);
      expect(Math.abs(probabilityAbove(0, -z, 1))).toBeLessThan(2e-12);
    }
  });

  test('never leaves 0…1, never falls as the reading rises', () => {
    const z = fc.double({ min: -40, max: 40, noNaN: true });
    fc.assert(
      fc.property(z, z, (one, other) => {
        const [low, high] = [probabilityAbove(0, Math.min(one, other), 1), probabilityAbove(0, Math.max(one, other), 1)];
        expect(low).toBeGreaterThanOrEqual(0);
        expect(high).toBeLessThanOrEqual(1);
        expect(high).toBeGreaterThanOrEqual(low - 1e-15);
      }),
    );
  });

  test('a reading its guard band above a limit is above it in 977 of 1000 cases', () => {
    for (const sensor of SENSORS) {
      const budget = defaultBudget(sensor);
      const probability = probabilityAbove(5, 5 + guardMilliC(budget) / 1000, standardUncertainty(budget));
      expect(probability).toBeGreaterThanOrEqual(0.97725);
      expect(probability).toBeLessThan(0.978);
    }
  });
});
