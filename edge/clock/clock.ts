import { randomUUID } from 'node:crypto';

/** An instant on both clocks: `wallMs` can be set by anybody, `monoMs` only runs. */
export interface Now {
  /** UTC ms. */
  readonly wallMs: number;
  /** ms since the boot began. */
  readonly monoMs: number;
}

/** Where the program takes its time from. Handed in, so that tests and simulations have their own. */
export interface Clock {
  now(): Now;
  /** Unique to this run of the program. */
  readonly bootId: string;
  /** Whether the wall clock can be believed. An untrusted one stamps nothing as future or past. */
  readonly trusted: boolean;
}

/** The wall clock is read again when it has drifted this far from the running one: below that, stamps stay evenly spaced. */
const RESYNC_MS = 5;

/** The machine's own clocks. A wall clock that stands before `plausibleFromMs` was never set, and is not trusted. */
export function machineClock(plausibleFromMs: number): Clock {
  let offsetMs = Date.now() - Math.floor(performance.now());
  return {
    bootId: randomUUID(),
    now() {
      const monoMs = Math.floor(performance.now());
      const wallMs = Date.now();
      if (Math.abs(wallMs - monoMs - offsetMs) > RESYNC_MS) offsetMs = wallMs - monoMs;
      return { wallMs: monoMs + offsetMs, monoMs };
    },
    get trusted() {
      return Date.now() >= plausibleFromMs;
    },
  };
}
