/** Two readings no further apart than this stand for the time between them. */
const BRIDGED_MS = 30 * 60_000;

/** Instants of a grid: `count` of them, `stepMs` apart, from `fromMs` on. */
export interface Grid {
  readonly fromMs: number;
  readonly stepMs: number;
  readonly count: number;
}

/** Values of readings (UTC ms, in rising order) at the instants of a grid, on the straight line between the two beside each; null in a hole. */
export function onGrid({ fromMs, stepMs, count }: Grid, atMs: ArrayLike<number>, values: ArrayLike<number>): (number | null)[] {
  let next = 0;
  return Array.from({ length: count }, (_, index) => {
    const instantMs = fromMs + index * stepMs;
    while (next < atMs.length && (atMs[next] as number) < instantMs) next++;
    const afterMs = atMs[next];
    if (afterMs === instantMs) return values[next] as number;
    const beforeMs = atMs[next - 1];
    // The newest reading of all stands for the moment since.
    if (afterMs === undefined)
      return beforeMs !== undefined && instantMs - beforeMs <= stepMs ? (values[next - 1] as number) : null;
    if (beforeMs === undefined || afterMs - beforeMs > BRIDGED_MS) return null;
    const before = values[next - 1] as number;
    const share = (instantMs - beforeMs) / (afterMs - beforeMs);
    return Math.round(before + ((values[next] as number) - before) * share);
  });
}
