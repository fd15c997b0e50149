import { describe, expect, it } from 'vitest';

import { dewPointMilliC } from '../../edge/cure/dewPoint.ts';
import { outdoorDewPoint, sensedHumidity, tentDewPoint } from '../../edge/demo/humidity.ts';
import { FRONT } from '../../edge/demo/weather.ts';

/** The dew point that the program makes of what the sensor says, °C. */
const dewPointOf = (celsius: number, percent: number) =>
  (dewPointMilliC(Math.round(celsius * 1000), Math.round(percent * 1000)) ?? Number.NaN) / 1000;

describe('the simulated humidity sensor', () => {
  it('says what the program turns back into the dew point it was given, within its noise', () => {
    for (const [air, dewPoint] of [
      [20, 11.3],
      [6, -1],
      [0, -7.5],
    ] as const)
      for (let second = 0; second < 50; second++)
        // 0.45 %RH of noise and rounding: at 45 %RH a hundredth of the vapour, at 13 % of it per °C less than 0.15 °C.
        expect(Math.abs(dewPointOf(air, sensedHumidity(air, dewPoint, 3, second * 1000)) - dewPoint)).toBeLessThan(0.15);
  });

  it('never says more than 100 %RH', () => {
    for (let second = 0; second < 50; second++) expect(sensedHumidity(5, 5, 3, second * 1000)).toBeLessThanOrEqual(100);
  });
});

describe('the invented dew point', () => {
  const hours = Array.from({ length: 1000 }, (_, index) => -80 + index / 10);

  it('is never above the air, and does not jump', () => {
    for (const dewPoint of [outdoorDewPoint, tentDewPoint])
      for (const hour of hours) {
        expect(dewPoint(4, hour)).toBeLessThanOrEqual(4);
        expect(Math.abs(dewPoint(9, hour + 0.1) - dewPoint(9, hour))).toBeLessThan(2);
      }
  });

  it('comes close to the air in the showers ahead of the front, and drops with it', () => {
    expect(8 - outdoorDewPoint(8, -21.2)).toBeLessThan(1);
    expect(outdoorDewPoint(8, -30) - outdoorDewPoint(8, -10)).toBeGreaterThan(FRONT.dropCelsius - 1);
  });
});
