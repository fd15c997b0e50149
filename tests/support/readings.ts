import type { Delivery } from '../../edge/ledger/ledger.ts';
import type { IncomingReading } from '../../edge/ledger/taker.ts';

export const HOUR_MS = 3_600_000;
export const MINUTE_MS = 60_000;
/** A whole UTC hour. */
export const START_MS = Date.UTC(2026, 0, 15, 14);

/** A temperature of probe "p1" as the intake hands it on, unless told otherwise. */
export function reading(atMs: number, value: number, more: Partial<IncomingReading> = {}): IncomingReading {
  return {
    probe: 'p1',
    quantity: 0,
    atMs,
    value,
    basis: 0,
    arrivalMs: atMs + 40,
    monoMs: atMs - START_MS + 10 * HOUR_MS,
    boot: 1,
    ...more,
  };
}

/** One message. */
export function delivery(...readings: IncomingReading[]): Delivery {
  return { topic: 'cure/yard/probe/p1/senml', readings, setAside: [] };
}
