import { describe, expect, test } from 'vitest';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import { frontMillimetres, hoursThrough, type Law, type MoistureLaw, relativeSpeed } from '../../edge/cure/law.ts';
import { compileRateTable, ratePpmAt } from '../../edge/cure/rateTable.ts';
import { PPM, type Schedule, stagesFor } from '../../edge/cure/schedule.ts';

describe('q10: the form of the ageing factor of ASTM F1980', () => {
  const doubling: Law = { kind: 'q10', factorPer10Kelvin: 2 };

  test.each([
    // [P] ASTM F1980 calculator page.
    { accelerated: 55, ambient: 25, factor: 8, digits: 12 },
    // [C] 2^3.3.
    { accelerated: 55, ambient: 22, factor: 9.849, digits: 3 },
  ])('$accelerated against $ambient °C ages $factor times as fast', ({ accelerated, ambient, factor, digits }) => {
    expect(relativeSpeed(doubling, ambient, accelerated)).toBeCloseTo(factor, digits);
    expect(relativeSpeed(doubling, accelerated, ambient)).toBeCloseTo(1 / factor, digits);
  });

  test('full rate at the reference and warmer; three steps of 10 K colder an eighth, as the fold counts it', () => {
    const table = compileRateTable({ law: doubling, referenceCelsius: 55, floorCelsius: 5 });
    expect(ratePpmAt(table, 55_000)).toBe(PPM);
    expect(ratePpmAt(table, 65_000)).toBe(PPM);
    expect(ratePpmAt(table, 25_000)).toBeLessThanOrEqual(PPM / 8);
    expect(ratePpmAt(table, 25_000)).toBeGreaterThan(PPM / 8 - 10);
  });
});

describe('table: the maker’s hours at temperatures', () => {
  const law: Law = {
    kind: 'table',
    points: [
      { celsius: 5, hours: 72 },
      { celsius: 10, hours: 48 },
      { celsius: 20, hours: 24 },
      { celsius: 30, hours: 12 },
    ],
  };

  test.each([
    [5, 24 / 72],
    [10, 0.5],
    [20, 1],
    [30, 2],
  ])('exact at its point of %d °C', (celsius, speed) => {
    expect(relativeSpeed(law, 20, celsius)).toBe(speed);
  });

  test('between two points the logarithm of the hours is linear in 1/T: half way in 1/T lies their geometric mean', () => {
    const middleKelvin = 2 / (1 / 283.15 + 1 / 293.15);
    expect(24 / relativeSpeed(law, 20, middleKelvin - 273.15)).toBeCloseTo(Math.sqrt(48 * 24), 10);
  });

  test('nothing is known beyond it: colder earns nothing, warmer no more than at the warmest point', () => {
    expect(relativeSpeed(law, 20, 4.999)).toBe(0);
    expect(relativeSpeed(law, 20, -40)).toBe(0);
    expect(relativeSpeed(law, 20, 30.001)).toBe(2);
    expect(relativeSpeed(law, 20, 100)).toBe(2);
  });

  test('the compiled table has the maker’s own points, to the part per million', () => {
    const table = compileRateTable({ law, referenceCelsius: 30, floorCelsius: 5 });
    for (const [milliC, hours] of [
      [10_000, 48],
      [20_000, 24],
      [30_000, 12],
    ] as const) {
      const exact = (PPM * 12) / hours;
      expect(ratePpmAt(table, milliC)).toBeLessThanOrEqual(exact);
      expect(ratePpmAt(table, milliC)).toBeGreaterThan(exact - 40);
    }
    expect(ratePpmAt(table, 4999)).toBe(0);
  });
});

describe('moisture: the front of a sealant', () => {
  const sealant = builtInSchedules.find((schedule) => schedule.name === 'sealant-bead') as Schedule;
  const law = sealant.law as MoistureLaw;

  test('3 mm in the first day [P generic data sheet]; with the square root 7.9 mm in seven [C], where 7.5 mm are reported [P]', () => {
    expect(frontMillimetres(law, 0)).toBe(0);
    expect(frontMillimetres(law, 24)).toBe(3);
    expect(frontMillimetres(law, 7 * 24)).toBeCloseTo(7.9, 1);
    // Within 6 % of what was measured, where 3 mm a day would be 21 mm.
    expect(Math.abs(frontMillimetres(law, 7 * 24) / 7.5 - 1)).toBeLessThan(0.06);
  });

  test.each([
    [3, 24],
    [6, 96],
    [10, 267],
  ])('a bead of %d mm takes %d h [C]', (millimetres, hours) => {
    expect(Math.round(hoursThrough(law, millimetres))).toBe(hours);
    expect(frontMillimetres(law, hoursThrough(law, millimetres))).toBeCloseTo(millimetres, 12);
  });

  test('twice as deep needs four times as long, whatever the depth', () => {
    for (const depth of [0.5, 1, 3, 7.7]) expect(hoursThrough(law, 2 * depth)).toBeCloseTo(4 * hoursThrough(law, depth), 9);
  });

  test.each([
    [null, 24],
    [2, 24],
    [3, 24],
    [6, 96],
    [10, 24 * (10 / 3) ** 2],
  ])('bead %s mm: stress after 12 h, hydro after %d h, the later of the hours and the front', (bead, hydro) => {
    expect(stagesFor(sealant, bead)).toEqual([
      { stage: 'stress', requiredHours: 12 },
      { stage: 'hydro', requiredHours: expect.closeTo(hydro, 9) },
    ]);
  });

  test('a bead changes nothing about a laminate', () => {
    const laminate = builtInSchedules[0] as Schedule;
    expect(stagesFor(laminate, 20)).toEqual(laminate.stages);
  });

  test('cold air at high humidity is still dry air', () => {
    const table = compileRateTable(sealant);
    expect(ratePpmAt(table, 20_000, 50_000)).toBe(PPM);
    // 5 °C saturated: 872.6 Pa against half of 2339 Pa at 20 °C (ASHRAE 2017 saturation pressure, as quoted in psychrolib [P]).
    expect(ratePpmAt(table, 5000, 100_000) / PPM).toBeCloseTo(872.6 / (0.5 * 2339), 2);
    expect(ratePpmAt(table, 20_000, 25_000)).toBe(PPM / 2);
    // Warmth makes up for dry air: 25 °C and 40 % hold 1268 Pa, more than the reference's 1170.
    expect(ratePpmAt(table, 25_000, 40_000)).toBe(PPM);
    expect(ratePpmAt(table, 25_000, 30_000) / PPM).toBeCloseTo((0.3 * 3169.7) / (0.5 * 2339), 2);
    expect(ratePpmAt(table, 20_000, 0)).toBe(0);
    expect(ratePpmAt(table, 20_000, -2000)).toBe(0);
  });
});
