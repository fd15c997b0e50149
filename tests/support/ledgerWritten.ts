import type { IncomingReading } from '../../edge/ledger/taker.ts';
import { HOUR_MS, MINUTE_MS, reading, START_MS } from './readings.ts';

/** Readings committed together by the writer that gets killed. */
export const BATCH = 40;
const PROBES = 90;

/** The i-th reading that it writes: many probes, a minute apart, every ninth of them an hour late. */
export function writtenReading(index: number): IncomingReading {
  const round = Math.floor(index / PROBES);
  const late = index % 9 === 0 ? HOUR_MS + 1 : 0;
  const probe = `w${(index % PROBES) + 1}`;
  return reading(START_MS + HOUR_MS + round * MINUTE_MS - late, 6000 + (index % 64) * 125, { probe });
}
