import { POWER_ON_MILLI_C } from '../cure/inspect/powerOn.ts';
import { calibrated } from '../cure/sensors/calibration.ts';
import { milliCelsiusOf } from '../cure/sensors/sensor.ts';
import { QUANTITIES } from '../intake/quantities.ts';
import type { Readings } from '../ledger/readings.ts';
import { countedOf, type Feed } from '../site/feed.ts';
import type { Stamp } from '../site/mistimed.ts';
import { isImported } from '../site/sources.ts';
import type { Probe } from '../site/state/probe.ts';

/** Codes of quantities; see `QUANTITIES`. */
export const TEMPERATURE = QUANTITIES.indexOf('temperature');
export const HUMIDITY = QUANTITIES.indexOf('humidity');
export const RESISTANCE = QUANTITIES.indexOf('resistance');
export const LEVEL = QUANTITIES.indexOf('level');
export const BATTERY_PERCENT = QUANTITIES.indexOf('battery-percent');
export const BATTERY_VOLTS = QUANTITIES.indexOf('battery-volts');

export type Counts = (stamp: Stamp) => boolean;

/** Where readings are looked up. */
export type ReadingSource = Pick<Readings, 'range'>;

export interface Values {
  /** UTC ms. */
  readonly atMs: Float64Array;
  /** m°C, or m%RH of a humidity. */
  readonly milliC: Int32Array;
}

/** A source's readings with `fromMs` ≤ instant < `untilMs`, oldest first, as a lane with this feed counts them. */
export function valuesOf(
  readings: ReadingSource,
  source: string,
  feed: Feed,
  fromMs: number,
  untilMs: number,
  counts: Counts,
): Values {
  const stored = readings.range(source, QUANTITIES.indexOf(feed.quantity), fromMs, untilMs, counts);
  const atMs = new Float64Array(stored.atMs.length);
  const milliC = new Int32Array(stored.atMs.length);
  let count = 0;
  for (let row = 0; row < stored.atMs.length; row++) {
    const value = countedOf(feed, stored.value[row] as number);
    if (value === null) continue;
    atMs[count] = stored.atMs[row] as number;
    milliC[count] = value;
    count++;
  }
  return { atMs: atMs.subarray(0, count), milliC: milliC.subarray(0, count) };
}

/** Everything that a source said of temperature, also what counts for nothing. */
export interface Temperatures extends Values {
  /** Readings off the sensor's curve. */
  readonly offCurveMs: Float64Array;
}

/**
 * Temperatures of a source between two instants as its probe's settings at each time make them. What a sensor says after power-on
 * is among them. A probe that nobody registered is taken for a digital one.
 */
export function temperaturesOf(
  readings: ReadingSource,
  source: string,
  probe: Probe | undefined,
  fromMs: number,
  untilMs: number,
  counts: Counts,
): Temperatures {
  const atMs: number[] = [];
  const milliC: number[] = [];
  const offCurveMs: number[] = [];
  const settings = probe?.settings ?? [
    { fromMs: Number.NEGATIVE_INFINITY, sensor: { kind: 'digital' } as const, calibration: null },
  ];
  settings.forEach(({ fromMs: sinceMs, sensor, calibration }, index) => {
    const from = Math.max(fromMs, sinceMs);
    const until = Math.min(untilMs, settings[index + 1]?.fromMs ?? Number.POSITIVE_INFINITY);
    if (from >= until) return;
    const isDigital = isImported(source) || sensor.kind === 'digital';
    const stored = readings.range(source, isDigital ? TEMPERATURE : RESISTANCE, from, until, counts);
    stored.atMs.forEach((ms, row) => {
      const value = isDigital ? (stored.value[row] as number) : milliCelsiusOf(sensor, stored.value[row] as number);
      if (value === null) {
        offCurveMs.push(ms);
        return;
      }
      atMs.push(ms);
      milliC.push((value === POWER_ON_MILLI_C && isDigital) || isImported(source) ? value : calibrated(calibration, value));
    });
  });
  return {
    atMs: Float64Array.from(atMs),
    milliC: Int32Array.from(milliC),
    offCurveMs: Float64Array.from(offCurveMs),
  };
}
