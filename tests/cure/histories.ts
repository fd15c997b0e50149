import fc from 'fast-check';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import type { FoldSpec, Lane } from '../../edge/cure/fold.ts';
import { compileRateTable, type RateTable } from '../../edge/cure/rateTable.ts';

/** One reading as it reaches the program: which probe, when, and the calibrated value. */
export interface Reading {
  readonly probe: string;
  readonly atMs: number;
  /** m%RH of a humidity. */
  readonly milliC: number;
}

export interface History {
  readonly spec: FoldSpec;
  /** In time order within each probe, no instant twice. */
  readonly readings: readonly Reading[];
}

export const START_MS = Date.UTC(2026, 0, 15, 14, 30);

const moistTables: readonly RateTable[] = [
  ...builtInSchedules.filter(({ law }) => law.kind === 'moisture').map(compileRateTable),
  { floorMilliC: 4000, topMilliC: 4200, ratesPpm: [1, 1_000_000, 2_500_000], referenceHumidityMilliPercent: 50_000 },
];
const dryTables: readonly RateTable[] = [
  ...builtInSchedules.filter(({ law }) => law.kind !== 'moisture').map(compileRateTable),
  { floorMilliC: 0, topMilliC: 0, ratesPpm: [1_000_000] },
  { floorMilliC: 4000, topMilliC: 4200, ratesPpm: [1, 333_333, 1_000_000] },
];

/** Values around floors and references, so that ties and boundaries are common, with free ones between. */
const milliCs = fc.oneof(
  { weight: 2, arbitrary: fc.constantFrom(-1, 0, 3999, 4000, 4999, 5000, 5001, 7350, 9999, 10_000, 15_600, 18_000) },
  { weight: 3, arbitrary: fc.integer({ min: -5000, max: 25_000 }) },
);

/** Likewise of humidities, m%RH, with the reference of the built-in sealant. */
const milliPercents = fc.oneof(
  { weight: 1, arbitrary: fc.constantFrom(0, 499, 500, 50_000, 49_999, 50_500, 100_000, 100_400) },
  { weight: 3, arbitrary: fc.integer({ min: 5000, max: 100_000 }) },
);

/** Steps between a probe's readings, with the gap limit and its neighbours well represented. */
const stepsMs = (gapLimitMs: number) =>
  fc.oneof(
    { weight: 4, arbitrary: fc.integer({ min: 1, max: gapLimitMs }) },
    { weight: 2, arbitrary: fc.constantFrom(Math.max(1, gapLimitMs - 1), gapLimitMs, gapLimitMs + 1) },
    { weight: 1, arbitrary: fc.integer({ min: gapLimitMs + 1, max: 4 * gapLimitMs }) },
  );

/** A probe with its readings, and the lanes that stand for it: one, or two that meet at a change of its settings. */
const probes = (gapLimitMs: number, role: Lane['role'], name: string) =>
  fc
    .record({
      guards: fc.tuple(fc.integer({ min: 0, max: 1500 }), fc.constantFrom(0, 500)),
      firstMs: fc.integer({ min: -2 * gapLimitMs, max: 3 * gapLimitMs }),
      steps: fc.array(fc.tuple(stepsMs(gapLimitMs), role === 'humidity' ? milliPercents : milliCs), {
        minLength: 1,
        maxLength: 14,
      }),
      cut: fc.option(fc.integer({ min: -gapLimitMs, max: 12 * gapLimitMs }), { freq: 3 }),
      until: fc.option(fc.integer({ min: -gapLimitMs, max: 14 * gapLimitMs }), { freq: 3 }),
    })
    .map(({ guards, firstMs, steps, cut, until }) => {
      let atMs = START_MS + firstMs;
      const readings = steps.map(([stepMs, milliC]): Reading => {
        atMs += stepMs;
        return { probe: name, atMs, milliC };
      });
      const untilMs = until === null ? Number.POSITIVE_INFINITY : START_MS + until;
      const whole: Lane = { probe: name, role, guardMilliC: guards[0], fromMs: Number.NEGATIVE_INFINITY, untilMs };
      const cutMs = cut === null ? untilMs : START_MS + cut;
      const lanes =
        cutMs < untilMs
          ? [
              { ...whole, untilMs: cutMs },
              { ...whole, guardMilliC: guards[1], fromMs: cutMs },
            ]
          : [whole];
      return { readings, lanes };
    });

/** Random cure histories: material probes, ambient ones, humidities; gaps, windows, readings before the start. */
export const histories: fc.Arbitrary<History> = fc
  .record({
    // A few milliseconds make instants of different probes coincide; the others are settings of real schedules.
    gapLimitMs: fc.constantFrom(6, 60_000, 900_000),
    kind: fc.oneof(
      {
        weight: 3,
        arbitrary: fc.record({
          table: fc.constantFrom(...dryTables),
          materialCount: fc.integer({ min: 1, max: 4 }),
          ambientCount: fc.integer({ min: 0, max: 2 }),
          humidityCount: fc.constantFrom(0, 0, 1),
        }),
      },
      {
        weight: 2,
        arbitrary: fc.record({
          table: fc.constantFrom(...moistTables),
          materialCount: fc.integer({ min: 0, max: 2 }),
          ambientCount: fc.integer({ min: 1, max: 2 }),
          humidityCount: fc.integer({ min: 1, max: 2 }),
        }),
      },
    ),
    ambientStandIn: fc.boolean(),
    stages: fc.array(fc.double({ min: 0.001, max: 1, noNaN: true }), { minLength: 1, maxLength: 3 }),
  })
  .chain(({ gapLimitMs, kind: { table, materialCount, ambientCount, humidityCount }, ambientStandIn, stages }) => {
    const material = Array.from({ length: materialCount }, (_, index) => probes(gapLimitMs, 'material', `m${index + 1}`));
    const ambient = Array.from({ length: ambientCount }, (_, index) => probes(gapLimitMs, 'ambient', `a${index + 1}`));
    const humidity = Array.from({ length: humidityCount }, (_, index) => probes(gapLimitMs, 'humidity', `h${index + 1}`));
    return fc.tuple(...material, ...ambient, ...humidity).map(
      (all): History => ({
        spec: {
          startMs: START_MS,
          gapLimitMs,
          ambientStandIn,
          table,
          lanes: all.flatMap((probe) => probe.lanes),
          stages: stages.map((share, index) => ({
            stage: `stage-${index + 1}`,
            requiredPpmMs: Math.ceil(share * 6 * gapLimitMs * 1_000_000),
          })),
        },
        readings: all.flatMap((probe) => probe.readings),
      }),
    );
  });

/** Histories of one material probe that keeps its settings. */
export const singleProbeHistories: fc.Arbitrary<History> = fc
  .record({ gapLimitMs: fc.constantFrom(6, 60_000, 900_000), table: fc.constantFrom(...dryTables) })
  .chain(({ gapLimitMs, table }) =>
    probes(gapLimitMs, 'material', 'm1').map(
      ({ readings, lanes }): History => ({
        spec: {
          startMs: START_MS,
          gapLimitMs,
          ambientStandIn: false,
          table,
          lanes: [{ ...(lanes[0] as Lane), untilMs: Number.POSITIVE_INFINITY }],
          stages: [{ stage: 'stress', requiredPpmMs: gapLimitMs * 1_000_000 }],
        },
        readings,
      }),
    ),
  );
