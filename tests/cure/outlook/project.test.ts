import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { foldAll } from '../../../edge/cure/fold.ts';
import { outlookAt } from '../../../edge/cure/outlook/air.ts';
import { errorAt } from '../../../edge/cure/outlook/airError.ts';
import { MEMBERS } from '../../../edge/cure/outlook/chance.ts';
import { type Heat, OutlookInput } from '../../../edge/cure/outlook/input.ts';
import { lagged } from '../../../edge/cure/outlook/lag.ts';
import { HORIZON_MS, project, quantile } from '../../../edge/cure/outlook/project.ts';
import { HOUR_MS, PPM, requiredPpmMs } from '../../../edge/cure/schedule.ts';
import { plainPascal } from '../laws.ts';
import { dailyAir, inputOf, NOW_MS, steadyAir, UNSURE } from './inputs.ts';

const MINUTE_MS = 60_000;
const STEP_MS = 10 * MINUTE_MS;
const NEVER = Number.POSITIVE_INFINITY;

/** When each stage is reached in the best guess. */
function guessed(input: OutlookInput, change = {}): number[] {
  return project(input, { change, members: 1 }).stages.map(({ membersMs }) => membersMs[0] as number);
}

/** Of the last stage, in each of the worlds. */
function worlds(input: OutlookInput, change = {}): readonly number[] {
  return project(input, { change }).stages.at(-1)?.membersMs ?? [];
}

/** So many warm hours are there; proven up to the present. */
const credited = (hours: number): Partial<OutlookInput> => ({
  credit: { frontierMs: NOW_MS, creditPpmMs: requiredPpmMs(hours), reached: [] },
});

const anyAir = fc
  .array(fc.integer({ min: -8000, max: 22_000 }), { minLength: 1, maxLength: 80 })
  .map((milliC): OutlookInput['air'] => ({ ...steadyAir(0), milliC }));
const dry = fc.constantFrom('polyester-laminate', 'epoxy-pour', 'laminate-strict');

test('the inputs that are tried here are such as the schema takes', () => {
  for (const schedule of ['polyester-laminate', 'sealant-bead']) {
    const input = inputOf(schedule, UNSURE);
    expect(OutlookInput.parse(input)).toEqual(input);
  }
});

describe('the best guess', () => {
  test('at rest at the reference with the guard band on top, every hour counts as one', () => {
    const input = inputOf('polyester-laminate', { startMilliC: 10_500, air: steadyAir(10_500) });
    expect(guessed(input)).toEqual([NOW_MS + 12 * HOUR_MS, NOW_MS + 24 * HOUR_MS]);
    const colder = inputOf('polyester-laminate', { startMilliC: 10_499, air: steadyAir(10_499) });
    expect(guessed(colder)[1] as number).toBeGreaterThan(NOW_MS + 24 * HOUR_MS);
  });

  test('equals the fold of all its temperatures, whatever the air does', () => {
    fc.assert(
      fc.property(
        dry,
        anyAir,
        fc.record({
          startMilliC: fc.integer({ min: -5000, max: 25_000 }),
          offsetMilliC: fc.integer({ min: -3000, max: 6000 }),
          timeConstantMs: fc.integer({ min: 10, max: 24 * 60 }).map((minutes) => minutes * MINUTE_MS),
          silentMs: fc.integer({ min: 0, max: 30 * MINUTE_MS }),
          earned: fc.integer({ min: 0, max: 11 }),
        }),
        (schedule, air, { startMilliC, offsetMilliC, timeConstantMs, silentMs, earned }) => {
          const frontierMs = NOW_MS - silentMs;
          const input = inputOf(schedule, {
            air,
            startMilliC,
            lag: { ...inputOf(schedule).lag, offsetMilliC, timeConstantMs },
            credit: { frontierMs, creditPpmMs: requiredPpmMs(earned), reached: [] },
          });
          const atMs = silentMs === 0 ? [NOW_MS] : [frontierMs, NOW_MS];
          const milliC = atMs.map(() => startMilliC);
          let temperature = startMilliC;
          for (let ms = NOW_MS; ms < NOW_MS + HORIZON_MS; ms += STEP_MS) {
            const [from, to] = [ms, ms + STEP_MS].map((at) => outlookAt(air, air.milliC, at) + offsetMilliC) as [number, number];
            temperature = lagged(temperature, from, to, STEP_MS, timeConstantMs);
            atMs.push(ms + STEP_MS);
            milliC.push(Math.round(temperature));
          }
          const lane = { probe: 'm', role: 'material', guardMilliC: 500, fromMs: -NEVER, untilMs: NEVER } as const;
          const { gapLimitMs, table } = input;
          // What is there already is asked for no more.
          const stages = input.stages.map(({ stage, requiredPpmMs: required }) => ({
            stage,
            requiredPpmMs: required - requiredPpmMs(earned),
          }));
          const { state } = foldAll({ startMs: frontierMs, gapLimitMs, ambientStandIn: false, table, lanes: [lane], stages }, [
            { atMs, milliC },
          ]);
          const folded = stages.map(({ stage }) => state.reached.find((each) => each.stage === stage)?.reachedAtMs ?? NEVER);
          expect(guessed(input)).toEqual(folded);
        },
      ),
      { numRuns: 60 },
    );
  });

  test('a stage that is reached keeps its instant', () => {
    const reachedAtMs = NOW_MS - 7 * HOUR_MS;
    const credit = {
      frontierMs: NOW_MS,
      creditPpmMs: requiredPpmMs(18),
      reached: [
        { stage: 'stress', reachedAtMs },
        { stage: 'elsewhere', reachedAtMs: 1 },
      ],
    };
    expect(guessed(inputOf('polyester-laminate', { credit }))).toEqual([reachedAtMs, NOW_MS + 6 * HOUR_MS]);
    const all = {
      ...credit,
      creditPpmMs: requiredPpmMs(24),
      reached: [...credit.reached, { stage: 'hydro', reachedAtMs: NOW_MS }],
    };
    const outlook = project(inputOf('polyester-laminate', { ...UNSURE, credit: all }), {});
    expect(new Set(outlook.stages[1]?.membersMs)).toEqual(new Set([NOW_MS]));
    expect(new Set(outlook.coldMs)).toEqual(new Set([NEVER]));
  });

  test('silence before the present earns nothing when it is longer than the gap limit', () => {
    const silent = (minutes: number) => ({ credit: { frontierMs: NOW_MS - minutes * MINUTE_MS, creditPpmMs: 0, reached: [] } });
    const hydro = (minutes: number) => guessed(inputOf('polyester-laminate', silent(minutes)))[1];
    expect(hydro(120)).toBe(NOW_MS + 24 * HOUR_MS);
    expect(hydro(16)).toBe(NOW_MS + 24 * HOUR_MS);
    expect(hydro(15)).toBe(NOW_MS + 24 * HOUR_MS - 15 * MINUTE_MS);
  });

  test('a short gap limit counts for the silence before the present, not for the steps of the walk', () => {
    const night = inputOf('polyester-laminate', { ...UNSURE, air: dailyAir(7000, 6000) });
    expect(project({ ...night, gapLimitMs: 1 })).toEqual(project(night));
    const silent = (minutes: number) => ({
      gapLimitMs: 2 * MINUTE_MS,
      credit: { frontierMs: NOW_MS - minutes * MINUTE_MS, creditPpmMs: 0, reached: [] },
    });
    const hydro = (minutes: number) => guessed(inputOf('polyester-laminate', silent(minutes)))[1];
    expect(hydro(2)).toBe(NOW_MS + 24 * HOUR_MS - 2 * MINUTE_MS);
    expect(hydro(3)).toBe(NOW_MS + 24 * HOUR_MS);
    expect(hydro(9)).toBe(NOW_MS + 24 * HOUR_MS);
  });

  test('the horizon counts from the present, to its last minute', () => {
    const startMs = NOW_MS - 35 * MINUTE_MS;
    const needs = (ms: number): Partial<OutlookInput> => ({
      startMs,
      credit: { frontierMs: startMs, creditPpmMs: 0, reached: [] },
      stages: [{ stage: 'hydro', requiredPpmMs: ms * PPM }],
    });
    const lastMs = startMs + Math.floor((HORIZON_MS + 35 * MINUTE_MS) / STEP_MS) * STEP_MS;
    expect(guessed(inputOf('polyester-laminate', needs(lastMs - startMs)))).toEqual([lastMs]);
    expect(guessed(inputOf('polyester-laminate', needs(lastMs - startMs + 1)))).toEqual([NEVER]);
  });
});

describe('heat and cold', () => {
  test('below the floor for ever it is never reached, and cold from the first', () => {
    const outlook = project(inputOf('polyester-laminate', { startMilliC: 4000, air: steadyAir(4000) }));
    expect(outlook.stages.map(({ membersMs }) => new Set(membersMs))).toEqual([new Set([NEVER]), new Set([NEVER])]);
    expect(new Set(outlook.coldMs)).toEqual(new Set([NOW_MS]));
  });

  test('cold is told when it comes before the last stage, at the floor with the guard band, not after', () => {
    const night = dailyAir(9000, 6000);
    const { coldMs } = project(inputOf('polyester-laminate', { air: night }), { members: 1 });
    expect(coldMs[0] as number).toBeGreaterThan(NOW_MS + 9 * HOUR_MS);
    expect(coldMs[0] as number).toBeLessThan(NOW_MS + 15 * HOUR_MS);
    expect(project(inputOf('polyester-laminate', { air: night, ...credited(20) }), { members: 1 }).coldMs).toEqual([NEVER]);
    expect(project(inputOf('polyester-laminate', { startMilliC: 5500, air: steadyAir(5500) }), { members: 1 }).coldMs).toEqual([
      NEVER,
    ]);
  });

  test('held warmer, no world comes later, and at full credit all come when the hours are over', () => {
    fc.assert(
      fc.property(
        dry,
        anyAir,
        fc.tuple(fc.integer({ min: -5000, max: 20_000 }), fc.integer({ min: 0, max: 10_000 })),
        (schedule, air, [milliC, warmer]) => {
          const input = inputOf(schedule, { ...UNSURE, air });
          const [cold, warm] = [milliC, milliC + warmer].map((each) => worlds(input, { hold: { fromMs: NOW_MS, milliC: each } }));
          warm?.forEach((ms, member) => {
            expect(ms).toBeLessThanOrEqual(cold?.[member] as number);
          });
        },
      ),
      { numRuns: 15 },
    );
    const held = inputOf('polyester-laminate', { ...UNSURE, startMilliC: 10_500, air: dailyAir(-5000, 5000) });
    const full = worlds(held, { hold: { fromMs: NOW_MS, milliC: 10_500 } });
    expect(new Set(full)).toEqual(new Set([NOW_MS + 24 * HOUR_MS]));
  });

  test('a hold that begins later counts from then', () => {
    const fromMs = NOW_MS + 7 * HOUR_MS + 3 * MINUTE_MS;
    const input = inputOf('polyester-laminate', { startMilliC: 0, air: steadyAir(0) });
    // The step that ends when the hold begins was cold at its other end.
    expect(guessed(input, { hold: { fromMs, milliC: 10_500 } })[1]).toBe(fromMs + 24 * HOUR_MS);
  });

  test('heat acts with the lag; a level does nothing to air that is warmer', () => {
    const rise: Heat = { kind: 'rise', milliC: 8000, sdMilliC: 0 };
    const input = inputOf('polyester-laminate', { startMilliC: 4000, air: steadyAir(4000) });
    const band = project(input, {
      change: { heat: { fromMs: NOW_MS, heat: rise } },
      members: 1,
      bandUntilMs: NOW_MS + 6 * HOUR_MS,
    }).band;
    // After one time constant it lacks 1/e of the rise.
    expect(band?.atMs[2]).toBe(NOW_MS + 3 * HOUR_MS);
    expect(band?.milliC[2]?.[1]).toBeCloseTo(12_000 - 8000 / Math.E, 6);
    const level = (milliC: number) => ({ heat: { fromMs: NOW_MS, heat: { kind: 'level', milliC, sdMilliC: 0 } as const } });
    expect(guessed(input, level(12_000))).toEqual(guessed(input, { heat: { fromMs: NOW_MS, heat: rise } }));
    expect(guessed(input, level(3000))).toEqual(guessed(input));
  });

  test('heat that is switched off at once was never on', () => {
    const heat: Heat = { kind: 'rise', milliC: 8000, sdMilliC: 2000 };
    const input = inputOf('polyester-laminate', { ...UNSURE, air: dailyAir(5000, 5000) });
    expect(project({ ...input, heat }, { change: { heat: { fromMs: NOW_MS, heat: null } } })).toEqual(project(input));
    expect(worlds({ ...input, heat })).not.toEqual(worlds(input));
  });
});

describe('a moisture law', () => {
  const sealant = (changes: Partial<OutlookInput>) =>
    inputOf('sealant-bead', { guardMilliC: 0, airGuardMilliC: 0, humidityGuardMilliPercent: 0, startMilliC: 10_000, ...changes });

  test('takes as long as the water in the air lets it', () => {
    const input = sealant({ air: steadyAir(10_000, 70_000) });
    const hours = (24 * 50 * plainPascal(20)) / (70 * plainPascal(10));
    const hydro = ((guessed(input)[1] as number) - NOW_MS) / HOUR_MS;
    expect(hydro).toBeGreaterThanOrEqual(hours);
    expect(hydro).toBeLessThan(hours * 1.001);
  });

  test('heated air is drier: heat brings next to nothing, and with a guard band on the humidity it costs', () => {
    const heat: Heat = { kind: 'rise', milliC: 10_000, sdMilliC: 0 };
    const air = steadyAir(10_000, 70_000);
    const spans = (changes: Partial<OutlookInput>) => {
      const [cold, warm] = [sealant({ air, ...changes }), sealant({ air, heat, ...changes })].map(
        (input) => guessed(input)[1] as number,
      );
      return { cold: (cold as number) - NOW_MS, warm: (warm as number) - NOW_MS };
    };
    const plain = spans({});
    // Less than what the one step costs in which the air warms up and is credited with its colder and its drier end.
    expect(Math.abs(plain.warm - plain.cold)).toBeLessThan(STEP_MS);
    const guarded = spans({ humidityGuardMilliPercent: 3000 });
    expect(guarded.warm).toBeGreaterThan(guarded.cold * 1.02);
    // Heat helps where the air is below the floor.
    const frost = { air: steadyAir(2000, 90_000), startMilliC: 2000 };
    expect(guessed(sealant(frost))[1]).toBe(NEVER);
    expect(guessed(sealant({ ...frost, heat }))[1] as number).toBeLessThan(NOW_MS + HORIZON_MS);
  });

  test('of a joint with a probe on it the colder of joint and air governs', () => {
    const air = steadyAir(10_000, 70_000);
    const alone = guessed(sealant({ air }));
    const warmJoint = sealant({ air, follows: 'material', startMilliC: 15_000, lag: { ...sealant({}).lag, offsetMilliC: 5000 } });
    expect(guessed(warmJoint)).toEqual(alone);
    const coldJoint = sealant({ air, follows: 'material', startMilliC: 7000, lag: { ...sealant({}).lag, offsetMilliC: -3000 } });
    expect(guessed(coldJoint)[1] as number).toBeGreaterThan(alone[1] as number);
  });

  test('with nothing known of the humidity nothing is earned', () => {
    expect(guessed(sealant({ air: steadyAir(10_000) }))).toEqual([NEVER, NEVER]);
  });
});

describe('the worlds', () => {
  test('are all the best guess when nothing is unsure', () => {
    const input = inputOf('polyester-laminate', { air: dailyAir(6000, 6000), ...credited(3) });
    const [likely] = guessed(input).slice(-1);
    expect(worlds(input)).toEqual(new Array(MEMBERS).fill(likely));
  });

  test('are the same for two joints of one air: the colder one is later in every single one', () => {
    const air = dailyAir(7000, 6000);
    const input = (offsetMilliC: number, stream: number) =>
      inputOf('polyester-laminate', {
        ...UNSURE,
        air,
        stream,
        lag: { ...inputOf('polyester-laminate').lag, offsetMilliC },
      });
    const [warm, cold] = [worlds(input(0, 1)), worlds(input(-1000, 2))];
    expect(new Set(warm).size).toBeGreaterThan(MEMBERS / 2);
    warm.forEach((ms, member) => {
      expect(ms).toBeLessThan(cold[member] as number);
    });
  });

  test('do not change with what is asked beside them, nor with the order of asking', () => {
    const input = inputOf('polyester-laminate', { ...UNSURE, air: dailyAir(7000, 6000) });
    const first = project(input);
    project({ ...input, error: { ...input.error, correlationMs: 5 * HOUR_MS }, startMs: NOW_MS + 40 * HOUR_MS });
    expect(project(input, { bandUntilMs: NOW_MS + 30 * HOUR_MS })).toEqual({ ...first, band: expect.anything() });
    expect(project(input)).toEqual(first);
  });

  test('differ by offset and heat as much as is said', () => {
    const lag = { ...inputOf('polyester-laminate').lag, timeConstantMs: MINUTE_MS, offsetSdMilliC: 2000 };
    const heat: Heat = { kind: 'rise', milliC: 20_000, sdMilliC: 3000 };
    const band = project(inputOf('polyester-laminate', { lag, heat }), { bandUntilMs: NOW_MS + 2 * HOUR_MS }).band;
    const [low, likely, high] = band?.milliC[1] ?? [0, 0, 0];
    const sd = Math.sqrt(2000 * 2000 + 3000 * 3000);
    // 64 worlds in pairs of opposite sign.
    expect(Math.abs(likely - 32_000)).toBeLessThan(0.3 * sd);
    expect((high - low) / (2 * 1.645 * sd)).toBeGreaterThan(0.75);
    expect((high - low) / (2 * 1.645 * sd)).toBeLessThan(1.25);
  });

  test('untilMs: what is reached by then stays, what is not is not', () => {
    const input = inputOf('polyester-laminate', { ...UNSURE, air: dailyAir(7000, 6000) });
    const untilMs = quantile(worlds(input), 0.4);
    const whole = project(input).stages;
    const cut = project(input, { untilMs }).stages;
    whole.forEach(({ membersMs }, stage) => {
      expect(cut[stage]?.membersMs).toEqual(membersMs.map((ms) => (ms <= untilMs ? ms : NEVER)));
    });
    expect(new Set(project(input, { untilMs: NOW_MS - 1 }).stages[0]?.membersMs)).toEqual(new Set([NEVER]));
  });
});

describe('the band', () => {
  const input = inputOf('polyester-laminate', { ...UNSURE, air: dailyAir(6000, 6000) });

  test('is asked for hour by hour, to the instant', () => {
    expect(project(input).band).toBeNull();
    const { band } = project(input, { bandUntilMs: NOW_MS + 30 * HOUR_MS });
    expect(band?.atMs).toEqual(Array.from({ length: 30 }, (_, hour) => NOW_MS + (hour + 1) * HOUR_MS));
    expect(project(input, { bandUntilMs: NOW_MS + 30 * HOUR_MS - 1 }).band?.atMs).toHaveLength(29);
    expect(project(input, { bandUntilMs: NOW_MS }).band?.atMs).toEqual([]);
  });

  test('low, likely and high lie in order, credit never falls, and goes on beyond the last stage', () => {
    const { band } = project(input, { bandUntilMs: NOW_MS + 90 * HOUR_MS });
    for (const rows of [band?.milliC, band?.creditPpmMs])
      for (const [low, likely, high] of rows ?? [])
        expect([low, likely, high].toSorted((a, b) => a - b)).toEqual([low, likely, high]);
    const credits = band?.creditPpmMs ?? [];
    credits.slice(1).forEach((row, hour) => {
      row.forEach((credit, place) => {
        expect(credit).toBeGreaterThanOrEqual(credits[hour]?.[place] as number);
      });
    });
    expect(credits.at(-1)?.[2]).toBeGreaterThan(requiredPpmMs(24));
  });

  test('brackets: 5 of 100 worlds are below, 95 not above, as the stages tell', () => {
    const hydro = worlds(input);
    const { band } = project(input, { bandUntilMs: NOW_MS + HORIZON_MS });
    // Of 64 sorted worlds these are the 4th, the 32nd and the 61st: so many or more have what it has, and none but these have more.
    [61, 33, 4].forEach((worldsThere, place) => {
      const hour = (band?.creditPpmMs ?? []).findIndex((row) => (row[place] as number) >= requiredPpmMs(24));
      expect(hour).toBeGreaterThan(0);
      const through = (atHour: number) => hydro.filter((ms) => ms <= (band?.atMs[atHour] as number)).length;
      expect(through(hour)).toBeGreaterThanOrEqual(worldsThere);
      expect(through(hour - 1)).toBeLessThan(worldsThere);
    });
  });

  test('of the air alone it is as wide as the errors are said to have grown', () => {
    const lag = { ...inputOf('polyester-laminate').lag, timeConstantMs: MINUTE_MS };
    const { band } = project({ ...input, lag }, { bandUntilMs: NOW_MS + 72 * HOUR_MS });
    for (const hours of [3, 12, 24, 72]) {
      const [low, , high] = band?.milliC[hours - 1] ?? [0, 0, 0];
      const share = (high - low) / (2 * 1.645 * errorAt(input.error, hours * HOUR_MS));
      expect(share).toBeGreaterThan(0.7);
      expect(share).toBeLessThan(1.3);
    }
  });
});

test('quantile: the least value that so large a share stays at or below', () => {
  expect([0, 0.25, 0.26, 0.5, 1].map((share) => quantile([4, 1, NEVER, 3], share))).toEqual([1, 1, 3, 3, NEVER]);
  expect(quantile([], 0.5)).toBeNaN();
});
