import { setTimeout as sleep } from 'node:timers/promises';

import type { Besides } from './pack.ts';
import type { Probe } from './probe.ts';

/** UTC ms, each answer later than the one before. */
export type Clock = () => number;

/** The wall clock shifted so that it shows `nowMs` now. A step back of the wall clock holds it instead. */
export function clockFrom(nowMs: number): Clock {
  const shiftMs = nowMs - Date.now();
  let latestMs = nowMs - 1;
  return () => {
    latestMs = Math.max(latestMs + 1, Date.now() + shiftMs);
    return latestMs;
  };
}

export interface LiveSettings {
  readonly celsiusAt: (atMs: number) => number;
  readonly besidesAt?: (atMs: number) => Besides;
  readonly clock: Clock;
  /** Before the first reading, so that many probes do not speak in chorus. */
  readonly delayMs: number;
  readonly everyMs: number;
  readonly signal: AbortSignal;
}

/** Lets a probe report until `signal` aborts. A reading that the broker does not take at once is kept and sent later. */
export async function reportLive(
  probe: Probe,
  { celsiusAt, besidesAt, clock, delayMs, everyMs, signal }: LiveSettings,
): Promise<void> {
  for (let waitMs = delayMs; ; waitMs = everyMs) {
    await sleep(waitMs, undefined, { signal }).catch(() => undefined);
    if (signal.aborted) return;
    const atMs = clock();
    probe.record({ atMs, celsius: celsiusAt(atMs), ...besidesAt?.(atMs) });
    void probe.flush();
  }
}
