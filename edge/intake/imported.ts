import type { Now } from '../clock/clock.ts';
import type { IncomingReading } from '../ledger/taker.ts';
import type { ColumnarReadings } from './csv.ts';
import { QUANTITIES, TIME_BASES } from './quantities.ts';

const TEMPERATURE = QUANTITIES.indexOf('temperature');
const HUMIDITY = QUANTITIES.indexOf('humidity');
const IMPORTED = TIME_BASES.indexOf('imported');

/** The readings of a logger's file on their way into the ledger, under the name of their source; see `sourceOf`. Made one by one. */
export function* importedReadings(
  source: string,
  { atMs, milliC, milliRh }: ColumnarReadings,
  arrival: Now,
  boot: number,
): Generator<IncomingReading> {
  const came = { probe: source, basis: IMPORTED, arrivalMs: arrival.wallMs, monoMs: arrival.monoMs, boot };
  for (let row = 0; row < atMs.length; row++) {
    const at = atMs[row] as number;
    yield { ...came, quantity: TEMPERATURE, atMs: at, value: milliC[row] as number };
    const humidity = milliRh[row] ?? null;
    if (humidity !== null) yield { ...came, quantity: HUMIDITY, atMs: at, value: humidity };
  }
}
