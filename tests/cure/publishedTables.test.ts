import { describe, expect, test } from 'vitest';
import { type Fold, type FoldSpec, foldAll, type LaneReadings } from '../../edge/cure/fold.ts';
import { GAS_CONSTANT } from '../../edge/cure/law.ts';
import { compileRateTable, type RateTable, ratePpmAt } from '../../edge/cure/rateTable.ts';
import { HOUR_MS, hoursOf, requiredPpmMs } from '../../edge/cure/schedule.ts';
import vectors from '../vectors/rate-laws.json' with { type: 'json' };

// A table never shows a rate above 1, so the published columns, which are relative to 20 °C, are read off tables whose
// reference is 30 °C, each row divided by the row of 20 °C.
const REFERENCE_CELSIUS = 30;

/** Every rate falls short of its law by less than 40 ppm of full rate; at 20 °C the rate is at least 0.44 of full rate. */
const SHORTFALL = 40e-6 / 0.44;

const ENERGIES = vectors.relativeTo20C.kilojoulesPerMol;

function tableOf(activationKilojoulesPerMol: number, referenceCelsius = REFERENCE_CELSIUS, floorCelsius = -10): RateTable {
  return compileRateTable({ law: { kind: 'arrhenius', activationKilojoulesPerMol }, referenceCelsius, floorCelsius });
}

function relativeTo20(table: RateTable, celsius: number): number {
  return ratePpmAt(table, Math.round(celsius * 1000)) / ratePpmAt(table, 20_000);
}

describe('published columns of relative rates', () => {
  test.each(vectors.relativeTo20C.rows)('Arrhenius at $celsius °C for 40, 50 and 60 kJ/mol [C]', ({ celsius, rates }) => {
    rates.forEach((rate, index) => {
      const read = relativeTo20(tableOf(ENERGIES[index] as number), celsius);
      // Half a unit of the printed last digit, and the shortfall of either row.
      expect(Math.abs(read - rate)).toBeLessThan(0.00005 + 2.3 * SHORTFALL);
    });
  });

  test.each(vectors.en1992B10.rows)('EN 1992-1-1 (B.10) at $celsius °C [formula p, range P]', ({ celsius, rate }) => {
    expect(Math.exp(-(4000 / (273 + celsius) - 13.65))).toBeCloseTo(rate, 4);
    // The standard takes 0 °C as 273 K and rounds 4000/293 = 13.6519 to 13.65. The second makes every figure 0.19 % small and is
    // taken out by its own figure for 20 °C. The first moves the ends of the scale by up to 0.11 %.
    const at20 = Math.exp(-(4000 / 293 - 13.65));
    const read = relativeTo20(tableOf((4000 * GAS_CONSTANT) / 1000), celsius);
    expect(Math.abs(read / (rate / at20) - 1)).toBeLessThan(0.0012 + 0.0002);
  });

  test.each(vectors.kelvin5000.rows)('5000 K on a scale based at 273 K, at $celsius °C [C]', ({ celsius, rate }) => {
    expect(Math.exp(5000 * (1 / 293 - 1 / (273 + celsius)))).toBeCloseTo(rate, 4);
    const read = relativeTo20(tableOf((5000 * GAS_CONSTANT) / 1000), celsius);
    expect(Math.abs(read / rate - 1)).toBeLessThan(0.0012 + 0.0002);
  });

  test.each(vectors.q10OfTwo.rows)(
    'doubling from $fromCelsius to $toCelsius °C is $kilojoulesPerMol kJ/mol [C]',
    ({ fromCelsius, toCelsius, kilojoulesPerMol }) => {
      const table = tableOf(kilojoulesPerMol);
      const factor = ratePpmAt(table, toCelsius * 1000) / ratePpmAt(table, fromCelsius * 1000);
      // The energy is printed to 0.1 kJ/mol, which is 0.14 % of the factor.
      expect(Math.abs(factor - 2)).toBeLessThan(0.003);
    },
  );

  test('a probe that reads 1 °C too warm at 10 °C over-credits 7.8 % at 50 kJ/mol [C]', () => {
    const table = tableOf(50);
    expect((ratePpmAt(table, 11_000) / ratePpmAt(table, 10_000) - 1) * 100).toBeCloseTo(vectors.probeBias.percent, 1);
  });
});

/** Folds one probe's readings with no guard band. */
function folded(table: RateTable, readings: LaneReadings, changes: Partial<FoldSpec> = {}): Fold {
  const spec: FoldSpec = {
    startMs: 0,
    gapLimitMs: 15 * 60_000,
    ambientStandIn: false,
    table,
    lanes: [
      { probe: 'm1', role: 'material', guardMilliC: 0, fromMs: Number.NEGATIVE_INFINITY, untilMs: Number.POSITIVE_INFINITY },
    ],
    stages: [],
    ...changes,
  };
  return foldAll(spec, [readings]);
}

/** `celsius` once a minute for `hours`, the last one at the end itself. */
function everyMinute(hours: number, celsius: (atMs: number) => number): LaneReadings {
  const atMs = Array.from({ length: Math.round(hours * 60) + 1 }, (_, minute) => minute * 60_000);
  return { atMs, milliC: atMs.map((ms) => Math.floor(celsius(ms) * 1000)) };
}

describe('published histories through the fold', () => {
  test.each(ENERGIES)('6 h at 25, 6 h at 15, 12 h at 5 °C in hours at 20 °C, %i kJ/mol [C]', (energy) => {
    const table = tableOf(energy);
    const atMs: number[] = [];
    const milliC: number[] = [];
    let fromMs = 0;
    for (const { hours, celsius } of vectors.history.parts) {
      const untilMs = fromMs + hours * HOUR_MS;
      // The last reading of a part stands 1 ms before the next part begins, so that the step itself costs 1 ms and no minute.
      for (let ms = fromMs; ms < untilMs; ms += 60_000) {
        atMs.push(ms);
        milliC.push(celsius * 1000);
      }
      atMs.push(untilMs - 1);
      milliC.push(celsius * 1000);
      fromMs = untilMs;
    }
    const { state } = folded(table, { atMs, milliC });
    const hoursAt20 = hoursOf(state.creditPpmMs) / (ratePpmAt(table, 20_000) / 1e6);
    const published = vectors.history.hoursAt20C[String(energy) as '40'];
    expect(Math.abs(hoursAt20 - published)).toBeLessThan(published * SHORTFALL + 0.00005);
  });

  test.each(ENERGIES)(
    'a day of 10 ± 8 °C: mean rate relative to 20 °C, and the excess over the rate at the mean, %i kJ/mol [C]',
    (energy) => {
      const table = tableOf(energy);
      const day = everyMinute(24, (ms) => 10 + 8 * Math.sin((2 * Math.PI * ms) / (24 * HOUR_MS)));
      const mean = hoursOf(folded(table, day).state.creditPpmMs) / 24 / (ratePpmAt(table, 20_000) / 1e6);
      const published = vectors.sinusoid.meanRates[String(energy) as '40'];
      // The colder end of each minute is credited: the fold stays below, by about 0.1 %.
      expect(mean).toBeLessThan(published);
      expect(mean / published - 1).toBeGreaterThan(-0.0015);
      const excess = (mean / relativeTo20(table, 10) - 1) * 100;
      expect(Math.abs(excess - vectors.sinusoid.percentAboveRateAtMean[String(energy) as '40'])).toBeLessThan(0.05 + 0.15);
    },
  );

  test.each(vectors.nominal24h.rows)(
    '24 h at a reference of 10 °C take $clockHours h at $celsius °C, 50 kJ/mol [C]',
    ({ celsius, clockHours }) => {
      const { state } = folded(
        tableOf(50, 10),
        everyMinute(60, () => celsius),
        { stages: [{ stage: 'hydro', requiredPpmMs: requiredPpmMs(24) }] },
      );
      expect(state.reached.map(({ reachedAtMs }) => Math.round((reachedAtMs / HOUR_MS) * 10) / 10)).toEqual([clockHours]);
    },
  );

  // Nurse–Saul maturity is linear in temperature, which no schedule here is, and its datum is far below any floor. So this
  // says nothing about the rate law. It checks the other half of the sum: that the fold adds up four weeks of one-minute
  // intervals without losing or inventing time, which temperature above the datum times proven time then shows.
  test('28 d at 15 °C above a datum of −11 °C: the proven time gives the published 728 °C·d [P]', () => {
    const { days, celsius, datumCelsius, celsiusDays } = vectors.nurseSaul;
    const { state } = folded(
      tableOf(60, 10, 5),
      everyMinute(days * 24, () => celsius),
    );
    expect(hoursOf(state.creditPpmMs)).toBe(672);
    expect(state).toMatchObject({ unprovenMs: 0, coldMs: 0 });
    expect(((celsius - datumCelsius) * hoursOf(state.creditPpmMs)) / 24).toBe(celsiusDays);
  });
});
