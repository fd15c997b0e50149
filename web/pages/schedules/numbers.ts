import { numberOf as numberIn } from '../../answer/typed.ts';

/** Units that a temperature is typed in. */
export type Unit = 'F' | 'C';

export const signOf = (unit: Unit) => `°${unit}`;

/** A US liquid quart, L: exact by definition. */
export const QUART_LITRES = 0.946352946;

/** A number as people write it. NaN for anything else, also for nothing: the schema then says so beside the field. */
export const numberOf = (text: string) => numberIn(text) ?? Number.NaN;

/** Without the last bits that a conversion adds. */
const plain = (value: number, digits = 9) => (Number.isFinite(value) ? Number(value.toFixed(digits)) : value);

/** A number as it is written into a field. */
export const written = (value: number) => String(plain(value, 6));

/** A typed temperature, °C. */
export function celsiusOf(text: string, unit: Unit): number {
  const value = numberOf(text);
  return plain(unit === 'F' ? ((value - 32) * 5) / 9 : value);
}

/** The same on the grid of the rate table, rounded up to a tenth: so that a limit in °F is never met too early. */
export function gridCelsiusOf(text: string, unit: Unit): number {
  const celsius = celsiusOf(text, unit);
  return Number.isFinite(celsius) ? plain(Math.ceil(celsius * 10 - 1e-6) / 10, 1) : celsius;
}

/** A temperature as it is written into a field; read back it is the same. */
export const writtenCelsius = (celsius: number, unit: Unit) => String(plain(unit === 'F' ? celsius * 1.8 + 32 : celsius, 4));

/** A typed difference of temperatures, °C. */
export const differenceOf = (text: string, unit: Unit) => plain(unit === 'F' ? numberOf(text) / 1.8 : numberOf(text), 6);

/** A difference of temperatures as it is written into a field. */
export const writtenDifference = (celsius: number, unit: Unit) => String(plain(unit === 'F' ? celsius * 1.8 : celsius, 4));
