import { z } from 'zod';
import { Pt100Tolerance, pt100Celsius, pt100Ohms } from './pt100.ts';
import { coefficientsOf, ThermistorCurve, thermistorCelsius, thermistorOhms } from './thermistor.ts';

/** A probe's resistance is believed between these; beyond, it is a short, an open circuit or the wrong sensor. Our own limits. */
export const COLDEST_MILLI_C = -60_000;
export const WARMEST_MILLI_C = 150_000;

/** What a probe measures with. `digital` sends degrees; the others send ohms. */
export const Sensor = z.discriminatedUnion(
  'kind',
  [
    z.strictObject({ kind: z.literal('digital') }),
    z.strictObject({ kind: z.literal('pt100'), tolerance: Pt100Tolerance }),
    z.strictObject({ kind: z.literal('thermistor'), curve: ThermistorCurve }),
  ],
  { error: (issue) => (issue.code === 'invalid_union' ? 'kind must be one of digital, pt100, thermistor' : undefined) },
);
export type Sensor = z.infer<typeof Sensor>;

/**
 * Temperature of a resistance, whole m°C, before any calibration.
 * Null off the sensor's curve: outside −60…150 °C, so also a short or an open circuit. Null for a digital sensor, which has none.
 */
export function milliCelsiusOf(sensor: Sensor, milliOhms: number): number | null {
  if (!(milliOhms > 0)) return null;
  const celsius = celsiusAt(sensor, milliOhms / 1000);
  if (celsius === null) return null;
  // Adding 0 turns minus zero into zero.
  const milliC = Math.round(celsius * 1000) + 0;
  return milliC >= COLDEST_MILLI_C && milliC <= WARMEST_MILLI_C ? milliC : null;
}

function celsiusAt(sensor: Sensor, ohms: number): number | null {
  switch (sensor.kind) {
    case 'digital':
      return null;
    case 'pt100':
      return pt100Celsius(ohms);
    case 'thermistor':
      return thermistorCelsius(coefficientsOf(sensor.curve), ohms);
  }
}

/** Resistance that the sensor has at `celsius`, Ω, to check a wiring by. Null outside −60…150 °C and for a digital sensor. */
export function ohmsAt(sensor: Sensor, celsius: number): number | null {
  if (!(celsius * 1000 >= COLDEST_MILLI_C && celsius * 1000 <= WARMEST_MILLI_C)) return null;
  switch (sensor.kind) {
    case 'digital':
      return null;
    case 'pt100':
      return pt100Ohms(celsius);
    case 'thermistor':
      return thermistorOhms(coefficientsOf(sensor.curve), celsius);
  }
}
