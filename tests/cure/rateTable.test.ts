import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import { relativeSpeed } from '../../edge/cure/law.ts';
import { compileRateTable, RateTable, ratePpmAt } from '../../edge/cure/rateTable.ts';
import { PPM, type Schedule } from '../../edge/cure/schedule.ts';
import { rateTableSha256 } from '../../edge/evidence/canonical.ts';
import golden from '../vectors/rate-table-polyester-laminate-v1.json' with { type: 'json' };
import * as laws from './laws.ts';
import { type Compiled, lawPpm } from './laws.ts';

function builtIn(name: string): Schedule {
  return builtInSchedules.find((schedule) => schedule.name === name) as Schedule;
}

/** Rounding of the law itself in floating point, ppm. */
const LAW_NOISE_PPM = 1e-6;

/** Walks every whole m°C of a table. Returns by how much the table stays below the law at most, ppm. */
function walk(schedule: Compiled): number {
  const table = compileRateTable(schedule);
  const humidity = table.referenceHumidityMilliPercent;
  let shortfallPpm = 0;
  let colderPpm = 0;
  for (let milliC = table.floorMilliC; milliC <= table.topMilliC; milliC++) {
    const ratePpm = ratePpmAt(table, milliC, humidity);
    const underPpm = lawPpm(schedule, milliC) - ratePpm;
    // Plain comparisons: a matcher for each of a hundred thousand points would take minutes.
    if (underPpm < -LAW_NOISE_PPM) throw new Error(`${ratePpm} ppm at ${milliC} m°C exceeds the law by ${-underPpm} ppm`);
    if (ratePpm < colderPpm) throw new Error(`the rate falls at ${milliC} m°C`);
    colderPpm = ratePpm;
    shortfallPpm = Math.max(shortfallPpm, underPpm);
  }
  return shortfallPpm;
}

describe('the rate table against its law', () => {
  test.each(builtInSchedules)('$name: never above the law, never falling, at most 40 ppm below it', (schedule) => {
    expect(walk(schedule)).toBeLessThan(40);
  });

  test('any energy: below the law by no more than its bend over one row allows', () => {
    fc.assert(
      fc.property(laws.arrhenius, (schedule) => {
        if (schedule.law.kind !== 'arrhenius') throw new Error('another law');
        // A tangent to a convex curve falls behind it by at most half its second derivative times the step squared. For
        // exp(−Q/T) that derivative is below (Q/T²)² times the value. Two ppm more for the two roundings down.
        const coldest = schedule.floorCelsius + 273.15;
        const bend = ((schedule.law.activationKilojoulesPerMol * 1000) / 8.314462618 / coldest ** 2) ** 2;
        expect(walk(schedule)).toBeLessThanOrEqual((PPM * bend * 0.1 ** 2) / 2 + 2);
      }),
      { numRuns: 150 },
    );
  });

  test.each([
    ['q10', laws.q10],
    ['table', laws.table],
    ['moisture', laws.moisture],
  ] as const)('any %s schedule: never above the law, never falling', (_, schedules) => {
    fc.assert(
      fc.property(schedules, (schedule) => {
        walk(schedule);
      }),
      { numRuns: 100 },
    );
  });

  test('air as it is: never more than p/p of the reference, and never more than full rate', () => {
    fc.assert(
      fc.property(
        laws.moisture,
        fc.array(fc.tuple(fc.integer({ min: -5000, max: 50_000 }), fc.integer({ min: -3000, max: 103_000 })), { minLength: 20 }),
        (schedule, airs) => {
          if (schedule.law.kind !== 'moisture') throw new Error('another law');
          const table = compileRateTable(schedule);
          const { referenceHumidityPercent } = schedule.law;
          for (const [milliC, humidity] of airs) {
            const saturated = laws.plainSpeed(schedule.law, schedule.referenceCelsius, milliC / 1000);
            const pressures = (saturated * humidity) / 1000 / referenceHumidityPercent;
            const ratePpm = ratePpmAt(table, milliC, humidity);
            expect(Number.isInteger(ratePpm)).toBe(true);
            expect(ratePpm).toBeLessThanOrEqual(Math.max(0, Math.min(1, pressures)) * PPM + LAW_NOISE_PPM);
            if (milliC < schedule.floorCelsius * 1000) expect(ratePpm).toBe(0);
          }
        },
      ),
      { numRuns: 100 },
    );
  });

  test.each([
    [50, 50_000],
    [33.3, 33_300],
    [55.1, 55_100],
    [50.0001, 50_001],
    [50.0009, 50_001],
  ])('a reference humidity of %d %%RH stands as %d: rounded up, never down', (percent, milliPercent) => {
    const law = {
      kind: 'moisture',
      referenceHumidityPercent: percent,
      frontMillimetres: 3,
      frontHours: 24,
      beadMillimetres: 3,
    } as const;
    const { referenceHumidityMilliPercent } = compileRateTable({ law, floorCelsius: 5, referenceCelsius: 20 });
    expect(referenceHumidityMilliPercent).toBe(milliPercent);
  });

  test.each<[string, Compiled]>([
    ['an energy', { law: { kind: 'arrhenius', activationKilojoulesPerMol: 200 }, floorCelsius: -40, referenceCelsius: 100 }],
    ['a factor', { law: { kind: 'q10', factorPer10Kelvin: 6 }, floorCelsius: -40, referenceCelsius: 100 }],
    [
      'moisture',
      {
        law: { kind: 'moisture', referenceHumidityPercent: 5, frontMillimetres: 3, frontHours: 24, beadMillimetres: 3 },
        floorCelsius: -40,
        referenceCelsius: 0,
      },
    ],
  ])('the longest and steepest table that %s may ask for fits its own schema', (_, schedule) => {
    const table = compileRateTable(schedule);
    expect(RateTable.parse(table)).toEqual(table);
    expect(table.ratesPpm.length).toBeGreaterThan(400);
  });
});

describe('the ends of a table', () => {
  test.each(builtInSchedules)('$name: 0 a thousandth of a degree below the floor, more than 0 at it', (schedule) => {
    const table = compileRateTable(schedule);
    const humidity = table.referenceHumidityMilliPercent;
    expect(table.floorMilliC).toBe(Math.round(schedule.floorCelsius * 1000));
    expect(ratePpmAt(table, table.floorMilliC - 1, humidity)).toBe(0);
    expect(ratePpmAt(table, table.floorMilliC, humidity)).toBeGreaterThan(0);
    expect(ratePpmAt(table, -273_150, humidity)).toBe(0);
  });

  test.each([
    ['arrhenius', laws.arrhenius],
    ['q10', laws.q10],
    ['table', laws.table],
  ] as const)(
    'any %s schedule: full rate exactly from the reference on, less a thousandth of a degree below it',
    (_, schedules) => {
      fc.assert(
        fc.property(schedules, (schedule) => {
          const table = compileRateTable(schedule);
          expect(ratePpmAt(table, table.topMilliC)).toBe(PPM);
          expect(ratePpmAt(table, table.topMilliC + 1)).toBe(PPM);
          expect(ratePpmAt(table, 150_000)).toBe(PPM);
          expect(ratePpmAt(table, table.topMilliC - 1)).toBeLessThan(PPM);
          expect(ratePpmAt(table, table.floorMilliC - 1)).toBe(0);
        }),
        { numRuns: 200 },
      );
    },
  );

  test('the trade’s rule for laminates [T]: 50 °F, exactly 10 °C, counts in full, anything colder takes additional time', () => {
    const table = compileRateTable(builtIn('polyester-laminate'));
    const fiftyFahrenheitMilliC = ((50 - 32) * 5000) / 9;
    expect(fiftyFahrenheitMilliC).toBe(10_000);
    expect(ratePpmAt(table, fiftyFahrenheitMilliC)).toBe(PPM);
    expect(ratePpmAt(table, 9999)).toBeLessThan(PPM);
    // 9.9 °C: exp[60 000/R · (1/283.15 − 1/283.05)] = 0.991036 [C], and the table is at most 40 ppm below that.
    expect(ratePpmAt(table, 9900)).toBeGreaterThanOrEqual(990_996);
    expect(ratePpmAt(table, 9900)).toBeLessThanOrEqual(991_036);
  });
});

test('the table of polyester-laminate, version 1, stays what it was when joints were first folded with it', () => {
  const schedule = builtIn('polyester-laminate');
  const table = compileRateTable(schedule);
  expect({ schedule: schedule.name, version: schedule.version }).toEqual({ schedule: golden.schedule, version: golden.version });
  expect(table).toEqual(golden.table);
  expect(rateTableSha256(table)).toBe(golden.rateTableSha256);
});

test.each([
  ['arrhenius', laws.arrhenius],
  ['q10', laws.q10],
  ['table', laws.table],
  ['moisture', laws.moisture],
] as const)('the %s law is 1 at its reference', (_, schedules) => {
  fc.assert(
    fc.property(schedules, ({ law, referenceCelsius }) => {
      expect(relativeSpeed(law, referenceCelsius, referenceCelsius)).toBe(1);
    }),
  );
});
