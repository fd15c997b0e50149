import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { ratePpmAt } from '../../edge/cure/rateTable.ts';
import { foldReadings } from './caller.ts';
import { histories } from './histories.ts';
import { naiveFold, naiveRatePpm } from './naiveFold.ts';

describe('the fold against the same rules written a second time', () => {
  test('credit, cold, unproven and provisional time, the frontier, and every stage with its proof', () => {
    const seen = { credit: 0, cold: 0, unproven: 0, provisional: 0, stages: 0, moist: 0 };
    fc.assert(
      fc.property(histories, ({ spec, readings }) => {
        const { state } = foldReadings(spec, readings);
        const naive = naiveFold(spec, readings);
        expect({
          frontierMs: state.frontierMs,
          creditPpmMs: BigInt(state.creditPpmMs),
          provisionalPpmMs: BigInt(state.provisionalPpmMs),
          coldMs: state.coldMs,
          unprovenMs: state.unprovenMs,
        }).toEqual({
          frontierMs: naive.frontierMs,
          creditPpmMs: naive.creditPpmMs,
          provisionalPpmMs: naive.provisionalPpmMs,
          coldMs: naive.coldMs,
          unprovenMs: naive.unprovenMs,
        });

        const byName = [...state.reached].sort((a, b) => a.stage.localeCompare(b.stage));
        expect(byName.map(({ stage, reachedAtMs, provisionalPpmMs }) => ({ stage, reachedAtMs, provisionalPpmMs }))).toEqual(
          naive.reached.map(({ stage, reachedAtMs, provisionalPpmMs }) => ({
            stage,
            reachedAtMs,
            provisionalPpmMs: Number(provisionalPpmMs),
          })),
        );
        byName.forEach(({ provenBy }, index) => {
          expect(naive.reached[index]?.provers).toContainEqual(provenBy);
        });

        seen.credit += state.creditPpmMs > 0 ? 1 : 0;
        seen.cold += state.coldMs > 0 ? 1 : 0;
        seen.unproven += state.unprovenMs > 0 ? 1 : 0;
        seen.provisional += state.provisionalPpmMs > 0 ? 1 : 0;
        seen.stages += state.reached.length;
        seen.moist += spec.table.referenceHumidityMilliPercent !== undefined && state.creditPpmMs > 0 ? 1 : 0;
      }),
      { numRuns: 4000 },
    );
    // Every kind of time came up often enough for the comparison to mean something.
    for (const count of Object.values(seen)) expect(count).toBeGreaterThan(100);
  });

  test('the rate at every whole m°C around a table', () => {
    fc.assert(
      fc.property(histories, fc.integer({ min: -3000, max: 101_000 }), ({ spec: { table } }, humidity) => {
        for (let milliC = table.floorMilliC - 3; milliC <= table.topMilliC + 3; milliC++)
          if (BigInt(ratePpmAt(table, milliC, humidity)) !== naiveRatePpm(table, milliC, humidity))
            throw new Error(`${ratePpmAt(table, milliC, humidity)} ppm at ${milliC} m°C and ${humidity} m%RH`);
      }),
      { numRuns: 50 },
    );
  });
});
