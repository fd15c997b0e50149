import fc from 'fast-check';
import { expect, test } from 'vitest';
import { type Given, stitched } from '../../../edge/cure/outlook/stitched.ts';
import { HOUR_MS } from '../../../edge/cure/schedule.ts';

const NOW_MS = Date.UTC(2026, 0, 15, 18, 0);

/** Given so many hours from now, one value an hour from `first` to `last`. */
function given(at: number, first: number, last: number, milliC: number, everyHours = 1): Given {
  const atMs: number[] = [];
  for (let hour = first; hour <= last; hour += everyHours) atMs.push(NOW_MS + hour * HOUR_MS);
  return {
    recordedMs: NOW_MS + at * HOUR_MS,
    hours: { atMs, milliC: atMs.map(() => milliC), humidityMilliPercent: atMs.map(() => milliC) },
  };
}

/** Runs of hours with one value: first hour, last hour, value. */
function runs(...forecasts: readonly Given[]): number[][] {
  const { atMs, milliC } = stitched(forecasts);
  const found: number[][] = [];
  atMs.forEach((ms, index) => {
    const hour = (ms - NOW_MS) / HOUR_MS;
    const run = found.at(-1);
    const value = milliC[index] as number;
    if (run !== undefined && run[2] === value) run[1] = hour;
    else found.push([hour, hour, value]);
  });
  return found;
}

test('a word about next week takes nothing away from the hours before it', () => {
  expect(runs(given(-1, -1, 100, 2), given(0, 120, 144, 25))).toEqual([
    [-1, 100, 2],
    [120, 144, 25],
  ]);
});

test('a word about the next hours takes nothing away from those behind it', () => {
  expect(runs(given(-1, -1, 60, -5), given(0, 0, 4, 12))).toEqual([
    [-1, -1, -5],
    [0, 4, 12],
    [5, 60, -5],
  ]);
});

test('from its first hour to its last the newer one counts alone, however far apart its hours are', () => {
  expect(runs(given(-1, 0, 12, 1), given(0, 3, 9, 2, 6))).toEqual([
    [0, 2, 1],
    [3, 9, 2],
    [10, 12, 1],
  ]);
  expect(stitched([given(-1, 0, 12, 1), given(0, 3, 9, 2, 6)]).atMs).toHaveLength(3 + 2 + 3);
});

test('what was said of hours that have passed stays as it was said then; where nothing was, the newer one tells of them', () => {
  expect(runs(given(-10, -10, 20, 1), given(0, -8, 20, 2))).toEqual([
    [-10, -1, 1],
    [0, 20, 2],
  ]);
  expect(runs(given(-10, -10, -8, 1), given(0, -9, 20, 2))).toEqual([
    [-10, -8, 1],
    [-7, 20, 2],
  ]);
});

test('humidity goes with the temperature of its hour', () => {
  const line = stitched([given(-1, -1, 60, 5), given(0, 0, 4, 12)]);
  expect(line.humidityMilliPercent).toEqual(line.milliC);
});

test('whatever was given, hours rise, and each hour to come is of the newest forecast that spans it', () => {
  const one = fc
    .tuple(fc.integer({ min: -30, max: 40 }), fc.integer({ min: 1, max: 40 }), fc.integer({ min: 1, max: 6 }))
    .map(([first, span, every]) => ({ first, span, every }));
  fc.assert(
    fc.property(fc.array(one, { minLength: 1, maxLength: 6 }), (spans) => {
      const all = spans.map(({ first, span, every }, index) => given(index - spans.length, first, first + span, index, every));
      const { atMs, milliC } = stitched(all);
      atMs.slice(1).forEach((ms, index) => {
        expect(ms).toBeGreaterThan(atMs[index] as number);
      });
      atMs.forEach((ms, index) => {
        if (ms < NOW_MS) return;
        const newest = all.findLastIndex(({ hours }) => (hours.atMs[0] as number) <= ms && ms <= (hours.atMs.at(-1) as number));
        expect(milliC[index]).toBe(newest);
      });
    }),
  );
});
