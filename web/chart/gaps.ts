import type { Point } from '../api/shapes.ts';

/** How many holes a curve has between its readings; empty ends are none. */
export function gapCount(points: readonly Point[]): number {
  let gaps = 0;
  let open = false;
  let started = false;
  for (const [, value] of points) {
    if (value === null) open = started;
    else {
      if (open) gaps++;
      open = false;
      started = true;
    }
  }
  return gaps;
}

/** The readings of a curve without its breaks. */
export function valuesOf(points: readonly Point[]): number[] {
  return points.flatMap(([, value]) => (value === null ? [] : [value]));
}

interface Row {
  readonly atMs: number;
  /** One cell per series: a value, null for a gap that begins here, undefined where the series has no point. */
  readonly cells: readonly (number | null | undefined)[];
}

/** Several curves as one table, newest first. */
export function rowsOf(curves: readonly (readonly Point[])[]): Row[] {
  const byTime = new Map<number, (number | null | undefined)[]>();
  curves.forEach((points, column) => {
    for (const [atMs, value] of points) {
      const cells = byTime.get(atMs) ?? new Array<undefined>(curves.length).fill(undefined);
      cells[column] = value;
      byTime.set(atMs, cells);
    }
  });
  return [...byTime].sort(([a], [b]) => b - a).map(([atMs, cells]) => ({ atMs, cells }));
}
