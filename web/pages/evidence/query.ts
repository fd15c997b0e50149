import { DateTime } from 'luxon';
import { SEARCHED } from '../../api/evidence.ts';

/**
 * What is asked of the service for what stands in the page's own address: days turn to instants, from the beginning of the first
 * to the end of the last, on the clock of `zone`. Empty: nothing is asked for. What the service does not know is left out.
 */
export function queryOf(asked: URLSearchParams, zone: string): string {
  const query = new URLSearchParams();
  for (const name of SEARCHED) {
    const said = asked.get(name)?.trim() ?? '';
    const value = name === 'from' || name === 'to' ? instantOf(said, name, zone) : said;
    if (value !== null && value !== '') query.set(name, value);
  }
  return query.toString();
}

function instantOf(day: string, edge: 'from' | 'to', zone: string): string | null {
  const read = DateTime.fromISO(day, { zone });
  if (!read.isValid) return null;
  return (edge === 'from' ? read.startOf('day') : read.endOf('day')).toUTC().toISO();
}
