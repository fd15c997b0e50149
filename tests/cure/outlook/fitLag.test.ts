import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  DEFAULT_COVER,
  DEFAULT_HEATER,
  fitLag,
  type HeatPrior,
  type LagFit,
  type LagRecord,
} from '../../../edge/cure/outlook/fitLag.ts';
import { Heat, Lag } from '../../../edge/cure/outlook/input.ts';
import { DEFAULT_LAG, lagged } from '../../../edge/cure/outlook/lag.ts';
import { noiseAt } from '../../../edge/demo/noise.ts';
import { type Body, type Heater, type LayUp, materialFrom, sensed } from '../../../edge/demo/thermal.ts';
import { type Ambient, weather } from '../../../edge/demo/weather.ts';

const HOUR_MS = 3_600_000;
const STEP_MS = 600_000;
const NOW_MS = Date.UTC(2026, 1, 20, 14);

interface Simulated {
  readonly hours: number;
  readonly tauHours: number;
  readonly offsetCelsius: number;
  readonly heater?: Heater;
  readonly layUp?: LayUp;
  readonly seed?: number;
  readonly air?: Ambient;
}

/** What a joint's probe and one in the air show of a body that another program simulates. */
function simulated({ hours, tauHours, offsetCelsius, heater, layUp, seed = 1, air }: Simulated): LagRecord {
  const ambient = air ?? weather({ nowMs: NOW_MS, seed, timeZone: 'UTC' });
  const body: Body = { timeConstantMs: tauHours * HOUR_MS, offsetCelsius, layUp: layUp ?? null, heater: heater ?? null };
  const fromMs = NOW_MS - hours * HOUR_MS;
  const celsiusAt = materialFrom(body, ambient, fromMs - 24 * HOUR_MS);
  const atMs = Array.from({ length: Math.round((hours * HOUR_MS) / STEP_MS) + 1 }, (_, index) => fromMs + index * STEP_MS);
  return {
    fromMs,
    stepMs: STEP_MS,
    jointMilliC: atMs.map((ms) => Math.round(sensed(celsiusAt(ms), seed, ms) * 1000)),
    airMilliC: atMs.map((ms) => Math.round(sensed(ambient(ms), seed + 100, ms) * 1000)),
    heat: atMs.map((ms) => (heater !== undefined && ms >= heater.fromMs ? 0 : -1)),
  };
}

function expectSound({ lag, heats }: LagFit): void {
  expect(Lag.parse(lag)).toEqual(lag);
  for (const { seen, ...heat } of heats) {
    expect(Heat.parse(heat)).toEqual(heat);
    expect(typeof seen).toBe('boolean');
  }
}

describe('finds again what a simulation was made with', () => {
  test.each([
    [1.5, 0],
    [3, 4],
    [5, -2],
    [8, 3],
  ])('two days at τ = %d h, %d °C warmer than the air', (tauHours, offsetCelsius) => {
    for (const seed of [1, 2, 3]) {
      const { lag } = fitLag(simulated({ hours: 48, tauHours, offsetCelsius, seed }), []);
      expect(lag.timeConstantMs / HOUR_MS / tauHours).toBeGreaterThan(0.85);
      expect(lag.timeConstantMs / HOUR_MS / tauHours).toBeLessThan(1.15);
      expect(Math.abs(lag.offsetMilliC / 1000 - offsetCelsius)).toBeLessThan(0.3);
      expect(lag.errorMilliC).toBeLessThan(250);
      expect(lag.fittedHours).toBe(48);
    }
  });

  test('a heater that adds to the air, told from what the joint rests at without it', () => {
    const heater = { fromMs: NOW_MS - 20 * HOUR_MS, riseCelsius: 11, holdCelsius: 60 };
    const fit = fitLag(simulated({ hours: 48, tauHours: 3, offsetCelsius: 2, heater }), [DEFAULT_HEATER]);
    expect(fit.heats[0]).toMatchObject({ kind: 'rise', seen: true });
    expect(Math.abs((fit.heats[0]?.milliC ?? 0) - 11_000)).toBeLessThan(700);
    expect(Math.abs(fit.lag.offsetMilliC - 2000)).toBeLessThan(500);
    expect(Math.abs(fit.lag.timeConstantMs / HOUR_MS - 3)).toBeLessThan(0.5);
  });

  test('a heater that holds a level', () => {
    const heater = { fromMs: NOW_MS - 20 * HOUR_MS, riseCelsius: 40, holdCelsius: 18 };
    const prior: HeatPrior = { kind: 'level', milliC: 21_000, sdMilliC: 2000 };
    const fit = fitLag(simulated({ hours: 48, tauHours: 3, offsetCelsius: 2, heater }), [prior]);
    expect(fit.heats[0]).toMatchObject({ kind: 'level', seen: true });
    expect(Math.abs((fit.heats[0]?.milliC ?? 0) - 18_000)).toBeLessThan(500);
  });

  test('a fresh joint that still warms itself a little when its record begins', () => {
    const layUp = { atMs: NOW_MS - 15 * HOUR_MS, celsius: 18, exothermCelsius: 18, exothermPeakMs: HOUR_MS };
    for (const seed of [1, 2, 3]) {
      const { lag } = fitLag(simulated({ hours: 12, tauHours: 3, offsetCelsius: 0, layUp, seed }), []);
      expect(Math.abs(lag.offsetMilliC)).toBeLessThan(400);
      expect(lag.timeConstantMs / HOUR_MS).toBeGreaterThan(2.3);
    }
  });

  test('silences of the joint up to an hour are bridged, longer ones and holes in the air end a stretch', () => {
    const whole = simulated({ hours: 24, tauHours: 3, offsetCelsius: 2 });
    const without = (list: LagRecord['airMilliC'], from: number, to: number) =>
      list.map((value, index) => (index >= from && index < to ? null : value));
    const bridged = fitLag({ ...whole, jointMilliC: without(whole.jointMilliC, 40, 45) }, []);
    expect(bridged.lag.fittedHours).toBe(24);
    expect(Math.abs(bridged.lag.offsetMilliC - 2000)).toBeLessThan(400);
    // From the 39th step to the 60th is silence: 20 of 144 steps and the two beside it do not count.
    const silent = fitLag({ ...whole, jointMilliC: without(whole.jointMilliC, 40, 60) }, []);
    expect(silent.lag.fittedHours).toBeCloseTo((144 - 21) / 6, 6);
    const holed = fitLag({ ...whole, airMilliC: without(whole.airMilliC, 40, 41) }, []);
    expect(holed.lag.fittedHours).toBeCloseTo((144 - 2) / 6, 6);
    for (const { lag } of [silent, holed]) expect(Math.abs(lag.offsetMilliC - 2000)).toBeLessThan(500);
  });
});

describe('a joint that is exactly a first-order lag', () => {
  const tauMs = 4 * HOUR_MS;
  const airMilliC = Array.from({ length: 289 }, (_, index) => 6000 + 5000 * Math.sin(index / 23) + 2000 * Math.sin(index / 7));
  // On and off by turns, so that one step too early or late would show.
  const heat = airMilliC.map((_, index) => (index % 48 < 12 ? 0 : -1));
  const jointMilliC = [9000];
  for (let index = 1; index < airMilliC.length; index++) {
    const rise = 8000 + (heat[index - 1] === 0 ? 7000 : 0);
    const [from, to] = [airMilliC[index - 1] as number, airMilliC[index] as number];
    jointMilliC.push(lagged(jointMilliC[index - 1] as number, from + rise, to + rise, STEP_MS, tauMs));
  }
  const record = { fromMs: 0, stepMs: STEP_MS, jointMilliC, airMilliC, heat };

  test('comes back as such, however far from what was believed', () => {
    const { lag, heats } = fitLag(record, [DEFAULT_HEATER]);
    expect(Math.abs(lag.timeConstantMs / tauMs - 1)).toBeLessThan(0.03);
    expect(Math.abs(lag.offsetMilliC - 8000)).toBeLessThan(350);
    expect(Math.abs((heats[0]?.milliC ?? 0) - 7000)).toBeLessThan(350);
    expect(lag.errorMilliC).toBeLessThan(60);
  });

  test('what is left over is the root mean square of what the run misses, and widens the offset', () => {
    const shaken = jointMilliC.map((milliC, index) => milliC + (index % 2 === 0 ? 900 : -900));
    const { lag } = fitLag({ ...record, jointMilliC: [9000, ...shaken.slice(1)] }, [DEFAULT_HEATER]);
    expect(Math.abs((lag.errorMilliC ?? 0) - 900)).toBeLessThan(15);
    expect(lag.offsetSdMilliC).toBeGreaterThan(lag.errorMilliC ?? Number.NaN);
  });
});

describe('little data', () => {
  test('less than two hours leave everything as it was believed', () => {
    for (const hours of [0, 0.5, 1, 1.8]) {
      const fit = fitLag(simulated({ hours, tauHours: 6, offsetCelsius: 9 }), [DEFAULT_HEATER, DEFAULT_COVER]);
      expect(fit).toEqual({
        lag: DEFAULT_LAG,
        heats: [
          { ...DEFAULT_HEATER, seen: false },
          { ...DEFAULT_COVER, seen: false },
        ],
      });
    }
  });

  test('stretches shorter than an hour do not add up to anything', () => {
    const record = simulated({ hours: 24, tauHours: 3, offsetCelsius: 2 });
    const torn = record.airMilliC.map((value, index) => (index % 6 === 0 ? null : value));
    expect(fitLag({ ...record, airMilliC: torn }, []).lag).toEqual(DEFAULT_LAG);
  });

  test('comes nearer to the truth by small steps, and becomes surer', () => {
    const record = simulated({ hours: 48, tauHours: 6, offsetCelsius: 5 });
    const first = (count: number): LagRecord => ({
      ...record,
      jointMilliC: record.jointMilliC.slice(0, count),
      airMilliC: record.airMilliC.slice(0, count),
      heat: record.heat.slice(0, count),
    });
    const fits = Array.from({ length: 47 }, (_, index) => fitLag(first(13 + 6 * index), []).lag);
    fits.slice(1).forEach((lag, index) => {
      const before = fits[index] as Lag;
      expect(Math.abs(lag.offsetMilliC - before.offsetMilliC)).toBeLessThan(1500);
      expect(Math.abs(Math.log(lag.timeConstantMs / before.timeConstantMs))).toBeLessThan(0.4);
    });
    const last = fits.at(-1) as Lag;
    expect(fits[0]?.offsetSdMilliC).toBeGreaterThan(2 * last.offsetSdMilliC);
    expect(Math.abs(last.offsetMilliC - 5000)).toBeLessThan(400);
  });

  test('a heat that was on in the last step only is not seen', () => {
    const record = simulated({ hours: 24, tauHours: 3, offsetCelsius: 2 });
    const heat = record.heat.map((_, index) => (index >= record.heat.length - 2 ? 0 : -1));
    for (const prior of [DEFAULT_HEATER, { kind: 'level', milliC: 21_000, sdMilliC: 2000 } as const]) {
      const fit = fitLag({ ...record, heat }, [prior]);
      expectSound(fit);
      expect(fit.heats[0]?.seen).toBe(false);
      expect(Math.abs((fit.heats[0]?.milliC ?? 0) - prior.milliC)).toBeLessThan(1500);
      expect(fit.heats[0]?.sdMilliC).toBeGreaterThan(0.8 * prior.sdMilliC);
    }
  });

  test('a heat that was on all the time is told from the offset no better than believed', () => {
    const heater = { fromMs: 0, riseCelsius: 9, holdCelsius: 60 };
    const fit = fitLag(simulated({ hours: 48, tauHours: 3, offsetCelsius: 2, heater }), [DEFAULT_HEATER]);
    const { lag, heats } = fit;
    expect(heats[0]?.seen).toBe(false);
    expect(Math.abs(lag.offsetMilliC + (heats[0]?.milliC ?? 0) - 11_000)).toBeLessThan(500);
  });
});

describe('records that are no good', () => {
  const plain = simulated({ hours: 24, tauHours: 3, offsetCelsius: 2 });

  test('nothing known anywhere', () => {
    const nothing = plain.airMilliC.map(() => null);
    for (const record of [
      { ...plain, jointMilliC: nothing, airMilliC: nothing },
      { ...plain, jointMilliC: nothing },
      { ...plain, airMilliC: nothing },
      { ...plain, airMilliC: [] },
      { ...plain, jointMilliC: [], airMilliC: [], heat: [] },
    ])
      expect(fitLag(record, [DEFAULT_COVER])).toEqual({ lag: DEFAULT_LAG, heats: [{ ...DEFAULT_COVER, seen: false }] });
  });

  test('a frozen joint beside moving air hardly follows it; beside air that stands still as well it is simply as warm', () => {
    const frozen = plain.jointMilliC.map(() => 12_000);
    const fit = fitLag({ ...plain, jointMilliC: frozen }, [DEFAULT_HEATER]);
    expectSound(fit);
    expect(fit.lag.timeConstantMs / HOUR_MS).toBeGreaterThan(12);
    const still = fitLag({ ...plain, jointMilliC: frozen, airMilliC: frozen }, [DEFAULT_HEATER]);
    expectSound(still);
    expect(Math.abs(still.lag.offsetMilliC)).toBeLessThan(50);
    expect(still.lag.errorMilliC).toBeLessThan(50);
  });

  test('a probe that hangs in the air is the air', () => {
    const { lag } = fitLag({ ...plain, jointMilliC: plain.airMilliC }, []);
    expect(lag.timeConstantMs / HOUR_MS).toBeLessThan(0.5);
    expect(Math.abs(lag.offsetMilliC)).toBeLessThan(100);
  });

  test('heats of no spread, twice the same, or that nobody asked about', () => {
    const on = plain.heat.map((_, index) => (index < 60 ? 0 : index < 100 ? 1 : 7));
    const stiff: HeatPrior = { kind: 'rise', milliC: 3000, sdMilliC: 0 };
    const fit = fitLag({ ...plain, heat: on }, [stiff, DEFAULT_COVER]);
    expectSound(fit);
    expect(fit.heats[0]).toMatchObject({ milliC: 3000, sdMilliC: expect.toSatisfy((sd: number) => sd <= 1) });
  });

  test('whatever numbers come, whole and bounded ones leave', () => {
    const value = fc.oneof(fc.constant(null), fc.integer({ min: -60_000, max: 125_000 }));
    const list = fc.array(value, { minLength: 20, maxLength: 60 });
    const prior = fc.record({
      kind: fc.constantFrom('level' as const, 'rise' as const),
      milliC: fc.integer({ min: -20_000, max: 90_000 }),
      sdMilliC: fc.integer({ min: 0, max: 40_000 }),
    });
    fc.assert(
      fc.property(
        list,
        list,
        fc.array(fc.integer({ min: -1, max: 2 }), { maxLength: 60 }),
        fc.array(prior, { maxLength: 3 }),
        fc.integer({ min: 60_000, max: 7_200_000 }),
        (jointMilliC, airMilliC, heat, heats, stepMs) => {
          expectSound(fitLag({ fromMs: 0, stepMs, jointMilliC, airMilliC, heat }, heats));
        },
      ),
    );
  });
});

test('two weeks of ten minutes with three heats are a matter of milliseconds', () => {
  const air = (atMs: number) => 8 + 5 * Math.sin((2 * Math.PI * atMs) / (24 * HOUR_MS)) + noiseAt(4, Math.floor(atMs / HOUR_MS));
  const record = simulated({ hours: 14 * 24, tauHours: 3, offsetCelsius: 2, air });
  const heat = record.heat.map((_, index) => (Math.floor(index / 200) % 4) - 1);
  const startedMs = performance.now();
  const fit = fitLag({ ...record, heat }, [DEFAULT_HEATER, DEFAULT_COVER, DEFAULT_HEATER]);
  // 10 to 20 ms here; the bound is for busy machines.
  expect(performance.now() - startedMs).toBeLessThan(500);
  expect(fit.lag.fittedHours).toBe(336);
  expect(Math.abs(fit.lag.timeConstantMs / HOUR_MS - 3)).toBeLessThan(0.3);
  for (const { milliC, seen } of fit.heats) {
    expect(Math.abs(milliC)).toBeLessThan(700);
    expect(seen).toBe(true);
  }
});
