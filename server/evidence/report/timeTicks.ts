import { HOUR_MS } from '../../../edge/cure/schedule.ts';
import type { SiteClock } from './figures.ts';

const STEPS_HOURS = [1, 2, 3, 6, 12, 24, 48, 96, 168, 336, 672, 1344];
const LONGEST_HOURS = 2688;
const QUARTER_MS = HOUR_MS / 4;

export interface Tick {
  readonly atMs: number;
  readonly time: string;
  /** The day and the offset where it begins or the axis does; the offset everywhere if it changes within the axis. */
  readonly below: string;
}

/**
 * Round hours of the site's clock within a span, about `most` of them at most. An hour that comes twice has its own two places, one
 * that is left out has none.
 */
export function timeTicks(clock: SiteClock, fromMs: number, toMs: number, most: number): Tick[] {
  const stepMs = HOUR_MS * (STEPS_HOURS.find((hours) => (toMs - fromMs) / (hours * HOUR_MS) <= most) ?? LONGEST_HOURS);
  const changes = clock.offset(fromMs) !== clock.offset(toMs);
  const ticks: Tick[] = [];
  // Offsets from UTC are whole quarters of an hour.
  for (let atMs = Math.ceil(fromMs / QUARTER_MS) * QUARTER_MS; atMs <= toMs; atMs += QUARTER_MS) {
    if ((atMs + clock.offsetMs(atMs)) % stepMs !== 0) continue;
    const before = ticks.at(-1);
    const isNewDay = before === undefined || clock.date(before.atMs) !== clock.date(atMs);
    const offset = isNewDay || changes ? [clock.offset(atMs)] : [];
    ticks.push({ atMs, time: clock.time(atMs), below: [...(isNewDay ? [clock.date(atMs)] : []), ...offset].join(' ') });
  }
  return ticks;
}

/** A round step that gives at most `most` steps within a span of numbers. */
export function roundStep(span: number, most: number): number {
  const raw = span / most;
  const power = 10 ** Math.floor(Math.log10(raw));
  const factor = [1, 2, 5, 10].find((each) => each * power >= raw - 1e-9) ?? 10;
  return factor * power;
}
