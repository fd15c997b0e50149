import { expect, test } from 'vitest';
import { bandOf, errorAt, extremesWithin, measuredNow } from '../../web/pages/weather/weatherCurve.ts';

const HOUR_MS = 3_600_000;
const NOW_MS = Date.UTC(2026, 0, 15, 18, 0);
const errorCelsius = [
  { hours: 3, celsius: 0.9 },
  { hours: 6, celsius: 1.2 },
  { hours: 12, celsius: 1.8 },
  { hours: 24, celsius: 2.4 },
  { hours: 48, celsius: 2.6 },
];

test.each([
  [-1, 0],
  [0, 0],
  [1.5, 0.45],
  [3, 0.9],
  [9, 1.5],
  [24, 2.4],
  [36, 2.5],
  [100, 2.6],
])('%d h ahead the air is off by %d °C: none now, straight between what is told, then as at the last', (hours, celsius) => {
  expect(errorAt(hours * HOUR_MS, errorCelsius)).toBeCloseTo(celsius, 9);
});

test('the band holds nine in ten: 1.645 standard deviations to each side', () => {
  const air = { atMs: [NOW_MS, NOW_MS + 24 * HOUR_MS], celsius: [5, -1] };
  const { low, high } = bandOf(air, NOW_MS, errorCelsius);
  expect([low[0], high[0]]).toEqual([5, 5]);
  expect(low[1]).toBeCloseTo(-1 - 1.645 * 2.4, 9);
  expect(high[1]).toBeCloseTo(-1 + 1.645 * 2.4, 9);
});

test('what the air is now is the newest reading, unless that is older than an hour', () => {
  const at = (minutes: number) => NOW_MS - minutes * 60_000;
  expect(
    measuredNow(
      [
        [at(20), 3],
        [at(10), 4],
        [at(0), null],
      ],
      NOW_MS,
    ),
  ).toBe(4);
  expect(measuredNow([[at(61), 3]], NOW_MS)).toBeNull();
  expect(measuredNow([], NOW_MS)).toBeNull();
});

test('the coldest and the warmest hour are those within the span', () => {
  const atMs = [0, 1, 2, 3, 4].map((hour) => NOW_MS + hour * HOUR_MS);
  const air = { atMs, celsius: [-9, 4, 2, 7, 30] };
  expect(extremesWithin(air, NOW_MS + HOUR_MS, NOW_MS + 3 * HOUR_MS)).toEqual({
    coldest: { atMs: atMs[2], celsius: 2 },
    warmest: { atMs: atMs[3], celsius: 7 },
  });
  expect(extremesWithin(air, NOW_MS + 5 * HOUR_MS, NOW_MS + 6 * HOUR_MS)).toBeNull();
});
