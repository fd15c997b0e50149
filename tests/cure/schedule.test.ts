import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import { clockMsAtRate } from '../../edge/cure/heldRate.ts';
import { HOUR_MS, hoursOf, PPM, requiredPpmMs, Schedule } from '../../edge/cure/schedule.ts';

describe('built-in schedules', () => {
  // Hours and the 50 °F knee of laminates: common practice [T]; the strict one after published workmanship rules [P]; energies
  // from the ranges that each schedule's own source names [P].
  test.each([
    { name: 'polyester-laminate', energy: 60, reference: 10, floor: 5, stress: 12, hydro: 24 },
    { name: 'epoxy-pour', energy: 61, reference: 15.6, floor: 5, stress: 12, hydro: 24 },
    { name: 'laminate-strict', energy: 60, reference: 18, floor: 15, stress: 48, hydro: 48 },
  ])('$name', ({ name, energy, reference, floor, stress, hydro }) => {
    expect(builtInSchedules.find((schedule) => schedule.name === name)).toMatchObject({
      law: { kind: 'arrhenius', activationKilojoulesPerMol: energy },
      referenceCelsius: reference,
      floorCelsius: floor,
      gapLimitMinutes: 15,
      ambientStandIn: false,
      stages: [
        { stage: 'stress', requiredHours: stress },
        { stage: 'hydro', requiredHours: hydro },
      ],
    });
  });

  test.each(builtInSchedules)('$name passes its own schema unchanged and says where its figures come from', (schedule) => {
    expect(Schedule.parse(schedule)).toEqual(schedule);
    expect(schedule.source).toMatch(/maker’s sheet for the lot wins/);
  });

  test('their names are all different', () => {
    expect(new Set(builtInSchedules.map(({ name }) => name)).size).toBe(builtInSchedules.length);
  });
});

const plain = {
  name: 'own',
  version: 1,
  title: 'Own',
  author: 'A. Author',
  law: { kind: 'arrhenius', activationKilojoulesPerMol: 50 },
  referenceCelsius: 20,
  floorCelsius: 5,
  stages: [{ stage: 'stress', requiredHours: 12 }],
  source: 'The maker’s sheet.',
};

describe('a schedule of one’s own', () => {
  test('has a gap limit of 15 minutes and no ambient stand-in unless it says so', () => {
    expect(Schedule.parse(plain)).toEqual({ ...plain, gapLimitMinutes: 15, ambientStandIn: false });
  });

  test.each([
    [{ referenceCelsius: 15.55 }, 'referenceCelsius'],
    [{ referenceCelsius: 15.6 }, null],
    [{ referenceCelsius: -0.1, floorCelsius: -0.3 }, null],
    [{ floorCelsius: 20.1 }, 'floorCelsius'],
    [{ floorCelsius: 20 }, null],
    [{ floorCelsius: -40.1 }, 'floorCelsius'],
    [{ referenceCelsius: 100.1 }, 'referenceCelsius'],
    [{ gapLimitMinutes: 0 }, 'gapLimitMinutes'],
    [{ gapLimitMinutes: 241 }, 'gapLimitMinutes'],
    [{ law: { kind: 'arrhenius', activationKilojoulesPerMol: 9 } }, 'law.activationKilojoulesPerMol'],
    [{ law: { kind: 'linear' } }, 'law.kind'],
    [{ stages: [] }, 'stages'],
    [{ stages: [plain.stages[0], plain.stages[0]] }, 'stages'],
    [{ stages: [{ stage: 'stress', requiredHours: 1001 }] }, 'stages.0.requiredHours'],
    [{ stages: [{ stage: 'stress', requiredHours: -1 }] }, 'stages.0.requiredHours'],
    [{ source: '' }, 'source'],
    [{ author: ' ' }, 'author'],
    [{ law: { kind: 'q10', factorPer10Kelvin: 1 } }, 'law.factorPer10Kelvin'],
    [{ law: { kind: 'q10', factorPer10Kelvin: 1.01 } }, null],
    [{ throughBead: 'stress' }, 'throughBead'],
    [{ fromMix: { referenceCelsius: 20, stages: [{ stage: 'stress', requiredHours: 1 }] } }, 'fromMix.stages.0.stage'],
    [{ fromMix: { referenceCelsius: 4.9, stages: [{ stage: 'gel', requiredHours: 1 }] } }, 'fromMix.referenceCelsius'],
    [{ fromMix: { referenceCelsius: 5, stages: [{ stage: 'gel', requiredHours: 1 }] } }, null],
    [{ use: { minCelsius: 20, maxCelsius: 20 } }, 'use.maxCelsius'],
    [{ colour: 'red' }, ''],
  ])('%j: fault at %j', (changes, path) => {
    const read = Schedule.safeParse({ ...plain, ...changes });
    expect(read.success ? [] : read.error.issues.map((issue) => issue.path.join('.'))).toEqual(path === null ? [] : [path]);
  });
});

/** A maker's table from 5 to 25 °C; hours as given. */
const maker = (...hours: readonly number[]) => ({
  law: { kind: 'table', points: hours.map((each, index) => ({ celsius: 5 + 10 * index, hours: each })) },
  referenceCelsius: 15,
});
const points = (...each: readonly (readonly [celsius: number, hours: number])[]) => ({
  law: { kind: 'table', points: each.map(([celsius, hours]) => ({ celsius, hours })) },
  referenceCelsius: 15,
});

describe('a maker’s table', () => {
  test.each([
    ['falls with warmth', maker(48, 24, 12), null],
    ['stays the same', maker(48, 48, 12), 'law.points.1.hours'],
    ['rises with warmth', maker(48, 24, 30), 'law.points.2.hours'],
    ['has a temperature twice', points([5, 48], [5, 24], [25, 12]), 'law.points.1.celsius'],
    ['goes from warm to cold', points([5, 48], [25, 12], [15, 20]), 'law.points.2.celsius'],
    ['has one point', { ...points([15, 24]), floorCelsius: 15 }, 'law.points'],
    ['has hours of nothing', maker(48, 24, 0), 'law.points.2.hours'],
    ['lies between tenths of a degree', points([5, 48], [15.55, 24], [25, 12]), 'law.points.1.celsius'],
    ['halves within a degree', points([5, 48], [6, 24], [25, 12]), null],
    ['falls to less than half within a degree', points([5, 48], [6, 23.9], [25, 12]), 'law.points.1.hours'],
    ['does not reach the reference', { ...points([5, 48], [14.9, 24]) }, 'referenceCelsius'],
    ['does not reach the floor', { ...points([5.1, 48], [25, 24]) }, 'floorCelsius'],
    [
      'does not reach the reference from the mix',
      { ...maker(48, 24, 12), fromMix: { referenceCelsius: 25.1, stages: [{ stage: 'gel', requiredHours: 1 }] } },
      'fromMix.referenceCelsius',
    ],
  ])('that %s: fault at %s', (_, changes, path) => {
    const read = Schedule.safeParse({ ...plain, ...changes });
    expect(read.success ? [] : read.error.issues.map((issue) => issue.path.join('.'))).toEqual(path === null ? [] : [path]);
  });
});

describe('a moisture law', () => {
  const law = { kind: 'moisture', referenceHumidityPercent: 50, frontMillimetres: 3, frontHours: 24, beadMillimetres: 3 };

  test.each([
    [{}, null],
    [{ throughBead: 'stress' }, null],
    [{ throughBead: 'hydro' }, 'throughBead'],
    [{ fromMix: { referenceCelsius: 20, stages: [{ stage: 'gel', requiredHours: 1 }] } }, 'fromMix'],
    [{ referenceCelsius: 40.1 }, 'referenceCelsius'],
    [{ referenceCelsius: -0.1, floorCelsius: -5 }, 'referenceCelsius'],
    [{ law: { ...law, referenceHumidityPercent: 4 } }, 'law.referenceHumidityPercent'],
    // 24 h × (bead ÷ 3 mm)² is 1000 h at 19.365 mm [C]; more cannot be counted.
    [{ law: { ...law, beadMillimetres: 19.36 } }, null],
    [{ law: { ...law, beadMillimetres: 19.37 } }, 'law.beadMillimetres'],
  ])('%j: fault at %j', (changes, path) => {
    const read = Schedule.safeParse({ ...plain, law, ...changes });
    expect(read.success ? [] : read.error.issues.map((issue) => issue.path.join('.'))).toEqual(path === null ? [] : [path]);
  });
});

describe('hours in ppm·ms', () => {
  test('a requirement is rounded up to whole milliseconds at full rate, never down', () => {
    expect(requiredPpmMs(12)).toBe(12 * HOUR_MS * PPM);
    expect(requiredPpmMs(1 / 3)).toBe(1_200_000 * PPM);
    expect(requiredPpmMs(0.1)).toBe(360_000 * PPM);
    fc.assert(
      fc.property(fc.double({ min: 1e-6, max: 1000, noNaN: true }), (hours) => {
        const required = requiredPpmMs(hours);
        expect(Number.isSafeInteger(required)).toBe(true);
        expect(required).toBeGreaterThanOrEqual(hours * HOUR_MS * PPM * (1 - 1e-15));
        expect(required - hours * HOUR_MS * PPM).toBeLessThanOrEqual(PPM * 1.001);
      }),
    );
  });

  test('and back for people', () => {
    expect(hoursOf(requiredPpmMs(24))).toBe(24);
  });
});

describe('clock time at a held rate', () => {
  test.each([
    [0, 0, 0],
    [-5, PPM, 0],
    [HOUR_MS * PPM, PPM, HOUR_MS],
    [HOUR_MS * PPM, PPM / 2, 2 * HOUR_MS],
    [1, PPM, 1],
    [10, 3, 4],
    [1, 0, null],
    [1, -1, null],
    [1, PPM + 1, null],
  ])('%d ppm·ms at %d ppm: %s ms', (missingPpmMs, ratePpm, clockMs) => {
    expect(clockMsAtRate(missingPpmMs, ratePpm)).toBe(clockMs);
  });
});
