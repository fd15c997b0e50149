import fc from 'fast-check';
import psychrolib from 'psychrolib';
import { beforeAll, describe, expect, test } from 'vitest';
import { DEW_MARGIN_MILLI_C, dewPointMilliC, saturationPascal } from '../../edge/cure/dewPoint.ts';
import vectors from '../vectors/dew-point.json' with { type: 'json' };

/** Dew point in °C of air at `celsius` and a relative humidity in percent. */
function dewCelsius(celsius: number, humidityPercent: number): number {
  const milliC = dewPointMilliC(Math.round(celsius * 1000), Math.round(humidityPercent * 1000));
  if (milliC === null) throw new Error('no dew point');
  return milliC / 1000;
}

describe('published dew points', () => {
  test.each(vectors.celsius.rows)(
    '$celsius °C at $humidityPercent % [P]: $wholeCelsius °C',
    ({ celsius, humidityPercent, wholeCelsius, wmoCelsius }) => {
      const dew = dewCelsius(celsius, humidityPercent);
      // 24 °C at 35 % is published as 7 where the WMO figures give 7.59: that chart was cut off rather than rounded.
      expect(Math.abs(dew - wholeCelsius)).toBeLessThan(0.6);
      if (wmoCelsius !== undefined) expect(dew).toBeCloseTo(wmoCelsius, 2);
    },
  );

  test.each(vectors.fahrenheitChart.rows)(
    '$fahrenheit °F at $humidityPercent % [P, loosely rounded chart]: $dewFahrenheit °F within 1.5',
    ({ fahrenheit, humidityPercent, dewFahrenheit }) => {
      const dew = dewCelsius(((fahrenheit - 32) * 5) / 9, humidityPercent) * 1.8 + 32;
      expect(Math.abs(dew - dewFahrenheit)).toBeLessThan(1.5);
    },
  );

  test.each(vectors.saturation.rows)('saturation over water at $celsius °C [P]: $pascal Pa', ({ celsius, pascal }) => {
    // Two published fits: they part by 0.30 % at 25 °C.
    expect(Math.abs(saturationPascal(celsius) / pascal - 1)).toBeLessThan(0.0031);
  });

  test('the margin of a surface above the dew point is 3 °C, no less than the published 5 °F [P]', () => {
    expect(DEW_MARGIN_MILLI_C).toBe(3000);
    expect(DEW_MARGIN_MILLI_C).toBeGreaterThan((5 / 1.8) * 1000);
  });
});

describe('against the psychrometrics of ASHRAE 2017 [P]', () => {
  beforeAll(() => psychrolib.SetUnitSystem(psychrolib.SI));

  /** Largest difference of the dew points on a grid of 0.5 °C and 1 %, °C. Below 0 °C the library's is a frost point: left out. */
  function largestDifference(warmestCelsius: number): { difference: number; compared: number } {
    let difference = 0;
    let compared = 0;
    for (let celsius = 0.5; celsius <= warmestCelsius; celsius += 0.5)
      for (let humidity = 1; humidity <= 100; humidity++) {
        const theirs = psychrolib.GetTDewPointFromRelHum(celsius, humidity / 100);
        if (theirs < 0.02) continue;
        difference = Math.max(difference, Math.abs(dewCelsius(celsius, humidity) - theirs));
        compared++;
      }
    return { difference, compared };
  }

  test('dew points agree within 0.04 °C up to 40 °C and within 0.1 °C up to 60 °C', () => {
    // Measured: 0.0399 and 0.0944 °C.
    const temperate = largestDifference(40);
    expect(temperate.compared).toBeGreaterThan(4000);
    expect(temperate.difference).toBeLessThan(0.04);
    const all = largestDifference(60);
    expect(all.compared).toBeGreaterThan(temperate.compared + 3000);
    expect(all.difference).toBeLessThan(0.1);
  });

  test('saturation pressures agree within 0.3 % above 0 °C', () => {
    // Measured: 0.292 %, at 27.5 °C.
    for (let celsius = 0.5; celsius <= 60; celsius += 0.5)
      expect(Math.abs(saturationPascal(celsius) / psychrolib.GetSatVapPres(celsius) - 1)).toBeLessThan(0.003);
  });
});

describe('the formula itself', () => {
  test('saturation at 0 °C is 611.2 Pa, as WMO-No. 8 has it [P]', () => {
    expect(saturationPascal(0)).toBe(611.2);
  });

  test('saturated air is at its dew point, at every m°C', () => {
    let off = 0;
    for (let milliC = -45_000; milliC <= 60_000; milliC++) if (dewPointMilliC(milliC, 100_000) !== milliC) off++;
    expect(off).toBe(0);
  });

  test('a hair below 0 °C is 0 and not −0, which no ledger can tell apart', () => {
    expect(Object.is(dewPointMilliC(0, 99_999), 0)).toBe(true);
  });

  test('at the dew point the vapour in the air is saturated, and drier air has a lower one', () => {
    const milliC = fc.integer({ min: -20_000, max: 60_000 });
    const humidity = fc.integer({ min: 10_000, max: 99_000 });
    fc.assert(
      fc.property(milliC, humidity, (air, milliPercent) => {
        const dew = dewPointMilliC(air, milliPercent) as number;
        const share = saturationPascal(dew / 1000) / saturationPascal(air / 1000);
        // Half a m°C is at most 0.005 % of the pressure.
        expect(Math.abs(share / (milliPercent / 100_000) - 1)).toBeLessThan(6e-5);
        expect(dew).toBeLessThan(air);
        expect(dewPointMilliC(air, milliPercent + 1000) as number).toBeGreaterThan(dew);
      }),
    );
  });

  test('a sensor that reads a little above 100 % has saturated air', () => {
    expect(dewPointMilliC(12_345, 100_001)).toBe(12_345);
    expect(dewPointMilliC(12_345, 100_500)).toBe(12_345);
  });
});

describe('what has no dew point here', () => {
  test.each([
    [-45_001, 50_000],
    [60_001, 50_000],
    [Number.NaN, 50_000],
    [Number.POSITIVE_INFINITY, 50_000],
    [20_000, 0],
    [20_000, -1],
    [20_000, 100_501],
    [20_000, Number.NaN],
    [20_000, Number.POSITIVE_INFINITY],
  ])('%d m°C at %d thousandths of a percent', (milliC, humidityMilliPercent) => {
    expect(dewPointMilliC(milliC, humidityMilliPercent)).toBeNull();
  });

  test('the ends of the range still have one', () => {
    expect(dewPointMilliC(-45_000, 50_000)).toBeLessThan(-45_000);
    expect(dewPointMilliC(60_000, 1)).toBeLessThan(-45_000);
  });

  test.each([-45.001, 60.001, Number.NaN, Number.POSITIVE_INFINITY])('no saturation pressure at %d °C', (celsius) => {
    expect(saturationPascal(celsius)).toBeNaN();
  });
});
