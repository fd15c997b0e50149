import type { ClockStep } from './state/site.ts';

/** A probe's clock may run ahead of ours this far; what is stamped later says nothing about now. */
export const AHEAD_LIMIT_MS = 5 * 60_000;

/** `own` and `imported`. */
const OWN_CLOCK: readonly number[] = [0, 3];

/** How a reading came by its time. */
export interface Stamp {
  /** UTC ms. */
  readonly atMs: number;
  /** Index into `TIME_BASES`: those of `OWN_CLOCK` are a clock of the device's own, the others lean on ours. */
  readonly basis: number;
  readonly boot: number;
  /** Monotonic clock at arrival, ms since the boot began. */
  readonly monoMs: number;
}

/**
 * Whether our own clock stamped a reading with an instant that it later turned out not to have reached: it was stamped before the
 * clock was set back, and lies after what it was set back to. Such a reading never counts, not even when that instant comes.
 */
export function isMistimed(steps: readonly ClockStep[], { atMs, basis, boot, monoMs }: Stamp): boolean {
  if (OWN_CLOCK.includes(basis)) return false;
  return steps.some((step) => step.boot === boot && monoMs <= step.monoMs && atMs > step.toMs);
}
