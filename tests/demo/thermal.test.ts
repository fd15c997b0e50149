import { describe, expect, it } from 'vitest';

import { type Body, lag, materialFrom, SENSOR_STEP_CELSIUS, sensed } from '../../edge/demo/thermal.ts';

const HOUR_MS = 3_600_000;
const MINUTE_MS = 60_000;
const bare: Body = { timeConstantMs: 3 * HOUR_MS, offsetCelsius: 0, layUp: null, heater: null };

describe('lag', () => {
  // [P] First-order lag worked example, τ = 0.569 s, 20 → 0 °C. The published figures scatter about the exact exponential of that
  // τ by up to 0.21 °C (8.1 at 0.5 s, where it gives 8.31), so that is what they can hold the code to.
  it.each([
    [100, 16.7],
    [500, 8.1],
    [1000, 3.3],
    [2000, 0.6],
    [3000, 0.1],
  ])('falls from 20 °C as published: after %d ms to %d °C', (spanMs, celsius) => {
    expect(Math.abs(lag(20, 0, 0, spanMs, 569) - celsius)).toBeLessThan(0.21);
  });

  it('gives the same over one long stretch of a ramp as over many short ones', () => {
    let celsius = 4;
    for (let step = 0; step < 600; step++) celsius = lag(celsius, 10 + step / 100, 10 + (step + 1) / 100, MINUTE_MS, HOUR_MS);
    expect(lag(4, 10, 16, 600 * MINUTE_MS, HOUR_MS)).toBeCloseTo(celsius, 9);
  });
});

describe('materialFrom', () => {
  // [C] 24 h sinusoid, τ = 3 h: gain .7864, lag 2.543 h.
  it('follows a daily sinusoid with the computed gain and lag', () => {
    const sine = (atMs: number) => 10 + 8 * Math.sin((2 * Math.PI * atMs) / (24 * HOUR_MS));
    const celsiusAt = materialFrom(bare, sine, 0);
    let warmest = { atMs: 0, celsius: Number.NEGATIVE_INFINITY };
    // The sixth day: what was left of the start has died away by exp(−40).
    for (let atMs = 120 * HOUR_MS; atMs < 144 * HOUR_MS; atMs += MINUTE_MS) {
      const celsius = celsiusAt(atMs);
      if (celsius > warmest.celsius) warmest = { atMs, celsius };
    }
    expect((warmest.celsius - 10) / 8).toBeCloseTo(0.7864, 3);
    expect(warmest.atMs / HOUR_MS - (120 + 6)).toBeCloseTo(2.543, 1);
  });

  it('takes the temperature of the fresh material at lay-up, warms itself to the peak and lets that die away', () => {
    const layUp = { atMs: 2 * HOUR_MS, celsius: 18, exothermCelsius: 10, exothermPeakMs: 40 * MINUTE_MS };
    const celsiusAt = materialFrom({ ...bare, timeConstantMs: 1e15, layUp }, () => 5, 0);
    expect(celsiusAt(2 * HOUR_MS - 1)).toBeCloseTo(5, 6);
    expect(celsiusAt(2 * HOUR_MS)).toBeCloseTo(18, 6);
    expect(celsiusAt(2 * HOUR_MS + 40 * MINUTE_MS)).toBeCloseTo(28, 6);
    expect(celsiusAt(2 * HOUR_MS + 200 * MINUTE_MS)).toBeCloseTo(18 + 10 * 5 * Math.exp(-4), 6);
    expect(celsiusAt(30 * HOUR_MS)).toBeCloseTo(18, 5);
  });

  it('does not hang on how often it is asked', () => {
    const layUp = { atMs: 90_500, celsius: 18, exothermCelsius: 10, exothermPeakMs: HOUR_MS };
    const often = materialFrom({ ...bare, layUp }, () => 5, 0);
    for (let atMs = 0; atMs < 5 * HOUR_MS; atMs += 30_000) often(atMs);
    expect(materialFrom({ ...bare, layUp }, () => 5, 0)(5 * HOUR_MS)).toBeCloseTo(often(5 * HOUR_MS), 9);
  });

  it('is heated to the thermostat, or as far as the heater can', () => {
    const heated = (riseCelsius: number, holdCelsius: number, air: number) =>
      materialFrom({ ...bare, offsetCelsius: 2, heater: { fromMs: HOUR_MS, riseCelsius, holdCelsius } }, () => air, 0);
    expect(heated(10, 15, 0)(HOUR_MS - MINUTE_MS)).toBeCloseTo(2, 9);
    expect(heated(10, 15, 0)(60 * HOUR_MS)).toBeCloseTo(12, 6);
    expect(heated(20, 15, 0)(60 * HOUR_MS)).toBeCloseTo(15, 6);
    // A thermostat does not cool.
    expect(heated(20, 15, 25)(60 * HOUR_MS)).toBeCloseTo(27, 6);
    // One time constant after it came on, 1 − 1/e of the way; it comes on within a minute, which is worth up to 13 °C / 180.
    expect(Math.abs(heated(20, 15, 0)(4 * HOUR_MS) - (2 + 13 * (1 - Math.exp(-1))))).toBeLessThan(13 / 180);
  });

  it('falls back to its surroundings while the heater is out', () => {
    const heater = { fromMs: 0, riseCelsius: 30, holdCelsius: 20, out: { fromMs: 40 * HOUR_MS, toMs: 43 * HOUR_MS } };
    const celsiusAt = materialFrom({ ...bare, heater }, () => 5, 0);
    expect(celsiusAt(40 * HOUR_MS - MINUTE_MS)).toBeCloseTo(20, 4);
    // One time constant: 1/e of the way from 20 to 5 °C is left. Going out within a minute is worth up to 15 °C / 180.
    expect(Math.abs(celsiusAt(43 * HOUR_MS) - (5 + 15 * Math.exp(-1)))).toBeLessThan(15 / 180);
    expect(celsiusAt(80 * HOUR_MS)).toBeCloseTo(20, 4);
  });

  it('goes on from where it is when its heater is switched', () => {
    const switched: Body = { ...bare, offsetCelsius: 2 };
    const celsiusAt = materialFrom(switched, () => 0, 0);
    expect(celsiusAt(10 * HOUR_MS)).toBeCloseTo(2, 9);
    switched.heater = { fromMs: 10 * HOUR_MS, riseCelsius: 16, holdCelsius: 12 };
    expect(celsiusAt(10 * HOUR_MS)).toBeCloseTo(2, 9);
    expect(celsiusAt(13 * HOUR_MS)).toBeCloseTo(2 + 10 * (1 - Math.exp(-1)), 9);
    expect(celsiusAt(80 * HOUR_MS)).toBeCloseTo(12, 6);
    switched.heater = null;
    expect(celsiusAt(83 * HOUR_MS)).toBeCloseTo(2 + 10 * Math.exp(-1), 6);
  });

  it('refuses to go back', () => {
    const celsiusAt = materialFrom(bare, () => 5, 1000);
    celsiusAt(2000);
    expect(() => celsiusAt(1999)).toThrow(RangeError);
  });
});

describe('sensed', () => {
  it('is a whole number of steps and never far off', () => {
    for (let index = 0; index < 2000; index++) {
      const celsius = -5 + index / 97;
      const reading = sensed(celsius, 4, index * 1000);
      expect(reading / SENSOR_STEP_CELSIUS).toBe(Math.round(reading / SENSOR_STEP_CELSIUS));
      expect(Math.abs(reading - celsius)).toBeLessThanOrEqual(0.07 + SENSOR_STEP_CELSIUS / 2);
    }
  });

  it('moves about a steady temperature, as a real one does', () => {
    const readings = new Set(Array.from({ length: 50 }, (_, index) => sensed(9.98, 4, index * 5000)));
    expect(readings.size).toBeGreaterThan(1);
  });
});
