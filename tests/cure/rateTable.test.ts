import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Law, relativeSpeed } from '../../edge/cure/law.ts';
import { compileRateTable, RateTable, ratePpmAt } from '../../edge/cure/rateTable.ts';
import { builtInSchedules, PPM, type Schedule } from '../../edge/cure/schedule.ts';
import { rateTableSha256 } from '../../edge/ledger/canonical.ts';
import golden from '../vectors/rate-table-polyester-laminate-v1.json' with { type: 'json' };

type Compiled = Pick<Schedule, 'law' | 'referenceCelsius' | 'floorCelsius'>;

function builtIn(name: string): Schedule {
  return builtInSchedules.find((schedule) => schedule.name === name) as Schedule;
}

/** The law with nothing rounded, ppm, capped at full rate. Written out here so as not to lean on the code under test. */
function lawPpm({ law, referenceCelsius }: Compiled, milliC: number): number {
  const reciprocal = 1 / (referenceCelsius + 273.15) - 1 / (milliC / 1000 + 273.15);
  return PPM * Math.min(1, Math.exp((law.activationKilojoulesPerMol * 1000 * reciprocal) / 8.314462618));
}

/** Rounding of the law itself in floating point, ppm. */
const LAW_NOISE_PPM = 1e-6;

/** Walks every whole m°C of a table. Returns by how much the table stays below the law at most, ppm. */
function walk(schedule: Compiled): number {
  const table = compileRateTable(schedule);
  let shortfallPpm = 0;
  let colderPpm = 0;
  for (let milliC = table.floorMilliC; milliC <= table.referenceMilliC; milliC++) {
    const ratePpm = ratePpmAt(table, milliC);
    const underPpm = lawPpm(schedule, milliC) - ratePpm;
    // Plain comparisons: a matcher for each of a hundred thousand points would take minutes.
    if (underPpm < -LAW_NOISE_PPM) throw new Error(`${ratePpm} ppm at ${milliC} m°C exceeds the law by ${-underPpm} ppm`);
    if (ratePpm < colderPpm) throw new Error(`the rate falls at ${milliC} m°C`);
    colderPpm = ratePpm;
    shortfallPpm = Math.max(shortfallPpm, underPpm);
  }
  return shortfallPpm;
}

const compilable: fc.Arbitrary<Compiled> = fc
  .record({
    activationKilojoulesPerMol: fc.double({ min: 10, max: 200, noNaN: true }),
    floorDeci: fc.integer({ min: -400, max: 1000 }),
    rows: fc.integer({ min: 0, max: 300 }),
  })
  .map(({ activationKilojoulesPerMol, floorDeci, rows }) => ({
    law: { kind: 'arrhenius', activationKilojoulesPerMol } satisfies Law,
    floorCelsius: floorDeci / 10,
    referenceCelsius: Math.min(1000, floorDeci + rows) / 10,
  }));

describe('the rate table against its law', () => {
  test.each(builtInSchedules)('$name: never above the law, never falling, at most 40 ppm below it', (schedule) => {
    expect(walk(schedule)).toBeLessThan(40);
  });

  test('any schedule: never above the law, never falling, and below it by no more than its bend over one row allows', () => {
    fc.assert(
      fc.property(compilable, (schedule) => {
        // A tangent to a convex curve falls behind it by at most half its second derivative times the step squared. For
        // exp(−Q/T) that derivative is below (Q/T²)² times the value. Two ppm more for the two roundings down.
        const coldest = schedule.floorCelsius + 273.15;
        const bend = ((schedule.law.activationKilojoulesPerMol * 1000) / 8.314462618 / coldest ** 2) ** 2;
        expect(walk(schedule)).toBeLessThanOrEqual((PPM * bend * 0.1 ** 2) / 2 + 2);
      }),
      { numRuns: 150 },
    );
  });

  test('the longest table that a schedule may ask for fits its own schema', () => {
    const table = compileRateTable({
      law: { kind: 'arrhenius', activationKilojoulesPerMol: 200 },
      floorCelsius: -40,
      referenceCelsius: 100,
    });
    expect(RateTable.parse(table)).toEqual(table);
    expect(table.ratesPpm).toHaveLength(1401);
  });
});

describe('the ends of a table', () => {
  test.each(builtInSchedules)('$name: 0 a thousandth of a degree below the floor, more than 0 at it', (schedule) => {
    const table = compileRateTable(schedule);
    expect(table.floorMilliC).toBe(Math.round(schedule.floorCelsius * 1000));
    expect(ratePpmAt(table, table.floorMilliC - 1)).toBe(0);
    expect(ratePpmAt(table, table.floorMilliC)).toBeGreaterThan(0);
    expect(ratePpmAt(table, -273_150)).toBe(0);
  });

  test('any schedule: full rate exactly from the reference on, less a thousandth of a degree below it', () => {
    fc.assert(
      fc.property(compilable, (schedule) => {
        const table = compileRateTable(schedule);
        expect(ratePpmAt(table, table.referenceMilliC)).toBe(PPM);
        expect(ratePpmAt(table, table.referenceMilliC + 1)).toBe(PPM);
        expect(ratePpmAt(table, 150_000)).toBe(PPM);
        expect(ratePpmAt(table, table.referenceMilliC - 1)).toBeLessThan(PPM);
        expect(ratePpmAt(table, table.floorMilliC - 1)).toBe(0);
      }),
      { numRuns: 300 },
    );
  });

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

test('the law is 1 at its reference, whatever its energy', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 10, max: 200, noNaN: true }),
      fc.double({ min: -40, max: 100, noNaN: true }),
      (activationKilojoulesPerMol, celsius) => {
        expect(relativeSpeed({ kind: 'arrhenius', activationKilojoulesPerMol }, celsius, celsius)).toBe(1);
      },
    ),
  );
});
