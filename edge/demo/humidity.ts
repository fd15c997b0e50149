import { saturationPascal } from '../cure/dewPoint.ts';
import { noiseAt } from './noise.ts';
import { eased, frontCelsius } from './weather.ts';

const HOUR_MS = 3_600_000;

// The hourly normals have no humidity, so that of the demonstration is invented: a dew point that moves slowly, drier air behind
// the front, and a band of showers ahead of it.
const DEW_POINT_CELSIUS = -1;
const DEW_SWING_CELSIUS = 0.4;
const SHOWERS = { comeHours: -22.5, thereHours: -21.5, leaveHours: -20.7, goneHours: -20 } as const;
/** How far the dew point lies below the air in the showers, °C. */
const SHOWER_SPREAD_CELSIUS = 0.8;

/** Of a heated tent with pans of water in it; when it cools, the air comes close to saturation. */
const TENT_DEW_POINT_CELSIUS = 11.3;
const TENT_SPREAD_CELSIUS = 1.5;

/** Largest noise of a simulated humidity sensor, %RH. */
const SENSOR_NOISE_PERCENT = 0.4;

/** Dew point of the invented air in the open, °C. */
export function outdoorDewPoint(airCelsius: number, hoursFromNow: number): number {
  const dry = DEW_POINT_CELSIUS + DEW_SWING_CELSIUS * Math.sin(hoursFromNow / 5) - frontCelsius(hoursFromNow);
  const { comeHours, thereHours, leaveHours, goneHours } = SHOWERS;
  const shower = eased(hoursFromNow, comeHours, thereHours) - eased(hoursFromNow, leaveHours, goneHours);
  return Math.min(airCelsius, dry) * (1 - shower) + (airCelsius - SHOWER_SPREAD_CELSIUS) * shower;
}

/** Dew point of the invented air in a heated tent, °C. */
export function tentDewPoint(airCelsius: number, hoursFromNow: number): number {
  const moist = TENT_DEW_POINT_CELSIUS + 0.3 * Math.sin(hoursFromNow / 3);
  return Math.min(moist, airCelsius - TENT_SPREAD_CELSIUS);
}

/** What a sensor in air of that temperature and dew point would report, %RH, in tenths. */
export function sensedHumidity(airCelsius: number, dewPointCelsius: number, seed: number, atMs: number): number {
  const percent = (100 * saturationPascal(dewPointCelsius)) / saturationPascal(airCelsius);
  const noisy = percent + SENSOR_NOISE_PERCENT * noiseAt(seed + 500, Math.floor(atMs / 1000));
  return Math.round(Math.min(100, noisy) * 10) / 10;
}

export function hoursFrom(nowMs: number, atMs: number): number {
  return (atMs - nowMs) / HOUR_MS;
}
