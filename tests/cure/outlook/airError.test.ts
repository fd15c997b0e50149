import { describe, expect, test } from 'vitest';
import type { AirRecord } from '../../../edge/cure/outlook/air.ts';
import {
  type Comparison,
  DEFAULT_FORECAST_ERROR,
  DEFAULT_PERSISTENCE_ERROR,
  errorAt,
  forecastError,
  persistenceError,
} from '../../../edge/cure/outlook/airError.ts';
import { normalAt } from '../../../edge/cure/outlook/chance.ts';
import { AirError } from '../../../edge/cure/outlook/input.ts';
import { HOUR_MS } from '../../../edge/cure/schedule.ts';

const FROM_MS = Date.UTC(2026, 0, 1);
const STEP_MS = 10 * 60_000;
const DAYS = 14;

/** A fortnight of air: the same wave every day, and what `beside` puts on it, m°C at each hour. */
function recordOf(beside: (hour: number) => number): AirRecord {
  const milliC = Array.from({ length: DAYS * 144 + 1 }, (_, index) =>
    Math.round(5000 + 4000 * Math.sin((2 * Math.PI * index) / 144) + beside(index / 6)),
  );
  return { fromMs: FROM_MS, stepMs: STEP_MS, milliC, humidityMilliPercent: milliC.map(() => null) };
}

test('errors grow from nothing to the full standard deviation', () => {
  expect(errorAt(DEFAULT_FORECAST_ERROR, 0)).toBe(0);
  // 2.5·√(1 − exp(−2·24/20)), computed from the formula.
  expect(errorAt(DEFAULT_FORECAST_ERROR, 24 * HOUR_MS)).toBeCloseTo(2500 * Math.sqrt(1 - Math.exp(-2.4)), 6);
  expect(errorAt(DEFAULT_FORECAST_ERROR, 1e15)).toBe(2500);
});

describe('of forecasts', () => {
  test('nothing compared: the documented default', () => {
    expect(forecastError([])).toEqual(DEFAULT_FORECAST_ERROR);
    expect(AirError.parse(forecastError([]))).toEqual({ sdMilliC: 2500, correlationMs: 20 * HOUR_MS, comparisons: 0 });
  });

  test('errors drawn from a process with a known deviation give it back', () => {
    const drawn = Array.from({ length: 4000 }, (_, index): Comparison => {
      const leadMs = [3, 12, 24, 48][index % 4] as number;
      const error = { sdMilliC: 1200, correlationMs: 20 * HOUR_MS, comparisons: 0 };
      return {
        leadMs: leadMs * HOUR_MS,
        errorMilliC: Math.round(errorAt(error, leadMs * HOUR_MS) * normalAt(7, index, 0)),
        validMs: FROM_MS + index * 3 * HOUR_MS,
      };
    });
    const { sdMilliC, comparisons } = forecastError(drawn);
    expect(comparisons).toBe(4000);
    // The default still weighs a little: 20 of about 3000.
    expect(sdMilliC).toBeGreaterThan(1180);
    expect(sdMilliC).toBeLessThan(1260);
  });

  test('the default weighs as much as 20 comparisons of errors fully grown', () => {
    const perfect = Array.from({ length: 20 }, (_, index) => ({
      leadMs: 100 * 24 * HOUR_MS,
      errorMilliC: 0,
      validMs: FROM_MS + index * 6 * HOUR_MS,
    }));
    expect(forecastError(perfect)).toMatchObject({ sdMilliC: Math.round(2500 / Math.SQRT2), comparisons: 20 });
  });

  test('what came within three hours counts once', () => {
    const one = { leadMs: 24 * HOUR_MS, errorMilliC: 9000, validMs: FROM_MS };
    const [alone, crowd] = [
      forecastError([one]),
      forecastError(Array.from({ length: 50 }, (_, index) => ({ ...one, validMs: FROM_MS + index * 60_000 }))),
    ];
    expect(crowd).toEqual(alone);
    expect(alone.comparisons).toBe(1);
    expect(alone.sdMilliC).toBeGreaterThan(2500);
    expect(forecastError([one, { ...one, validMs: FROM_MS + 3 * HOUR_MS }]).comparisons).toBe(2);
    expect(
      forecastError([
        { leadMs: 1, errorMilliC: 1 },
        { leadMs: 1, errorMilliC: 1 },
      ]).comparisons,
    ).toBe(2);
  });

  test('a comparison with no lead tells nothing', () => {
    expect(forecastError([{ leadMs: 0, errorMilliC: 5000 }])).toEqual(DEFAULT_FORECAST_ERROR);
  });
});

describe('of persistence', () => {
  test('a day of record has nothing to compare with: the documented default', () => {
    const record = recordOf(() => 0);
    const day = { ...record, milliC: record.milliC.slice(0, 145) };
    expect(persistenceError(day)).toEqual(DEFAULT_PERSISTENCE_ERROR);
    expect(persistenceError({ ...day, milliC: [] })).toEqual(DEFAULT_PERSISTENCE_ERROR);
  });

  test('days that repeat have small errors, days that change have large ones', () => {
    const still = persistenceError(recordOf(() => 0));
    expect(still.comparisons).toBeGreaterThan(80);
    // Nothing but the default's own weight is left of it.
    expect(still.sdMilliC).toBeLessThan(0.5 * DEFAULT_PERSISTENCE_ERROR.sdMilliC);
    // 12 °C up and down from one day to the next.
    const changing = persistenceError(recordOf((hour) => (Math.floor(hour / 24) % 2 === 0 ? 6000 : -6000)));
    expect(changing.sdMilliC).toBeGreaterThan(1.5 * DEFAULT_PERSISTENCE_ERROR.sdMilliC);
  });

  test('hours that were not measured are compared with nothing', () => {
    const record = recordOf(() => 0);
    const holed = { ...record, milliC: record.milliC.map((value, index) => (index > 1000 ? null : value)) };
    expect(persistenceError(holed).comparisons).toBeLessThan(persistenceError(record).comparisons);
    expect(persistenceError({ ...record, milliC: record.milliC.map(() => null) })).toEqual(DEFAULT_PERSISTENCE_ERROR);
  });
});
