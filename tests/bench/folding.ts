// Readings folded a second, in memory: two laminate histories of one reading a minute, with and without company.

import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import { type FoldSpec, foldAll } from '../../edge/cure/fold.ts';
import { compileRateTable } from '../../edge/cure/rateTable.ts';
import { requiredPpmMs, type Schedule } from '../../edge/cure/schedule.ts';
import { median, print } from './table.ts';

const READINGS = 1_000_000;
const ROUNDS = 7;

export function folding(): void {
  const schedule = builtInSchedules[0] as Schedule;
  const atMs = Float64Array.from({ length: READINGS }, (_, index) => index * 60_000);
  const milliC = Int32Array.from({ length: READINGS }, (_, index) => 8_000 + Math.round(Math.sin(index / 700) * 4_000));
  for (const probes of [1, 2]) {
    const spec: FoldSpec = {
      startMs: 0,
      gapLimitMs: 900_000,
      ambientStandIn: false,
      table: compileRateTable(schedule),
      lanes: Array.from({ length: probes }, (_, lane) => ({
        probe: `p${lane}`,
        role: 'material',
        guardMilliC: 500,
        fromMs: Number.NEGATIVE_INFINITY,
        untilMs: Number.POSITIVE_INFINITY,
      })),
      stages: schedule.stages.map(({ stage, requiredHours }) => ({ stage, requiredPpmMs: requiredPpmMs(requiredHours) })),
    };
    const perSecond = median(
      Array.from({ length: ROUNDS }, () => {
        const startedMs = performance.now();
        foldAll(
          spec,
          spec.lanes.map(() => ({ atMs, milliC })),
        );
        return (READINGS * probes * 1000) / (performance.now() - startedMs);
      }),
    );
    print({
      what: `readings folded, ${probes} probe${probes > 1 ? 's' : ''} a joint, median of ${ROUNDS}`,
      figure: `${(perSecond / 1e6).toFixed(1)} M/s`,
      goal: { text: '≥ 10 M/s', met: perSecond >= 10e6 },
    });
  }
}
