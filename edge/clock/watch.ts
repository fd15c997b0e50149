import type { Clock, Now } from './clock.ts';

/** A wall clock is steered by milliseconds; it is set by seconds. */
export const CLOCK_STEP_MS = 2_000;

/** Somebody set the wall clock: at `monoMs` on the running clock it would have shown `fromMs`, and showed `toMs`. */
export interface Step {
  readonly monoMs: number;
  readonly fromMs: number;
  readonly toMs: number;
}

/** Notices steps of the wall clock by holding it against the one that only runs. */
export class ClockWatch {
  readonly #clock: Clock;
  /** Wall minus monotonic clock when last looked at, ms. */
  #offsetMs: number;

  constructor(clock: Clock) {
    this.#clock = clock;
    this.#offsetMs = offsetOf(clock.now());
  }

  /** The step since the last one was told; null if there was none. */
  step(): Step | null {
    const now = this.#clock.now();
    const fromMs = now.monoMs + this.#offsetMs;
    if (Math.abs(now.wallMs - fromMs) <= CLOCK_STEP_MS) return null;
    this.#offsetMs = offsetOf(now);
    return { monoMs: now.monoMs, fromMs, toMs: now.wallMs };
  }
}

function offsetOf({ wallMs, monoMs }: Now): number {
  return wallMs - monoMs;
}
