import { describe, expect, it } from 'vitest';

import { forecastOf } from '../../edge/demo/forecast.ts';

const HOUR_MS = 3_600_000;
const air = (atMs: number) => 5 + 4 * Math.sin(atMs / (4 * HOUR_MS));
const hours = (seed: number) => forecastOf({ air, issuedMs: 0, untilMs: 55.5 * HOUR_MS, seed });
const errors = (seed: number) => hours(seed).map(({ atMs, celsius }) => celsius - air(atMs));

describe('a forecast of the invented weather', () => {
  it('is hourly from its issue to its end, in half degrees', () => {
    expect(hours(7).map(({ atMs }) => atMs / HOUR_MS)).toEqual(Array.from({ length: 56 }, (_, hour) => hour));
    for (const { celsius } of hours(7)) expect((2 * celsius) % 1).toBe(0);
  });

  it('is right when it is issued, and later off by a degree or so, for hours on the same side', () => {
    for (let seed = 0; seed < 20; seed++) expect(Math.abs(errors(seed)[0] ?? 9)).toBeLessThanOrEqual(0.25);
    const later = Array.from({ length: 200 }, (_, seed) => errors(seed).slice(12)).flat();
    const rms = Math.sqrt(later.reduce((sum, error) => sum + error * error, 0) / later.length);
    expect(rms).toBeGreaterThan(0.5);
    expect(rms).toBeLessThan(1.2);
    expect(Math.max(...later.map(Math.abs))).toBeLessThanOrEqual(1.6 + 0.25);
    const pairs = Array.from({ length: 200 }, (_, seed) => errors(seed)).map((each) => (each[20] ?? 0) * (each[22] ?? 0));
    expect(pairs.reduce((sum, product) => sum + product, 0) / pairs.length).toBeGreaterThan(0.4 * rms * rms);
  });
});
