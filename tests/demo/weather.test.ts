import { DateTime } from 'luxon';
import { describe, expect, it } from 'vitest';

import { noiseAt } from '../../edge/demo/noise.ts';
import { FRONT, hourlyNormals, weather } from '../../edge/demo/weather.ts';

const HOUR_MS = 3_600_000;
const timeZone = 'America/Los_Angeles';
const nowMs = Date.parse('2026-07-20T14:30:00-07:00');

describe('hourly normals', () => {
  it('are one whole year of hours, without a hole', () => {
    const times = hourlyNormals().map(({ date }) => Date.parse(`${date}Z`));
    expect(times).toHaveLength(8759);
    expect(times.every((time, index) => index === 0 || time - (times[index - 1] as number) === HOUR_MS)).toBe(true);
  });

  it('are plausible °C throughout', () => {
    const celsius = hourlyNormals().map(({ temperature }) => temperature);
    expect(Math.min(...celsius)).toBeGreaterThan(0);
    expect(Math.max(...celsius)).toBeLessThan(30);
  });
});

describe('weather', () => {
  it('keeps the local hour of day: before the front, the 20th of February of the normals within the noise', () => {
    const ambient = weather({ nowMs, seed: 1, timeZone });
    const normals = new Map(hourlyNormals().map(({ date, temperature }) => [date, temperature]));
    for (let hoursAgo = 24; hoursAgo <= 72; hoursAgo++) {
      const atMs = nowMs - hoursAgo * HOUR_MS;
      const local = DateTime.fromMillis(atMs, { zone: timeZone });
      const daysAgo = DateTime.fromMillis(nowMs, { zone: timeZone }).startOf('day').diff(local.startOf('day'), 'days').days;
      const day = DateTime.fromISO('2010-02-20').minus({ days: Math.round(daysAgo) });
      const at = (plusHours: number) =>
        normals.get(day.set({ hour: local.hour }).plus({ hours: plusHours }).toFormat("yyyy-MM-dd'T'HH:mm:ss")) as number;
      // Half past the hour: the middle of two normals.
      expect(Math.abs(ambient(atMs) - (at(0) + at(1)) / 2), `${hoursAgo} h ago`).toBeLessThanOrEqual(0.6);
    }
  });

  it('has a cold front that is fully there now and takes its whole drop off the same weather without it', () => {
    const ambient = weather({ nowMs, seed: 1, timeZone });
    const yesterday = ambient(nowMs - 24 * HOUR_MS);
    // Two neighbouring days of the normals differ by less than 0.3 °C, the noise by up to 1.2.
    expect(yesterday - ambient(nowMs)).toBeGreaterThan(FRONT.dropCelsius - 1.5);
    expect(yesterday - ambient(nowMs)).toBeLessThan(FRONT.dropCelsius + 1.5);
    expect(ambient(nowMs + 48 * HOUR_MS)).toBeGreaterThan(ambient(nowMs) + FRONT.dropCelsius - 2);
  });

  it('is the same for the same seed, in any order of asking, and another for another seed', () => {
    const hours = Array.from({ length: 100 }, (_, index) => nowMs - index * 0.7 * HOUR_MS);
    const one = weather({ nowMs, seed: 5, timeZone });
    const again = weather({ nowMs, seed: 5, timeZone });
    const forwards = hours.map(one);
    expect([...hours].reverse().map(again).reverse()).toEqual(forwards);
    expect(hours.map(weather({ nowMs, seed: 6, timeZone }))).not.toEqual(forwards);
  });

  it('runs on without a jump, over the turn of the normals’ year too', () => {
    const ambient = weather({ nowMs, seed: 1, timeZone });
    for (let hours = -72; hours < 400 * 24; hours += 0.5) {
      const step = ambient(nowMs + (hours + 0.5) * HOUR_MS) - ambient(nowMs + hours * HOUR_MS);
      expect(Math.abs(step)).toBeLessThan(2.5);
    }
  });
});

describe('noiseAt', () => {
  it('fills [−1, 1) evenly', () => {
    const drawn = Array.from({ length: 20_000 }, (_, index) => noiseAt(3, index));
    expect(Math.min(...drawn)).toBeGreaterThanOrEqual(-1);
    expect(Math.max(...drawn)).toBeLessThan(1);
    // Mean of n even draws: standard error 1/√(3n) = 0.0041; four of them. Mean square of an even draw: 1/3.
    expect(Math.abs(drawn.reduce((sum, value) => sum + value, 0) / drawn.length)).toBeLessThan(0.0164);
    expect(drawn.reduce((sum, value) => sum + value * value, 0) / drawn.length).toBeCloseTo(1 / 3, 1);
  });

  it('does not repeat itself from one seed to the next', () => {
    const shared = Array.from({ length: 1000 }, (_, index) => noiseAt(1, index)).filter(
      (value, index) => value === noiseAt(2, index),
    );
    expect(shared).toEqual([]);
  });
});
