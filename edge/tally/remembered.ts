import type { ReadingColumns, ReadingSource } from '../evidence/readings.ts';

/**
 * The same readings, each series read once and from one instant on: for a piece of work that looks at them several times, always with
 * the same judgement on which stamps count. To be let go of with the work, since more readings come all the time.
 */
export function remembered(readings: ReadingSource): ReadingSource {
  const known = new Map<string, { readonly untilMs: number; readonly columns: ReadingColumns }>();
  return {
    range(source, quantity, fromMs, untilMs, counts) {
      const key = `${source}\n${quantity}\n${fromMs}`;
      const before = known.get(key);
      if (before !== undefined && untilMs <= before.untilMs) return beginning(before.columns, untilMs);
      const columns = readings.range(source, quantity, fromMs, untilMs, counts);
      known.set(key, { untilMs, columns });
      return columns;
    },
  };
}

/** Without what is from `untilMs` on. */
function beginning({ atMs, value }: ReadingColumns, untilMs: number): ReadingColumns {
  let count = atMs.length;
  while (count > 0 && (atMs[count - 1] as number) >= untilMs) count--;
  return { atMs: atMs.subarray(0, count), value: value.subarray(0, count) };
}
