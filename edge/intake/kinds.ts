import type { Quantity } from './quantities.ts';

/** What one unit of one name means. Limits are inclusive, in the unit. */
export interface Measure {
  readonly quantity: Quantity;
  readonly least: number;
  readonly most: number;
}

/** What a name measures: by unit symbol (RFC 8428 section 12.1), and what to tell whoever sends another one. */
export interface Kind {
  readonly units: ReadonlyMap<string, Measure>;
  readonly hints: ReadonlyMap<string, string>;
}

const fahrenheit = 'convert with (F − 32) · 5/9';
const celsius = 'degrees Celsius are written Cel';
const ratio = 'to SenML a plain % is a ratio from 0 to 1';
const ohms = 'ohms are written Ohm';

/** What probes measure, by the last part of the record's name. */
export const KINDS = new Map<string, Kind>([
  [
    'temperature',
    {
      units: new Map([['Cel', { quantity: 'temperature', least: -60, most: 150 }]]),
      hints: new Map([
        ['Far', fahrenheit],
        ['F', fahrenheit],
        ['°F', fahrenheit],
        ['degF', fahrenheit],
        ['C', celsius],
        ['°C', celsius],
        ['degC', celsius],
        ['K', 'subtract 273.15'],
      ]),
    },
  ],
  [
    'humidity',
    {
      // Wet sensors read a little above saturation.
      units: new Map([['%RH', { quantity: 'humidity', least: 0, most: 100.5 }]]),
      hints: new Map([['%', ratio]]),
    },
  ],
  [
    'battery',
    {
      units: new Map<string, Measure>([
        ['V', { quantity: 'battery-volts', least: 0, most: 100 }],
        ['%EL', { quantity: 'battery-percent', least: 0, most: 100 }],
      ]),
      hints: new Map([
        ['mV', 'divide by 1000'],
        ['%', ratio],
      ]),
    },
  ],
  [
    'resistance',
    {
      units: new Map([['Ohm', { quantity: 'resistance', least: 1, most: 2_000_000 }]]),
      hints: new Map([
        ['kOhm', 'multiply by 1000'],
        ['kΩ', 'multiply by 1000'],
        ['Ω', ohms],
        ['ohm', ohms],
        ['R', ohms],
      ]),
    },
  ],
  [
    'level',
    {
      units: new Map([['m', { quantity: 'level', least: -1, most: 20 }]]),
      hints: new Map([
        ['mm', 'divide by 1000'],
        ['cm', 'divide by 100'],
        ['in', 'multiply by 0.0254'],
        ['ft', 'multiply by 0.3048'],
      ]),
    },
  ],
]);

/** The units that are taken, in words. */
export function symbols(units: ReadonlyMap<string, Measure>): string {
  return [...units.keys()].join(' or ');
}
