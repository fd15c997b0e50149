import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { EpisodeKind } from '../../../edge/cure/inspect/episode.ts';
import { type InspectedPiece, type InspectSpec, inspect, MOST_OF_A_KIND } from '../../../edge/cure/inspect/inspect.ts';
import {
  every,
  GAP_LIMIT_MS,
  HOUR_MS,
  MINUTE_MS,
  OPEN_MS,
  piece,
  type Readings,
  type Sent,
  START_MS,
  seriesOf,
  specOf,
  unproven,
} from './joints.ts';

/** Readings in stretches of one step and slope, with a hole before each: long enough for what has to last for hours. */
const temperatures: fc.Arbitrary<Readings> = fc
  .array(
    fc.record({
      holeMinutes: fc.constantFrom(0, 3, 15, 16, 90),
      stepMinutes: fc.constantFrom(1, 4, 10),
      count: fc.integer({ min: 1, max: 60 }),
      milliC: fc.constantFrom(2000, 8000, 8200, 14_000, 61_000, 85_000),
      slope: fc.constantFrom(0, 0, 20, -30, 300),
    }),
    { maxLength: 6 },
  )
  .chain((stretches) =>
    fc.integer({ min: -40, max: 40 }).map((firstMinute) => {
      let minute = firstMinute;
      return stretches.flatMap(({ holeMinutes, stepMinutes, count, milliC, slope }) => {
        minute += holeMinutes;
        return Array.from({ length: count }, (_, index) => {
          minute += stepMinutes;
          return [OPEN_MS + minute * MINUTE_MS, milliC + index * slope] as const;
        });
      });
    }),
  );

/** Air that warms by 6 °C in eight hours. */
const warmingAir: fc.Arbitrary<Readings> = fc
  .integer({ min: -60, max: 60 })
  .map((minute) =>
    every(
      5 * MINUTE_MS,
      OPEN_MS + minute * MINUTE_MS,
      OPEN_MS + minute * MINUTE_MS + 8 * HOUR_MS,
      (ms) => (ms - OPEN_MS) / 4800 + 8000,
    ),
  );

const sparse = (...values: number[]): fc.Arbitrary<Readings> =>
  fc.array(fc.tuple(fc.integer({ min: 1, max: 60 }), fc.constantFrom(...values)), { maxLength: 10 }).map((steps) => {
    let minute = -30;
    return steps.map(([minutes, value]) => {
      minute += minutes;
      return [OPEN_MS + minute * MINUTE_MS, value] as const;
    });
  });

const sent = (probe: string, role: 'material' | 'ambient'): fc.Arbitrary<Sent> =>
  fc.record({
    probe: fc.constant(probe),
    role: fc.constant(role),
    digital: fc.boolean(),
    milliC: role === 'ambient' ? fc.oneof(temperatures, warmingAir) : temperatures,
    humidity:
      role === 'ambient'
        ? temperatures.map((all) => all.map(([ms], index) => [ms, 50_000 + index * 200] as const))
        : fc.constant([]),
    batteryPercent: sparse(10_000, 19_999, 20_000, 90_000),
    batteryVolts: sparse(2800, 3000, 3300),
    offCurveMs: sparse(0).map((all) => all.map(([ms]) => ms)),
    batteryLowMilliVolts: fc.constantFrom(2900, 3100),
  });

const pieces: fc.Arbitrary<InspectedPiece[]> = fc
  .array(
    fc.record({
      minutes: fc.constantFrom(1, 15, 16, 100),
      sort: fc.constantFrom('warm', 'slow', 'cold', 'unproven'),
    }),
    { maxLength: 12 },
  )
  .map((all) => {
    let fromMs = START_MS;
    return all.map(({ minutes, sort }) => {
      const toMs = fromMs + minutes * MINUTE_MS;
      const made =
        sort === 'unproven'
          ? unproven(fromMs, toMs)
          : piece(fromMs, toMs, {
              milliC: sort === 'warm' ? 12_000 : sort === 'cold' ? 3000 : 8000,
              ratePpm: sort === 'cold' ? 0 : sort === 'warm' ? 1_000_000 : 700_000,
              uncredited: sort === 'cold' ? 'cold' : null,
            });
      fromMs = toMs;
      return made;
    });
  });

/** A material probe that hangs in the air. */
const beside = (material: Sent, ambient: Sent): Sent => ({
  ...material,
  milliC: (ambient.milliC ?? []).map(([ms, milliC]) => [ms, milliC + 100]),
});

const hours = (max: number) => fc.integer({ min: -1, max: max * 4 }).map((quarters) => (quarters * HOUR_MS) / 4);

const specs: fc.Arbitrary<InspectSpec> = fc
  .record({
    series: fc.tuple(sent('m1', 'material'), sent('m2', 'material'), sent('a1', 'ambient'), sent('m3', 'material')),
    count: fc.constantFrom(0, 1, 2, 3, 4, 4, 4, 4),
    follows: fc.boolean(),
    pieces,
    start: fc.boolean(),
    hasGelStage: fc.boolean(),
    gel: fc.option(hours(4)),
    done: fc.option(hours(16)),
    now: hours(24),
    hot: fc.option(fc.constant(60_000), { freq: 5 }),
    proof: fc.option(fc.constant({ milliC: 10_000, toleratedMs: 7_200_000 }), { freq: 5 }),
  })
  .map(({ series: [first, ...others], count, follows, pieces: settled, start, hasGelStage, gel, done, now, hot, proof }) =>
    specOf({
      series: [follows ? beside(first, others[1]) : first, ...others].slice(0, count).map(seriesOf),
      pieces: start ? settled : [],
      startMs: start ? START_MS : null,
      hasGelStage,
      gelMs: !hasGelStage || !start || gel === null ? null : START_MS + gel,
      doneMs: !start || done === null ? null : START_MS + done,
      nowMs: START_MS + Math.max(now, done ?? now),
      hotAboveMilliC: hot,
      proofBelow: proof,
    }),
  );

describe('any history', () => {
  test('episodes lie within the watch, in order, at most 20 of a kind, their evidence in whole numbers', () => {
    const seen = new Set<EpisodeKind>();
    fc.assert(
      fc.property(specs, (spec) => {
        const episodes = inspect(spec);
        const endMs = spec.doneMs ?? spec.nowMs;
        episodes.forEach(({ kind, fromMs, toMs, numbers }, index) => {
          seen.add(kind);
          expect(fromMs).toBeGreaterThanOrEqual(Math.max(spec.openMs, episodes[index - 1]?.fromMs ?? spec.openMs));
          expect(toMs ?? endMs).toBeGreaterThanOrEqual(fromMs);
          expect(toMs ?? endMs).toBeLessThanOrEqual(endMs);
          if (spec.doneMs !== null) expect(toMs).not.toBeNull();
          for (const value of Object.values(numbers)) expect(Number.isSafeInteger(value)).toBe(true);
          expect(episodes.filter((other) => other.kind === kind).length).toBeLessThanOrEqual(MOST_OF_A_KIND);
        });
      }),
      { numRuns: 600 },
    );
    // Otherwise the properties of this file would say nothing about what was never found.
    expect([...seen].sort()).toEqual([
      ...['apart', 'battery-low', 'below-proof', 'cold-before-gel', 'detached', 'dew-risk', 'frozen', 'gap', 'hot-joint', 'jump'],
      ...['off-curve', 'sentinel'],
    ]);
  });

  test('the order of the series makes no difference', () => {
    const shuffled = specs.chain((spec) =>
      fc.tuple(fc.constant(spec), fc.shuffledSubarray([...spec.series], { minLength: spec.series.length })),
    );
    let several = 0;
    fc.assert(
      fc.property(shuffled, ([spec, series]) => {
        const episodes = inspect(spec);
        expect(inspect({ ...spec, series })).toEqual(episodes);
        if (episodes.length > 1 && series.some((own, index) => own !== spec.series[index])) several++;
      }),
      { numRuns: 300 },
    );
    expect(several).toBeGreaterThan(50);
  });

  test('what comes after the last stage makes no difference', () => {
    let cutOff = 0;
    fc.assert(
      fc.property(specs, hours(12), (spec, earlierMs) => {
        const doneMs = spec.nowMs - Math.abs(earlierMs);
        const until = (readings: { atMs: ArrayLike<number> }) => Array.from(readings.atMs).filter((ms) => ms <= doneMs).length;
        const first = (all: ArrayLike<number>, count: number) => Array.from(all).slice(0, count);
        const series = spec.series.map((own) => ({
          ...own,
          temperature: {
            atMs: first(own.temperature.atMs, until(own.temperature)),
            milliC: first(own.temperature.milliC, until(own.temperature)),
          },
          humidity: {
            atMs: first(own.humidity.atMs, until(own.humidity)),
            milliPercent: first(own.humidity.milliPercent, until(own.humidity)),
          },
          batteryPercent: {
            atMs: first(own.batteryPercent.atMs, until(own.batteryPercent)),
            milliPercent: first(own.batteryPercent.milliPercent, until(own.batteryPercent)),
          },
          batteryVolts: {
            atMs: first(own.batteryVolts.atMs, until(own.batteryVolts)),
            milliVolts: first(own.batteryVolts.milliVolts, until(own.batteryVolts)),
          },
          offCurveMs: Array.from(own.offCurveMs).filter((ms) => ms <= doneMs),
        }));
        const settled = spec.pieces.filter((own) => own.fromMs < doneMs);
        expect(inspect({ ...spec, doneMs, series, pieces: settled })).toEqual(inspect({ ...spec, doneMs }));
        if (series.some((own, index) => own.temperature.atMs.length < (spec.series[index]?.temperature.atMs.length ?? 0)))
          cutOff++;
      }),
      { numRuns: 300 },
    );
    expect(cutOff).toBeGreaterThan(50);
  });
});

describe('little to look at', () => {
  test('no series, empty series, before the last ply', () => {
    expect(inspect(specOf())).toEqual([]);
    const series = [seriesOf({}), seriesOf({ probe: 'a1', role: 'ambient' })];
    expect(inspect(specOf({ series }))).toEqual([]);
    expect(inspect(specOf({ series, startMs: null, pieces: [] }))).toEqual([]);
    expect(inspect(specOf({ series, nowMs: OPEN_MS - 1, pieces: [] }))).toEqual([]);
  });

  test('one reading of each', () => {
    const series = [
      seriesOf({ milliC: [[START_MS, 12_000]], batteryPercent: [[START_MS, 50_000]] }),
      seriesOf({ probe: 'a1', role: 'ambient', milliC: [[START_MS, 9000]], humidity: [[START_MS, 60_000]] }),
    ];
    expect(inspect(specOf({ series }))).toEqual([]);
    expect(inspect(specOf({ series, pieces: [], nowMs: START_MS + GAP_LIMIT_MS }))).toEqual([]);
  });
});

test('of many of a kind the first 20 are listed, the last of them says how many follow', () => {
  const count = 33;
  const settled = Array.from({ length: count }, (_, index) => {
    const fromMs = START_MS + index * HOUR_MS;
    return [unproven(fromMs, fromMs + HOUR_MS / 2), piece(fromMs + HOUR_MS / 2, fromMs + HOUR_MS)];
  }).flat();
  const episodes = inspect(specOf({ pieces: settled, nowMs: START_MS + count * HOUR_MS }));
  expect(episodes).toHaveLength(MOST_OF_A_KIND);
  expect(episodes.map((episode) => episode.fromMs)).toEqual(
    Array.from({ length: MOST_OF_A_KIND }, (_, index) => START_MS + index * HOUR_MS),
  );
  expect(episodes.map((episode) => episode.numbers.more)).toEqual([...new Array(MOST_OF_A_KIND - 1).fill(undefined), 13]);
});
