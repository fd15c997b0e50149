import { describe, expect, test } from 'vitest';
import { Calibration } from '../../edge/cure/sensors/calibration.ts';
import { milliCelsiusOf, Sensor } from '../../edge/cure/sensors/sensor.ts';
import { budgetOf } from '../../web/pages/setup/budget.ts';
import { calibrationSaid, correctionsBy, isIceOff, newCalibrationDraft } from '../../web/pages/setup/calibrationDraft.ts';
import { type SensorDraft, sensorDraftOf, sensorSaid } from '../../web/pages/setup/sensorDraft.ts';

const blank = sensorDraftOf(null, 'C');
const sensor = (draft: Partial<SensorDraft>, unit: 'F' | 'C' = 'C') => Sensor.safeParse(sensorSaid({ ...blank, ...draft }, unit));
const point = (temperature: string, ohms: string) => ({ temperature, ohms });

test('three points typed in °F are the published fit: 19549 Ω is 10.000 °C', () => {
  // Resistances at 0, 25 and 50 °C from a published worked example.
  const points = [point('32', '32128'), point('77', '9814'), point('122', '3542')];
  const fitted = sensor({ kind: 'thermistor', curve: 'points', points }, 'F').data;
  expect(fitted).toBeDefined();
  expect(milliCelsiusOf(fitted as Sensor, 19_549_000)).toBeCloseTo(10_000, -1);
});

test('coefficients are typed as makers print them', () => {
  const draft = { kind: 'thermistor', curve: 'steinhartHart', a: '1.129148e-3', b: '2,34125E-4', c: '8.76741e-8' } as const;
  expect(milliCelsiusOf(sensor(draft).data as Sensor, 10_000_000)).toBe(25_000);
  expect(sensor({ ...draft, a: '1.1 e-3' }).success).toBe(false);
});

test.each<Sensor>([
  { kind: 'digital' },
  { kind: 'pt100', tolerance: 'A' },
  { kind: 'thermistor', curve: { kind: 'beta', ohmsAt25: 10_000, betaKelvin: 3950 } },
  { kind: 'thermistor', curve: { kind: 'steinhartHart', a: 1.129148e-3, b: 2.34125e-4, c: 8.76741e-8 } },
  {
    kind: 'thermistor',
    curve: {
      kind: 'points',
      points: [
        { celsius: 0, ohms: 32128 },
        { celsius: 25, ohms: 9814 },
        { celsius: 50, ohms: 3542 },
      ],
    },
  },
])('$kind comes back from the fields as it went in', (known) => {
  for (const unit of ['F', 'C'] as const) expect(Sensor.parse(sensorSaid(sensorDraftOf(known, unit), unit))).toEqual(known);
});

test('kilo-ohms and an empty field are faults at their places', () => {
  const { error } = sensor({ kind: 'thermistor', curve: 'beta', ohmsAt25: '10', beta: '' });
  expect(error?.issues.map(({ path }) => path.join('.'))).toEqual(['curve.ohmsAt25', 'curve.betaKelvin']);
});

describe('the budget', () => {
  test('of a digital probe: U 0.579, one-sided 0.476 °C, and the hard limit of 0.5 °C is taken off', () => {
    // 0.5/√3 ⊕ 0.0625/√12 ⊕ 0.01, computed.
    const budget = budgetOf({ kind: 'digital' }, null);
    expect(budget.expandedCelsius).toBeCloseTo(0.579, 3);
    expect(budget.oneSidedCelsius).toBeCloseTo(0.476, 3);
    expect(budget).toMatchObject({ guardCelsius: 0.5, isLimit: true });
  });

  test('of a calibrated one rests on the reference, and all of U is taken off', () => {
    const points: Calibration['points'] = [
      { referenceCelsius: 0, indicatedCelsius: 0.4 },
      { referenceCelsius: 25, indicatedCelsius: 25.3 },
    ];
    const budget = budgetOf({ kind: 'digital' }, { points, referenceUncertaintyCelsius: 0.1 });
    expect(budget.contributions.map(({ name }) => name)).toContain('reference');
    expect(budget.isLimit).toBe(false);
    expect(budget.guardCelsius).toBeGreaterThanOrEqual(budget.expandedCelsius);
    expect(budget.guardCelsius).toBeLessThan(0.5);
  });
});

describe('a calibration', () => {
  const draft = {
    ...newCalibrationDraft('F', 'Robin', '2026-01-15'),
    coldIndicated: '32.9',
    warmReference: '77',
    warmIndicated: '77.9',
    reference: 'ice bath and thermometer',
    referenceUncertainty: '0.18',
  };

  test('typed in °F is kept in °C and takes 0.5 °C off everything', () => {
    const calibration = Calibration.parse(calibrationSaid(draft, 'F'));
    expect(calibration.points[0]).toEqual({ referenceCelsius: 0, indicatedCelsius: 0.5 });
    expect(calibration.referenceUncertaintyCelsius).toBeCloseTo(0.1, 6);
    for (const { indicatedCelsius, correctedCelsius } of correctionsBy(calibration))
      expect(correctedCelsius).toBeCloseTo(indicatedCelsius - 0.5, 3);
  });

  test.each([
    ['32', 'F', false],
    ['33', 'F', true],
    ['0', 'C', false],
    ['0.1', 'C', true],
  ] as const)('an ice point of %s °%s is asked about: %s', (coldReference, unit, asked) => {
    const typed = {
      ...draft,
      coldReference,
      coldIndicated: unit === 'F' ? '32.9' : '0.5',
      warmReference: unit === 'F' ? '77' : '25',
      warmIndicated: unit === 'F' ? '77.9' : '25.5',
    };
    expect(isIceOff(Calibration.parse(calibrationSaid(typed, unit)))).toBe(asked);
  });

  test('without the uncertainty of its reference is not one', () => {
    const { error } = Calibration.safeParse(calibrationSaid({ ...draft, referenceUncertainty: '' }, 'F'));
    expect(error?.issues.map(({ path }) => path.join('.'))).toEqual(['referenceUncertaintyCelsius']);
  });
});
