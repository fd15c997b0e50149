import type { Lane } from '../../cure/fold.ts';
import { HOUR_MS } from '../../cure/schedule.ts';
import type { JointSpec } from '../../site/cureSpec.ts';
import type { Feed } from '../../site/feed.ts';
import { type Counts, type ReadingSource, valuesOf } from '../values.ts';
import { onGrid } from './grid.ts';
import { RECORD_MS, RECORD_STEP_MS } from './siteAir.ts';

/** Fresh material warms itself: for so long after the last ply or pour its temperature says nothing about its air. Our own choice. */
export const WARMS_ITSELF_MS = 4 * HOUR_MS;

/** The temperature that a joint's credit follows. */
export interface JointRecord {
  readonly fromMs: number;
  readonly stepMs: number;
  /** At the instants of the grid: the lowest of its probes (guard band of each taken off), with the guard band of the newest added; m°C. */
  readonly milliC: readonly (number | null)[];
  readonly guardMilliC: number;
  /** Newest reading of what is on it at the end; null: that has said nothing in these two days, whatever was on it before. */
  readonly newest: { readonly atMs: number; readonly milliC: number } | null;
}

/** What a joint's own lanes of a role said in the last two days; null where they said nothing. */
export function jointRecord(
  spec: JointSpec,
  role: Lane['role'],
  readings: ReadingSource,
  counts: Counts,
  nowMs: number,
): JointRecord | null {
  const fromMs = nowMs - RECORD_MS;
  const grid = { fromMs, stepMs: RECORD_STEP_MS, count: RECORD_MS / RECORD_STEP_MS + 1 };
  const lanes = spec.lanes.flatMap((lane, index) => {
    if (lane.role !== role || lane.untilMs <= fromMs) return [];
    const from = Math.max(fromMs, lane.fromMs);
    const until = Math.min(nowMs + 1, lane.untilMs);
    const { atMs, milliC } = valuesOf(readings, lane.probe, spec.feeds[index] as Feed, from, until, counts);
    if (atMs.length === 0) return [];
    const newest = { atMs: atMs.at(-1) as number, milliC: milliC.at(-1) as number };
    return [{ guardMilliC: lane.guardMilliC, isOpen: lane.untilMs > nowMs, newest, milliC: onGrid(grid, atMs, milliC) }];
  });
  const open = lanes.filter(({ isOpen }) => isOpen);
  const newestMs = Math.max(...open.map(({ newest }) => newest.atMs));
  const live = open.filter(({ newest }) => newestMs - newest.atMs <= spec.gapLimitMs);
  const governing = live.sort((a, b) => a.newest.milliC - a.guardMilliC - (b.newest.milliC - b.guardMilliC))[0];
  const guardMilliC = (governing ?? lanes.at(-1))?.guardMilliC;
  if (guardMilliC === undefined) return null;
  return {
    fromMs,
    stepMs: RECORD_STEP_MS,
    milliC: Array.from({ length: grid.count }, (_, index) => {
      const known = lanes.flatMap((lane) => {
        const milliC = lane.milliC[index] ?? null;
        return milliC === null ? [] : [milliC - lane.guardMilliC];
      });
      return known.length === 0 ? null : Math.min(...known) + guardMilliC;
    }),
    guardMilliC,
    newest: governing?.newest ?? null,
  };
}
