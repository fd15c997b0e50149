/** A point of a line: UTC ms and °C; null breaks the line. */
export type Point = [atMs: number, celsius: number | null];

/**
 * Readings as a line of about `points` points: split at every gap first, then thinned to the coldest and the warmest of each
 * stretch of time, so that no excursion disappears and no line is drawn across missing data. Ends of unbroken stretches stay.
 * With room for all of them, every reading is there.
 */
export function thin(atMs: ArrayLike<number>, milliC: ArrayLike<number>, gapLimitMs: number, points: number): Point[] {
  const line: Point[] = [];
  const count = atMs.length;
  if (count === 0) return line;
  const firstMs = atMs[0] as number;
  const thinning = count > points;
  // Each stretch of time gives two points at most, so half as many stretches as points.
  const stretchMs = ((atMs[count - 1] as number) - firstMs + 1) / Math.max(1, Math.floor(points / 2));
  const stretchOf = (index: number) => Math.floor(((atMs[index] as number) - firstMs) / stretchMs);
  const add = (index: number) => line.push([atMs[index] as number, (milliC[index] as number) / 1000]);

  for (let start = 0; start < count; ) {
    let coldest = start;
    let warmest = start;
    let end = start + 1;
    const startsSegment = start === 0 || (atMs[start] as number) - (atMs[start - 1] as number) > gapLimitMs;
    while (
      thinning &&
      end < count &&
      stretchOf(end) === stretchOf(start) &&
      (atMs[end] as number) - (atMs[end - 1] as number) <= gapLimitMs
    ) {
      if ((milliC[end] as number) < (milliC[coldest] as number)) coldest = end;
      if ((milliC[end] as number) > (milliC[warmest] as number)) warmest = end;
      end++;
    }
    const endsSegment = end === count || (atMs[end] as number) - (atMs[end - 1] as number) > gapLimitMs;
    const kept = new Set([coldest, warmest]);
    if (startsSegment) kept.add(start);
    if (endsSegment) kept.add(end - 1);
    for (const index of [...kept].sort((a, b) => a - b)) add(index);
    if (endsSegment && end < count) line.push([(atMs[end - 1] as number) + 1, null]);
    start = end;
  }
  return line;
}
