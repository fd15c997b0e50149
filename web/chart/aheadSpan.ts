import type { JointView } from '../../edge/site/views/joint.ts';
import type { Range } from './history.ts';

const HOUR_MS = 3_600_000;
/** How far ahead a short range looks: as far as it looks back. */
const SPAN_MS: Record<Exclude<Range, 'all'>, number> = { day: 24 * HOUR_MS, short: 6 * HOUR_MS };
const LEAST_MS = 12 * HOUR_MS;
const MOST_MS = 96 * HOUR_MS;
/** Where no end can be named. */
const OPEN_MS = 48 * HOUR_MS;
/** A share of the way to the last stage is drawn beyond it. */
const BEYOND = 0.25;

/** How far ahead the drawing looks: on the whole history until a while after its last stage is likely there. */
export function aheadSpanMs(projected: JointView['projected'], range: Range, nowMs: number): number {
  if (range !== 'all') return SPAN_MS[range];
  const spans = projected?.stages.map(({ likely }) => (likely === null ? OPEN_MS : Date.parse(likely) - nowMs)) ?? [];
  const spanMs = Math.max(LEAST_MS, ...spans) * (1 + BEYOND);
  return Math.min(MOST_MS, Math.ceil(spanMs / HOUR_MS) * HOUR_MS);
}
