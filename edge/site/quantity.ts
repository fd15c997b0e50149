/** What a probe measures. */
export type Quantity = 'temperature' | 'humidity' | 'battery-volts' | 'battery-percent' | 'resistance' | 'level';

/** The place in this list is the code under which a reading is stored: add at the end, never reorder. */
export const QUANTITIES: readonly Quantity[] = [
  'temperature',
  'humidity',
  'battery-volts',
  'battery-percent',
  'resistance',
  'level',
];

/** Unit symbols (RFC 8428 section 12.1). */
export const UNITS: Readonly<Record<Quantity, string>> = {
  temperature: 'Cel',
  humidity: '%RH',
  'battery-volts': 'V',
  'battery-percent': '%EL',
  resistance: 'Ohm',
  level: 'm',
};

/**
 * Readings are stored in whole parts of their unit (°C, %RH, V, %, Ω, m), so many to the unit. All fit 32 bits with a sign.
 * A water test is decided at an eighth of an inch, so a thousandth of a metre is too coarse for a level.
 */
export const PARTS_PER_UNIT: Readonly<Record<Quantity, number>> = {
  temperature: 1000,
  humidity: 1000,
  'battery-volts': 1000,
  'battery-percent': 1000,
  resistance: 1000,
  level: 1_000_000,
};

/** The quantity with this code. Throws a RangeError for a code that this program does not know. */
export function quantityOf(code: number): Quantity {
  const quantity = QUANTITIES[code];
  if (quantity === undefined) throw new RangeError(`there is no quantity ${code}`);
  return quantity;
}

/** A stored value of the quantity with this code, in its unit. Throws a RangeError for a code that this program does not know. */
export function inUnits(code: number, value: number): number {
  return value / PARTS_PER_UNIT[quantityOf(code)];
}
