import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  chanceBy,
  decidedBy,
  heatFor,
  holdFor,
  QUARTER_MS,
  type Readiness,
  safeFromMs,
  together,
  type Wanted,
} from '../../../edge/cure/outlook/booking.ts';
import type { Change, Heat, OutlookInput } from '../../../edge/cure/outlook/input.ts';
import { project } from '../../../edge/cure/outlook/project.ts';
import { HOUR_MS } from '../../../edge/cure/schedule.ts';
import { dailyAir, inputOf, NOW_MS, steadyAir, UNSURE } from './inputs.ts';

const NEVER = Number.POSITIVE_INFINITY;
const joint = (name: string, ...membersMs: number[]): Readiness => ({ joint: name, membersMs });

describe('several joints', () => {
  test('together they are there when the last of them is, world by world', () => {
    expect(together([joint('a', 1, 5, 3), joint('b', 2, 4, NEVER)])).toEqual([2, 5, NEVER]);
    expect(together([])).toEqual([]);
  });

  test('chances are shares of the worlds; the instant itself is in time', () => {
    expect([0, 1, 3, 5, 1e9].map((atMs) => chanceBy([1, 3, 5, NEVER], atMs))).toEqual([0, 0.25, 0.5, 0.75, 0.75]);
    expect(chanceBy([], 1)).toBe(0);
  });

  test('the joint decides that is the last in most of the worlds that miss', () => {
    const joints = [joint('a', 9, 9, 9, 1, 1), joint('b', 1, 1, 1, 20, 20)];
    expect(decidedBy(joints, 10)).toBe('b');
    expect(decidedBy(joints, 8)).toBe('a');
    // None misses: all worlds count.
    expect(decidedBy(joints, 20)).toBe('a');
    expect(decidedBy([joint('a', NEVER, 1), joint('b', NEVER, NEVER)], 5)).toBe('b');
    expect(decidedBy([joint('a', 3), joint('b', 3)], 5)).toBe('a');
    expect(decidedBy([], 5)).toBeNull();
  });

  test('safe is the first quarter of an hour that enough worlds keep', () => {
    const members = Array.from({ length: 10 }, (_, index) => NOW_MS + (index + 1) * 60_000);
    expect(safeFromMs(members)).toBe(NOW_MS + 15 * 60_000);
    expect(safeFromMs([...members.slice(1), NEVER])).toBe(NOW_MS + 15 * 60_000);
    expect(safeFromMs([...members.slice(2), NEVER, NEVER])).toBeNull();
    expect(safeFromMs([NOW_MS, NOW_MS])).toBe(NOW_MS);
    expect(safeFromMs([NOW_MS, NOW_MS + 1], 0.5)).toBe(NOW_MS);
    expect(safeFromMs([])).toBeNull();
  });

  test('whatever the worlds: no safer together than alone, safe from a quarter on and not from the one before', () => {
    const members = fc.array(fc.oneof(fc.integer({ min: 0, max: 1e8 }), fc.constant(NEVER)), { minLength: 16, maxLength: 16 });
    fc.assert(
      fc.property(members, members, fc.integer({ min: 0, max: 1e8 }), (a, b, atMs) => {
        const joints = [joint('a', ...a), joint('b', ...b)];
        const both = together(joints);
        expect(chanceBy(both, atMs)).toBeLessThanOrEqual(Math.min(chanceBy(a, atMs), chanceBy(b, atMs)));
        expect(['a', 'b']).toContain(decidedBy(joints, atMs));
        const safeMs = safeFromMs(both);
        if (safeMs === null) {
          expect(chanceBy(both, Number.MAX_SAFE_INTEGER)).toBeLessThan(0.9);
          return;
        }
        expect(safeMs % QUARTER_MS).toBe(0);
        expect(chanceBy(both, safeMs)).toBeGreaterThanOrEqual(0.9);
        expect(chanceBy(both, safeMs - QUARTER_MS)).toBeLessThan(0.9);
      }),
    );
  });
});

/** The chance of a booking, worked out anew in full, with a change on some of the joints. */
function chanceWith(wanted: readonly Wanted[], dueMs: number, joints: readonly string[], change: Change): number {
  const ready = wanted.map(({ input, stage }): Readiness => {
    const outlook = project(input, joints.includes(input.joint) ? { change } : {});
    return { joint: input.joint, membersMs: outlook.stages.find((each) => each.stage === stage)?.membersMs ?? [] };
  });
  return chanceBy(together(ready), dueMs);
}

const of = (
  name: string,
  stream: number,
  schedule: string,
  air: OutlookInput['air'],
  changes: Partial<OutlookInput> = {},
): Wanted => ({
  input: inputOf(schedule, { ...UNSURE, joint: name, stream, air, ...changes }),
  stage: 'hydro',
});
const held = (milliC: number): Change => ({ hold: { fromMs: NOW_MS, milliC } });

const cold = dailyAir(2000, 5000);
const warm = dailyAir(20_000, 1000);
const laminates = [
  of('a', 1, 'polyester-laminate', cold),
  of('b', 2, 'epoxy-pour', cold),
  of('warm', 3, 'polyester-laminate', warm),
];
const dueMs = NOW_MS + 40 * HOUR_MS;

describe('what temperature to hold', () => {
  test('on the joints that are late, so that the booking is safe; a tenth of a degree less is too little', () => {
    const advice = holdFor(laminates, dueMs);
    expect(advice?.joints).toEqual(['a', 'b']);
    const milliC = advice?.milliC as number;
    expect(milliC % 100).toBe(0);
    expect(chanceWith(laminates, dueMs, ['a', 'b'], held(milliC))).toBeGreaterThanOrEqual(0.9);
    expect(chanceWith(laminates, dueMs, ['a', 'b'], held(milliC - 100))).toBeLessThan(0.9);
  });

  test('exact for whatever is due, and to any share', () => {
    const wanted = laminates.slice(0, 1);
    fc.assert(
      fc.property(fc.integer({ min: 20, max: 90 }), fc.constantFrom(0.5, 0.9, 1), (hours, share) => {
        const atMs = NOW_MS + hours * HOUR_MS;
        const advice = holdFor(wanted, atMs, share);
        const as = (change: Change) => chanceWith(wanted, atMs, ['a'], change);
        if (advice === null) expect(as(held(40_000))).toBeLessThan(share);
        else if (advice.joints.length === 0) expect(as({})).toBeGreaterThanOrEqual(share);
        else {
          expect(as(held(advice.milliC))).toBeGreaterThanOrEqual(share);
          expect(as(held(advice.milliC - 100))).toBeLessThan(share);
        }
      }),
      { numRuns: 12 },
    );
  });

  test('of a joint that is asked for two stages both count, and it is named once', () => {
    const both = [...laminates, { input: (laminates[0] as Wanted).input, stage: 'stress' }];
    expect(holdFor(both, dueMs)).toEqual(holdFor(laminates, dueMs));
    const stress = both.slice(3);
    const sooner = NOW_MS + 13 * HOUR_MS;
    expect(holdFor(stress, sooner)?.joints).toEqual(['a']);
    expect(holdFor([...stress, ...stress], sooner)).toEqual(holdFor(stress, sooner));
  });

  test('null when not even full credit is in time: 24 h need 24 h', () => {
    const full = laminates.map(({ input, stage }) => ({ input: { ...input, startMilliC: 20_000 }, stage }));
    expect(holdFor(full, NOW_MS + 24 * HOUR_MS)).not.toBeNull();
    expect(holdFor(full, NOW_MS + 24 * HOUR_MS - 1)).toBeNull();
  });

  test('no joint when it is safe as it is', () => {
    expect(holdFor(laminates.slice(2), dueMs)?.joints).toEqual([]);
    expect(heatFor(laminates.slice(2), dueMs, { kind: 'rise', milliC: 8000, sdMilliC: 0 })?.joints).toEqual([]);
    expect(holdFor([], dueMs)?.joints).toEqual([]);
  });

  test('each safe by itself, but not together: all that are late in any world are held', () => {
    const lag = { ...inputOf('polyester-laminate').lag, offsetSdMilliC: 2000 };
    const trio = [1, 2, 3].map((stream) => of(`j${stream}`, stream, 'polyester-laminate', dailyAir(10_000, 2000), { lag }));
    const ready = trio.map(({ input }) => joint(input.joint, ...(project(input).stages.at(-1)?.membersMs ?? [])));
    const atMs = Array.from({ length: 400 }, (_, quarter) => NOW_MS + quarter * QUARTER_MS).find(
      (ms) => ready.every(({ membersMs }) => chanceBy(membersMs, ms) >= 0.9) && chanceBy(together(ready), ms) < 0.9,
    ) as number;
    expect(atMs).toBeDefined();
    const advice = holdFor(trio, atMs);
    expect(advice?.joints).toEqual(['j1', 'j2', 'j3']);
    expect(chanceWith(trio, atMs, ['j1', 'j2', 'j3'], held(advice?.milliC as number))).toBeGreaterThanOrEqual(0.9);
    expect(chanceWith(trio, atMs, ['j1', 'j2', 'j3'], held((advice?.milliC as number) - 100))).toBeLessThan(0.9);
  });

  test('one that is safe enough by itself is left alone, and the one that is not makes up for it', () => {
    const lag = { ...inputOf('polyester-laminate').lag, offsetSdMilliC: 2000 };
    const [colder, milder] = [
      of('colder', 1, 'polyester-laminate', dailyAir(8000, 4000)),
      of('milder', 4, 'polyester-laminate', dailyAir(10_000, 2000), { lag }),
    ];
    const mildMs = project(milder.input).stages.at(-1)?.membersMs ?? [];
    const atMs = safeFromMs(mildMs) as number;
    expect(chanceBy(mildMs, atMs)).toBeLessThan(1);
    const advice = holdFor([colder, milder], atMs);
    expect(advice?.joints).toEqual(['colder']);
    const as = (milliC: number, wanted = [colder, milder]) => chanceWith(wanted, atMs, ['colder'], held(milliC));
    const milliC = advice?.milliC as number;
    expect(as(milliC)).toBeGreaterThanOrEqual(0.9);
    expect(as(milliC - 100)).toBeLessThan(0.9);
    // For itself alone it could have been colder.
    expect(holdFor([colder], atMs)?.milliC as number).toBeLessThan(milliC);
  });

  test('a sealant that follows the air alone has to be above its floor, and gains nothing beyond', () => {
    const nights = { ...dailyAir(6000, 3000, 95_000) };
    const bead = [
      of('bead', 1, 'sealant-bead', nights, { lag: inputOf('sealant-bead').lag, error: inputOf('sealant-bead').error }),
    ];
    const atMs = NOW_MS + 45 * HOUR_MS;
    expect(holdFor(bead, atMs)).toEqual({ joints: ['bead'], milliC: 5500 });
    expect(chanceWith(bead, atMs, ['bead'], held(5400))).toBe(0);
    const drier = [of('bead', 1, 'sealant-bead', dailyAir(6000, 3000, 40_000))];
    expect(holdFor(drier, atMs)).toBeNull();
  });
});

describe('how late heat may come', () => {
  const heater: Heat = { kind: 'rise', milliC: 15_000, sdMilliC: 2000 };
  const as = (fromMs: number, atMs: number) => chanceWith(laminates, atMs, ['a', 'b'], { heat: { fromMs, heat: heater } });

  test('to the quarter of an hour: one later is too late', () => {
    const atMs = NOW_MS + 44 * HOUR_MS;
    const advice = heatFor(laminates, atMs, heater);
    expect(advice?.joints).toEqual(['a', 'b']);
    const fromMs = advice?.fromMs as number;
    expect(fromMs % QUARTER_MS).toBe(0);
    expect(fromMs).toBeGreaterThan(NOW_MS);
    expect(as(fromMs, atMs)).toBeGreaterThanOrEqual(0.9);
    expect(as(fromMs + QUARTER_MS, atMs)).toBeLessThan(0.9);
  });

  test('null when it is too late even now; the present itself when the next quarter is', () => {
    const nowMs = NOW_MS + 4 * 60_000;
    const at = (ms: number): Wanted => ({
      // At rest at 0 °C, with heat 12 °C warmer in about no time.
      input: inputOf('polyester-laminate', {
        nowMs: ms,
        startMs: ms,
        startMilliC: 0,
        credit: { frontierMs: ms, creditPpmMs: 0, reached: [] },
        air: steadyAir(0),
        lag: { ...inputOf('polyester-laminate').lag, timeConstantMs: 60_000 },
      }),
      stage: 'hydro',
    });
    const rise: Heat = { kind: 'rise', milliC: 12_000, sdMilliC: 0 };
    // The first step is cold at one end: 24 h and ten minutes from when heat comes.
    const needMs = 24 * HOUR_MS + 10 * 60_000;
    expect(heatFor([at(nowMs)], nowMs + needMs - 1, rise)).toBeNull();
    expect(heatFor([at(nowMs)], nowMs + needMs, rise)).toEqual({ joints: ['j1'], fromMs: nowMs });
    expect(heatFor([at(nowMs)], NOW_MS + QUARTER_MS + needMs, rise)).toEqual({ joints: ['j1'], fromMs: NOW_MS + QUARTER_MS });
  });
});
