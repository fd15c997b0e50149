import { inUnits, quantityOf, UNITS } from '../site/quantity.ts';
import type { Block, StoredReading } from './block.ts';
import { canonicalJson } from './canonical.ts';

/** RFC 4180: commas, and lines that end in CR LF. No cell ever needs quotes: names of sources hold neither commas nor quotes. */
export const CSV_HEAD = 'source,quantity,utc,site_time,value,unit,arrival_utc';
export const CSV_LINE_END = '\r\n';

/**
 * A reading as a line of `readings.csv`, without its end: its value in the unit that stands beside it. `siteTime` is the instant in
 * the site's own time, ISO 8601 with milliseconds and offset. Throws a RangeError for what is no reading of this program.
 */
export function csvLine({ probe, quantity }: Block, { atMs, value, arrivalMs }: StoredReading, siteTime: string): string {
  const name = quantityOf(quantity);
  const utc = new Date(atMs).toISOString();
  return `${probe},${name},${utc},${siteTime},${inUnits(quantity, value)},${UNITS[name]},${new Date(arrivalMs).toISOString()}`;
}

/** A reading as a line of `readings.ndjson`, without its end: its value as it is stored, in whole parts of its unit. */
export function jsonLine({ probe, quantity }: Block, { atMs, value }: StoredReading): string {
  return canonicalJson({ at: atMs, quantity: quantityOf(quantity), source: probe, value });
}

/** The site's time in a line of `readings.csv`, if it names the same instant as `atMs`; null if it does not. */
export function siteTimeIn(line: string, atMs: number): string | null {
  const [, , , siteTime = ''] = line.split(',');
  const isWhole = /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}[+-]\d\d:\d\d$/.test(siteTime);
  return isWhole && Date.parse(siteTime) === atMs ? siteTime : null;
}
