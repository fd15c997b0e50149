import { describe, expect, test } from 'vitest';
import { waterKgPerM3 } from '../../edge/cure/waterDensity.ts';
import vectors from '../vectors/water-density.json' with { type: 'json' };

describe('density of water', () => {
  test('is the published table at every whole degree from 0 to 40 °C, to its last digit [P, as quoted]', () => {
    const { kgPerM3 } = vectors.tanaka2001;
    expect(kgPerM3).toHaveLength(41);
    expect(kgPerM3.map((_, celsius) => Math.round(waterKgPerM3(celsius) * 1e4) / 1e4)).toEqual(kgPerM3);
  });

  test.each(vectors.ittc2011.rows)('agrees with an independent formula at $celsius °C: $kgPerM3 [P, as quoted]', (row) => {
    expect(Math.abs(waterKgPerM3(row.celsius) - row.kgPerM3)).toBeLessThan(0.0015);
  });

  test('is greatest near 4 °C', () => {
    expect(waterKgPerM3(3.983035)).toBe(999.97495);
    expect(waterKgPerM3(3.9)).toBeLessThan(999.97495);
    expect(waterKgPerM3(4.1)).toBeLessThan(999.97495);
  });

  test.each([-0.001, 40.001, Number.NaN])('is not known at %d °C', (celsius) => {
    expect(waterKgPerM3(celsius)).toBeNaN();
  });
});
