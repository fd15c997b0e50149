import { POWER_ON_MILLI_C } from '../cure/inspect/powerOn.ts';
import { calibrated } from '../cure/sensors/calibration.ts';
import { milliCelsiusOf } from '../cure/sensors/sensor.ts';
import type { ProbeSettings } from './state/probe.ts';

/** Which of a probe's readings a lane takes, and how they become what the fold counts. */
export interface Feed extends Pick<ProbeSettings, 'sensor' | 'calibration'> {
  readonly quantity: 'temperature' | 'resistance' | 'humidity';
}

/** m°C (m%RH of a humidity) of a stored reading; null for one that measured nothing. */
export function countedOf({ quantity, sensor, calibration }: Feed, stored: number): number | null {
  if (quantity === 'humidity') return stored;
  if (quantity === 'temperature') return stored === POWER_ON_MILLI_C ? null : calibrated(calibration, stored);
  const milliC = milliCelsiusOf(sensor, stored);
  return milliC === null ? null : calibrated(calibration, milliC);
}
