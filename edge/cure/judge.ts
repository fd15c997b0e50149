import { type Fold, type FoldSpec, foldAll, type Lane, type LaneReadings } from './fold.ts';
import { compileRateTable, type RateTable } from './rateTable.ts';
import { requiredPpmMs, type Schedule, stagesFor } from './schedule.ts';

/** One source of readings: in time order, UTC ms; values calibrated, no guard band taken off. */
export interface JudgedSource {
  readonly name: string;
  readonly role: Lane['role'];
  /** m°C (m%RH of a humidity). */
  readonly guardMilliC: number;
  readonly readings: LaneReadings;
}

export interface Judged {
  readonly table: RateTable;
  readonly fold: Fold;
}

/** Folds whole histories against a schedule, away from any site: for a logger's file, and to see what another schedule would say. */
export function judge(
  schedule: Schedule,
  sources: readonly JudgedSource[],
  options: { readonly startMs: number; readonly gapLimitMs: number; readonly beadMillimetres?: number | null },
): Judged {
  const table = compileRateTable(schedule);
  const { startMs, gapLimitMs, beadMillimetres = null } = options;
  const spec: FoldSpec = {
    startMs,
    gapLimitMs,
    ambientStandIn: schedule.ambientStandIn,
    table,
    lanes: sources.map(({ name, role, guardMilliC }) => ({
      probe: name,
      role,
      guardMilliC,
      fromMs: Number.NEGATIVE_INFINITY,
      untilMs: Number.POSITIVE_INFINITY,
    })),
    stages: stagesFor(schedule, beadMillimetres).map(({ stage, requiredHours }) => ({
      stage,
      requiredPpmMs: requiredPpmMs(requiredHours),
    })),
  };
  return {
    table,
    fold: foldAll(
      spec,
      sources.map(({ readings }) => readings),
    ),
  };
}
