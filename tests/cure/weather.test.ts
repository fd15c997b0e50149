import { readFileSync } from 'node:fs';
import { parse } from 'csv-parse/sync';
import { describe, expect, test } from 'vitest';
import { foldAll } from '../../edge/cure/fold.ts';
import { type Law, relativeSpeed } from '../../edge/cure/law.ts';
import { compileRateTable } from '../../edge/cure/rateTable.ts';
import { hoursOf } from '../../edge/cure/schedule.ts';
import { integral } from './odexSolver.ts';

// Hourly temperature normals 1981–2010 of a coastal city, °C: open data of the US weather service, in the package vega-datasets.
const file = new URL('../../node_modules/vega-datasets/data/seattle-weather-hourly-normals.csv', import.meta.url);
const normals: { date: string; temperature: string }[] = parse(readFileSync(file), { columns: true });

const WEEK_HOURS = 168;
const MINUTES = WEEK_HOURS * 60;

/** Temperatures of the week from `date` on, one for each full hour and one for its end. */
function weekFrom(date: string): number[] {
  const first = normals.findIndex((row) => row.date === `${date}T01:00:00`);
  const week = normals.slice(first, first + WEEK_HOURS + 1).map((row) => Number(row.temperature));
  if (first < 0 || week.length !== WEEK_HOURS + 1) throw new Error(`no whole week from ${date}`);
  return week;
}

/** Straight lines between the hours. */
function celsiusAt(week: readonly number[], hour: number): number {
  const whole = Math.min(Math.floor(hour), WEEK_HOURS - 1);
  const from = week[whole] as number;
  return from + ((week[whole + 1] as number) - from) * (hour - whole);
}

/** Warm hours of the week by the fold, from one reading a minute, no guard band. */
function foldedHours(week: readonly number[], law: Law, referenceCelsius: number, floorCelsius: number): number {
  const atMs = Array.from({ length: MINUTES + 1 }, (_, minute) => minute * 60_000);
  const milliC = atMs.map((_, minute) => Math.floor(celsiusAt(week, minute / 60) * 1000));
  const spec = {
    startMs: 0,
    gapLimitMs: 900_000,
    ambientStandIn: false,
    table: compileRateTable({ law, referenceCelsius, floorCelsius }),
    lanes: [
      {
        probe: 'm1',
        role: 'material' as const,
        guardMilliC: 0,
        fromMs: Number.NEGATIVE_INFINITY,
        untilMs: Number.POSITIVE_INFINITY,
      },
    ],
    stages: [],
  };
  return hoursOf(foldAll(spec, [{ atMs, milliC }]).state.creditPpmMs);
}

describe('a week of real weather, the fold against a solver for differential equations', () => {
  const law: Law = { kind: 'arrhenius', activationKilojoulesPerMol: 60 };

  // The winter week stays below the reference all the time; the others go through it, where the law's cap makes a kink.
  test.each([
    { date: '2010-01-12', referenceCelsius: 10, floorCelsius: -10, capped: false },
    { date: '2010-04-12', referenceCelsius: 10, floorCelsius: -10, capped: true },
    { date: '2010-10-18', referenceCelsius: 10, floorCelsius: -10, capped: true },
    { date: '2010-07-19', referenceCelsius: 30, floorCelsius: -10, capped: false },
  ])(
    'the week from $date, reference $referenceCelsius °C: on the safe side, by less than 0.1 %',
    ({ date, referenceCelsius, floorCelsius, capped }) => {
      const week = weekFrom(date);
      const solved = integral((hour) => Math.min(1, relativeSpeed(law, referenceCelsius, celsiusAt(week, hour))), WEEK_HOURS);
      const folded = foldedHours(week, law, referenceCelsius, floorCelsius);
      expect(Math.max(...week) > referenceCelsius).toBe(capped);
      expect(folded).toBeLessThanOrEqual(solved);
      expect(folded).toBeGreaterThan(solved * 0.999);
      expect(folded).toBeLessThan(WEEK_HOURS);
    },
  );

  test('the solver itself: the integral of a full sine wave above 1 is its length, of x² over three hours is 9', () => {
    expect(integral((hour) => 1 + Math.sin((2 * Math.PI * hour) / 24), 24)).toBeCloseTo(24, 7);
    expect(integral((hour) => hour ** 2, 3)).toBeCloseTo(9, 7);
  });
});
