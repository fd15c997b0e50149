import type { Block } from '../evidence/block.ts';
import { inUnits, QUANTITIES, type Quantity } from '../intake/quantities.ts';

/** A reading as a time-series engine keeps it. Its name, tags and instant never change, so that sending it again changes nothing. */
export interface Point {
  readonly measurement: string;
  readonly tags: { readonly site: string; readonly probe: string };
  /** In the unit itself: °C, %RH, V, %, Ω, m. */
  readonly value: number;
  /** UTC ms. */
  readonly atMs: number;
}

const MEASUREMENTS: Readonly<Record<Quantity, string>> = {
  temperature: 'temperature',
  humidity: 'humidity',
  'battery-volts': 'battery_volts',
  'battery-percent': 'battery_percent',
  resistance: 'resistance',
  level: 'level',
};

/** The readings of a block as points. Throws an Error for a quantity that this program does not know. */
export function pointsOf(site: string, { probe, quantity, readings }: Block): Point[] {
  const known = QUANTITIES[quantity];
  if (known === undefined) throw new Error(`a block of "${probe}" holds quantity ${quantity}, which this program does not know`);
  const measurement = MEASUREMENTS[known];
  const tags = { site, probe };
  return readings.map(({ atMs, value }) => ({ measurement, tags, value: inUnits(quantity, value), atMs }));
}
