import fc from 'fast-check';
import { expect, test } from 'vitest';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import { foldAll } from '../../edge/cure/fold.ts';
import { HOUR_MS, requiredPpmMs, type Schedule } from '../../edge/cure/schedule.ts';
import { compiled, rateCurve, stageHours } from '../../web/pages/schedules/preview.ts';
import { type Held, HORIZON_HOURS, whatIf } from '../../web/pages/schedules/whatIf.ts';

const START_MS = Date.UTC(2026, 0, 15, 20, 0);
const MINUTE_MS = 60_000;

const named = (name: string) => compiled(builtInSchedules.find((schedule) => schedule.name === name) as Schedule);
const polyester = named('polyester-laminate');
const sealant = named('sealant-bead');
const still: Held = {
  startMs: START_MS,
  celsius: 20,
  humidityPercent: 50,
  guardCelsius: 0,
  guardPercent: 0,
  beadMillimetres: null,
};

/** Hours after the lay-up, by stage. */
const hoursOf = (rules: typeof polyester, held: Partial<Held>) =>
  Object.fromEntries(
    whatIf(rules, { ...still, ...held }).map(({ stage, reachedAtMs }) => [
      stage,
      typeof reachedAtMs === 'number' ? (reachedAtMs - START_MS) / HOUR_MS : reachedAtMs,
    ]),
  );

test('at the reference an hour is an hour, below the floor none is', () => {
  expect(hoursOf(polyester, { celsius: 20 })).toMatchObject({ stress: 12, hydro: 24 });
  // The guard band comes off first: 10 °C and 0.5 °C on top.
  expect(hoursOf(polyester, { celsius: 10.5, guardCelsius: 0.5 })).toMatchObject({ stress: 12, hydro: 24 });
  expect(hoursOf(polyester, { celsius: 5.4, guardCelsius: 0.5 })).toEqual({
    tack: 'never',
    gel: 'never',
    stress: 'never',
    hydro: 'never',
  });
  expect(hoursOf(polyester, { celsius: 5.5, guardCelsius: 0.5 }).stress).toBeGreaterThan(12);
});

test('60 kJ/mol at 5 °C against 10 °C, from the rates relative to 20 °C: .2651 and .4192', () => {
  const expected = 12 / (0.2651 / 0.4192);
  expect(hoursOf(polyester, { celsius: 5 }).stress).toBeCloseTo(expected, 1);
  const shown = stageHours(polyester, 5, 50, null).find(({ stage }) => stage === 'stress');
  expect(shown?.hours).toBeCloseTo(expected, 1);
});

test('a sealant asks for temperature and humidity, and four times the hours for twice the depth', () => {
  expect(hoursOf(sealant, {})).toEqual({ stress: 12, hydro: 24 });
  expect(hoursOf(sealant, { humidityPercent: 25 })).toEqual({ stress: 24, hydro: 48 });
  expect(hoursOf(sealant, { humidityPercent: 28, guardPercent: 3 })).toEqual({ stress: 24, hydro: 48 });
  // 6 mm from 3 mm a day: 96 h by the square root of time.
  expect(hoursOf(sealant, { beadMillimetres: 6 })).toEqual({ stress: 12, hydro: 96 });
});

test('what lies past the horizon is not promised', () => {
  const stages = hoursOf(sealant, { celsius: 5, humidityPercent: 5, beadMillimetres: 30 });
  expect(stages.hydro).toBe('beyond');
  expect(stages.stress).toBeLessThan(HORIZON_HOURS);
});

test('the few readings of a plan prove what a reading a minute would', () => {
  fc.assert(
    fc.property(fc.integer({ min: 5_000, max: 20_000 }), fc.integer({ min: 0, max: 900 }), (milliC, guardMilliC) => {
      fc.pre(milliC - guardMilliC >= 5_000);
      const atMs = Array.from({ length: 60 * 45 }, (_, minute) => START_MS + minute * MINUTE_MS);
      const { reached } = foldAll(
        {
          startMs: START_MS,
          gapLimitMs: 15 * MINUTE_MS,
          ambientStandIn: false,
          table: polyester.table,
          lanes: [
            { probe: 'p', role: 'material', guardMilliC, fromMs: Number.NEGATIVE_INFINITY, untilMs: Number.POSITIVE_INFINITY },
          ],
          stages: polyester.schedule.stages.map(({ stage, requiredHours }) => ({
            stage,
            requiredPpmMs: requiredPpmMs(requiredHours),
          })),
        },
        [{ atMs, milliC: atMs.map(() => milliC) }],
      ).state;
      const planned = whatIf(polyester, { ...still, celsius: milliC / 1000, guardCelsius: guardMilliC / 1000 });
      for (const { stage, reachedAtMs } of reached)
        expect(planned.find((each) => each.stage === stage)?.reachedAtMs).toBe(reachedAtMs);
      expect(reached).toHaveLength(2);
    }),
    { numRuns: 25 },
  );
});

test('the curve stands upright at the floor and never leaves 0 to 1', () => {
  for (const rules of [polyester, sealant, named('laminate-strict')]) {
    const floorCelsius = rules.table.floorMilliC / 1000;
    const points = rateCurve(rules.table, -10, 40, 90);
    const atFloor = points.filter(({ celsius }) => celsius === floorCelsius).map(({ rate }) => rate);
    expect(atFloor[0]).toBe(0);
    expect(atFloor.at(-1)).toBeGreaterThan(0.1);
    for (const { celsius, rate } of points) {
      if (celsius < floorCelsius) expect(rate).toBe(0);
      expect(rate).toBeGreaterThanOrEqual(0);
      expect(rate).toBeLessThanOrEqual(1);
    }
    const rising = points.map(({ celsius }) => celsius);
    expect(rising).toEqual(rising.toSorted((a, b) => a - b));
  }
});
