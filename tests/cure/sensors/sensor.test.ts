import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { milliCelsiusOf, ohmsAt, Sensor } from '../../../edge/cure/sensors/sensor.ts';
import vectors from '../../vectors/sensors.json' with { type: 'json' };

const { a, b, c } = vectors.steinhartHart;
const pt100 = Sensor.parse({ kind: 'pt100', tolerance: 'A' });
const steinhart = Sensor.parse({ kind: 'thermistor', curve: { kind: 'steinhartHart', a, b, c } });
const fitted = Sensor.parse({ kind: 'thermistor', curve: { kind: 'points', points: vectors.threePointFit.points } });
const beta = Sensor.parse({ kind: 'thermistor', curve: { kind: 'beta', ohmsAt25: 10_000, betaKelvin: 3950 } });
const digital = Sensor.parse({ kind: 'digital' });

describe('whole m°C from mΩ', () => {
  test.each([
    ['Pt100 at 0 °C [P]', pt100, 100_000, 0],
    ['Steinhart–Hart at 25 °C [C]', steinhart, 10_000_000, 25_000],
    ['Steinhart–Hart at 12490 Ω [C]', steinhart, 12_490_000, 20_006],
    ['Steinhart–Hart at 8057 Ω [C]', steinhart, 8_057_000, 29_997],
    ['three-point fit at 19549 Ω [P]', fitted, 19_549_000, 10_000],
    ['three-point fit at 12262 Ω [P]', fitted, 12_262_000, 19_999],
    ['three-point fit at 7908 Ω [P]', fitted, 7_908_000, 29_998],
    ['Beta at its own 25 °C', beta, 10_000_000, 25_000],
  ])('%s', (_, sensor, milliOhms, milliC) => {
    expect(milliCelsiusOf(sensor, milliOhms)).toBe(milliC);
  });

  test('a hair below 0 °C is 0, not minus zero', () => {
    expect(Object.is(milliCelsiusOf(pt100, 99_999.9), 0)).toBe(true);
  });

  test.each([
    ['Pt100', pt100],
    ['Steinhart–Hart', steinhart],
    ['three points', fitted],
    ['Beta', beta],
  ])('%s: whole numbers that come back through ohmsAt', (_, sensor) => {
    fc.assert(
      fc.property(fc.integer({ min: -60_000, max: 150_000 }), (milliC) => {
        const ohms = ohmsAt(sensor, milliC / 1000);
        expect(milliCelsiusOf(sensor, (ohms ?? Number.NaN) * 1000)).toBe(milliC);
      }),
    );
  });
});

describe('off the curve there is no temperature', () => {
  test.each([
    ['short', 0],
    ['nearly a short', 1],
    ['open', Number.POSITIVE_INFINITY],
    ['nearly open', 1e15],
    ['below nothing', -100_000],
    ['no figure', Number.NaN],
  ])('%s', (_, milliOhms) => {
    for (const sensor of [pt100, steinhart, fitted, beta]) expect(milliCelsiusOf(sensor, milliOhms)).toBeNull();
  });

  test('just outside −60…150 °C', () => {
    for (const sensor of [pt100, steinhart, fitted, beta]) {
      const milliOhms = (celsius: number) => (ohmsAt(sensor, celsius) ?? Number.NaN) * 1000;
      const perDegree = (celsius: number, toward: number) => milliOhms(celsius) - milliOhms(celsius + toward);
      expect(milliCelsiusOf(sensor, milliOhms(-60))).toBe(-60_000);
      expect(milliCelsiusOf(sensor, milliOhms(150))).toBe(150_000);
      expect(milliCelsiusOf(sensor, milliOhms(-60) + perDegree(-60, 1) / 100)).toBeNull();
      expect(milliCelsiusOf(sensor, milliOhms(150) + perDegree(150, -1) / 100)).toBeNull();
      expect(ohmsAt(sensor, -60.001)).toBeNull();
      expect(ohmsAt(sensor, 150.001)).toBeNull();
      expect(ohmsAt(sensor, Number.NaN)).toBeNull();
    }
  });

  test('a Pt1000 on a Pt100 input, and the other way about with a thermistor', () => {
    expect(milliCelsiusOf(pt100, 1_077_900)).toBeNull();
    expect(milliCelsiusOf(steinhart, 107_790)).toBeNull();
  });

  test('a curve whose cubic term is negative takes an open circuit for nothing else', () => {
    const points = [
      { celsius: 0, ohms: 32_128 },
      { celsius: 25, ohms: 9_900 },
      { celsius: 50, ohms: 3_620 },
    ];
    const sensor = Sensor.parse({ kind: 'thermistor', curve: { kind: 'points', points } });
    fc.assert(
      fc.property(fc.double({ min: 9, max: 300, noNaN: true }), (decades) => {
        expect(milliCelsiusOf(sensor, 10 ** decades * 1000)).toBeNull();
      }),
    );
  });

  test('a digital sensor has none at all', () => {
    expect(milliCelsiusOf(digital, 100_000)).toBeNull();
    expect(ohmsAt(digital, 20)).toBeNull();
  });
});

describe('refusals', () => {
  test.each([
    [{ kind: 'thermocouple' }, /kind must be one of digital, pt100, thermistor/],
    [{ kind: 'pt100', tolerance: 'C' }, /tolerance must be A or B/],
    [{ kind: 'pt100' }, /tolerance must be A or B/],
    [{ kind: 'thermistor' }, /expected object/],
    [{ kind: 'thermistor', curve: { kind: 'beta', ohmsAt25: 10, betaKelvin: 3950 } }, /not kilo-ohms/],
    [{ kind: 'digital', tolerance: 'A' }, /tolerance/],
  ])('%j', (sensor, words) => {
    const parsed = Sensor.safeParse(sensor);
    expect(parsed.error?.issues.map((issue) => issue.message).join('; ')).toMatch(words);
  });
});
