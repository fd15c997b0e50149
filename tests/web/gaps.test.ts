import { expect, test } from 'vitest';
import type { HistoryView } from '../../edge/tally/history.ts';
import type { History, Point } from '../../web/api/shapes.ts';
import { gapCount, rowsOf, valuesOf } from '../../web/chart/gaps.ts';

const line = (...values: (number | null)[]): Point[] => values.map((value, index) => [index * 60_000, value]);

test.each<[string, Point[], number]>([
  ['nothing', line(), 0],
  ['readings without a break', line(8, 9, 10), 0],
  ['one hole', line(8, null, 10), 1],
  ['a hole marked at both ends', line(8, null, null, 10), 1],
  ['two holes', line(8, null, 9, null, 10), 2],
  ['an empty beginning and end', line(null, 8, 9, null), 0],
])('%s: gaps are counted where readings stand on both sides', (_, points, gaps) => {
  expect(gapCount(points)).toBe(gaps);
});

test('values leave the breaks out', () => {
  expect(valuesOf(line(8, null, 10))).toEqual([8, 10]);
});

test('the table keeps every point of every curve, newest first, and tells a gap from nothing', () => {
  const rows = rowsOf([
    [
      [1, 8],
      [2, null],
      [4, 9],
    ],
    [
      [1, 3],
      [3, 4],
    ],
  ]);
  expect(rows).toEqual([
    { atMs: 4, cells: [9, undefined] },
    { atMs: 3, cells: [undefined, 4] },
    { atMs: 2, cells: [null, undefined] },
    { atMs: 1, cells: [8, 3] },
  ]);
});

test('what the server calls a history is what the pages read', () => {
  const sent: HistoryView = {
    from: '2026-01-15T00:00:00.000Z',
    to: '2026-01-15T01:00:00.000Z',
    timeZone: 'UTC',
    schedule: {
      title: 'Any',
      referenceCelsius: 10,
      floorCelsius: 5,
      stages: [{ stage: 'hydro', requiredHours: 24 }],
      source: 'none',
    },
    series: [{ probe: 'p1', label: 'p1', imported: false, role: 'material', points: [[0, 8]] }],
    humidity: [],
    progress: [[0, 0]],
    uncredited: [{ from: 0, to: 1, reason: 'cold' }],
    events: [{ at: 0, recordedAt: 0, kind: 'note', text: '', by: 'Sam', seq: 1, withdrawn: null }],
  };
  // The assignment is the check: it does not compile when the shapes part.
  const read: History = sent;
  expect(valuesOf(read.series[0]?.points ?? [])).toEqual([8]);
});
