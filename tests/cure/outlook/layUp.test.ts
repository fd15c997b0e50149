import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { AirRecord } from '../../../edge/cure/outlook/air.ts';
import { chanceBy, QUARTER_MS } from '../../../edge/cure/outlook/booking.ts';
import { OutlookInput } from '../../../edge/cure/outlook/input.ts';
import { gainAndLag, lagged } from '../../../edge/cure/outlook/lag.ts';
import { conditionHours, type LayUpPlan, latestLayUp, layUpAt, storedMilliC } from '../../../edge/cure/outlook/layUp.ts';
import { project } from '../../../edge/cure/outlook/project.ts';
import { HOUR_MS, requiredPpmMs } from '../../../edge/cure/schedule.ts';
import { dailyAir, inputOf, NOW_MS, steadyAir, UNSURE } from './inputs.ts';

function planOf(schedule: string, changes: Partial<OutlookInput> = {}): LayUpPlan {
  const { credit: _credit, startMs: _startMs, startMilliC: _startMilliC, ...input } = inputOf(schedule, changes);
  return { input, materialMilliC: 18_000 };
}

/** The chance of a lay-up, worked out anew in full. */
function chanceOf(plan: LayUpPlan, atMs: number, stage: string, byMs: number): number {
  return chanceBy(project(layUpAt(plan, atMs)).stages.find((each) => each.stage === stage)?.membersMs ?? [], byMs);
}

describe('a lay-up at some hour', () => {
  test('begins then, with no credit, as warm as the material', () => {
    const atMs = NOW_MS + 20 * HOUR_MS;
    const input = layUpAt(planOf('polyester-laminate', UNSURE), atMs);
    expect(OutlookInput.parse(input)).toMatchObject({
      nowMs: NOW_MS,
      startMs: atMs,
      startMilliC: 18_000,
      credit: { frontierMs: atMs, creditPpmMs: 0, reached: [] },
    });
  });

  test('a bead that follows the air alone begins with the air of that hour', () => {
    const air = dailyAir(8000, 5000, 70_000);
    expect(layUpAt(planOf('sealant-bead', { air }), NOW_MS + 12 * HOUR_MS).startMilliC).toBe(3000);
  });

  test('in warmth it takes its hours from then on', () => {
    const plan = planOf('polyester-laminate', { air: steadyAir(15_000) });
    const atMs = NOW_MS + 5 * HOUR_MS;
    expect(project(layUpAt(plan, atMs), { members: 1 }).stages.map(({ membersMs }) => membersMs[0])).toEqual([
      atMs + 12 * HOUR_MS,
      atMs + 24 * HOUR_MS,
    ]);
  });
});

describe('the latest lay-up', () => {
  test('in warmth it is the quarter of an hour before the hours are counted back', () => {
    const plan = planOf('polyester-laminate', { air: steadyAir(15_000) });
    expect(latestLayUp(plan, 'hydro', NOW_MS + 30 * HOUR_MS)).toBe(NOW_MS + 6 * HOUR_MS);
    expect(latestLayUp(plan, 'hydro', NOW_MS + 30 * HOUR_MS + 60_000)).toBe(NOW_MS + 6 * HOUR_MS);
    expect(latestLayUp(plan, 'hydro', NOW_MS + 30 * HOUR_MS - 60_000)).toBe(NOW_MS + 6 * HOUR_MS - QUARTER_MS);
    expect(latestLayUp(plan, 'stress', NOW_MS + 30 * HOUR_MS)).toBe(NOW_MS + 18 * HOUR_MS);
  });

  test('not before the present', () => {
    const plan = planOf('polyester-laminate', { air: steadyAir(15_000) });
    expect(latestLayUp(plan, 'hydro', NOW_MS + 24 * HOUR_MS)).toBe(NOW_MS);
    expect(latestLayUp(plan, 'hydro', NOW_MS + 24 * HOUR_MS - 1)).toBeNull();
    const between = planOf('polyester-laminate', { air: steadyAir(15_000), nowMs: NOW_MS + 60_000 });
    expect(latestLayUp(between, 'hydro', NOW_MS + 24 * HOUR_MS + 2 * 60_000)).toBeNull();
  });

  test('with unsure weather: it is safe then, and at no later quarter of an hour', () => {
    const plan = planOf('polyester-laminate', { ...UNSURE, air: dailyAir(11_000, 5000) });
    const byMs = NOW_MS + 61 * HOUR_MS;
    const atMs = latestLayUp(plan, 'hydro', byMs) as number;
    expect(atMs).toBeGreaterThan(NOW_MS);
    expect(atMs % QUARTER_MS).toBe(0);
    expect(chanceOf(plan, atMs, 'hydro', byMs)).toBeGreaterThanOrEqual(0.9);
    for (let later = atMs + QUARTER_MS; later < byMs - 23 * HOUR_MS; later += QUARTER_MS)
      expect(chanceOf(plan, later, 'hydro', byMs)).toBeLessThan(0.9);
    expect(latestLayUp(plan, 'hydro', byMs, 0.5) as number).toBeGreaterThan(atMs);
  });

  test('a later hour may do where the present does not: warm material cools more slowly once the frost is over', () => {
    const air = { ...steadyAir(0), milliC: [...new Array<number>(12).fill(-10_000), 4000] };
    const stages = [{ stage: 'stress', requiredPpmMs: requiredPpmMs(4) }];
    const plan = planOf('polyester-laminate', { air, stages });
    const byMs = NOW_MS + 36 * HOUR_MS;
    expect(chanceOf(plan, NOW_MS, 'stress', byMs)).toBe(0);
    expect(latestLayUp(plan, 'stress', byMs) as number).toBeGreaterThan(NOW_MS + 12 * HOUR_MS);
  });
});

describe('material in an unheated truck', () => {
  const pastOf = (hours: number, celsiusBefore: (hours: number) => number | null): AirRecord => {
    const milliC = Array.from({ length: hours * 6 + 1 }, (_, index) => {
      const celsius = celsiusBefore(hours - index / 6);
      return celsius === null ? null : Math.round(celsius * 1000);
    });
    return { fromMs: NOW_MS - hours * HOUR_MS, stepMs: 600_000, milliC, humidityMilliPercent: milliC.map(() => null) };
  };

  test('is as warm as steady air', () => {
    for (const atMs of [NOW_MS, NOW_MS + 20 * HOUR_MS])
      expect(
        storedMilliC(
          steadyAir(7000),
          pastOf(48, () => 7),
          NOW_MS,
          atMs,
        ),
      ).toBe(7000);
    expect(storedMilliC(steadyAir(7000), null, NOW_MS, NOW_MS + 5 * HOUR_MS)).toBe(7000);
  });

  test('a step is followed to 1/e in six hours, holes in the record notwithstanding', () => {
    // Six hours ago the air fell from 20 °C to 0 °C, within ten minutes.
    const past = pastOf(48, (before) => (before > 5.95 ? (before > 20 && before < 22 ? null : 20) : 0));
    const now = storedMilliC(steadyAir(0), past, NOW_MS, NOW_MS);
    expect(Math.abs(now - 20_000 / Math.E)).toBeLessThan(120);
    expect(Math.abs(storedMilliC(steadyAir(0), past, NOW_MS, NOW_MS + 6 * HOUR_MS) - now / Math.E)).toBeLessThan(2);
  });

  test('of a daily swing it keeps what a first-order lag of 6 h leaves', () => {
    const swing = Array.from({ length: 49 }, (_, hour) =>
      storedMilliC(
        dailyAir(5000, 5000),
        pastOf(48, (before) => 5 + 5 * Math.cos((2 * Math.PI * before) / 24)),
        NOW_MS,
        NOW_MS + hour * HOUR_MS,
      ),
    );
    // [C] gain .5370, lag 3.835 h.
    const { gain, lagMs } = gainAndLag(24 * HOUR_MS, 6 * HOUR_MS);
    expect(gain).toBeCloseTo(0.537, 3);
    expect(lagMs / HOUR_MS).toBeCloseTo(3.835, 3);
    swing.forEach((milliC, hour) => {
      const expected = 5000 + 5000 * gain * Math.cos((2 * Math.PI * (hour - lagMs / HOUR_MS)) / 24);
      expect(Math.abs(milliC - expected)).toBeLessThan(60);
    });
  });
});

describe('conditioning', () => {
  const use = { minMilliC: 15_600, maxMilliC: 21_100 };

  test('none is needed within the range, its ends included', () => {
    for (const milliC of [15_600, 18_000, 21_100]) expect(conditionHours(milliC, use, 30_000)).toBe(0);
  });

  test('a warmer room does it, a room no warmer than the range never', () => {
    // [C] 6·ln(20/4.4).
    expect(conditionHours(0, use, 20_000)).toBeCloseTo(6 * Math.log(20 / 4.4), 9);
    for (const room of [-5000, 0, 5000, 15_599, 15_600]) expect(conditionHours(0, use, room)).toBeNull();
    expect(conditionHours(30_000, use, 18_000)).toBeCloseTo(6 * Math.log(12 / 3.1), 9);
    for (const room of [21_100, 25_000, 30_000, 35_000]) expect(conditionHours(30_000, use, room)).toBeNull();
  });

  test('after those hours in the room it is at the edge of the range', () => {
    fc.assert(
      fc.property(fc.integer({ min: -20_000, max: 40_000 }), fc.integer({ min: -10_000, max: 40_000 }), (stored, room) => {
        const hours = conditionHours(stored, use, room);
        if (hours === null || hours === 0) return;
        const edge = stored < use.minMilliC ? use.minMilliC : use.maxMilliC;
        expect(lagged(stored, room, room, hours * HOUR_MS, 6 * HOUR_MS)).toBeCloseTo(edge, 5);
      }),
    );
  });
});
