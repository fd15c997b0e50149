import { CREDIT_CEILING_PPM_MS, type FoldState, foldAll } from '../cure/fold.ts';
import { foldSpecOf, historyFromMs, type JointSpec } from '../site/cureSpec.ts';
import { isMistimed, type Stamp } from '../site/mistimed.ts';
import type { Joint } from '../site/state/joint.ts';
import type { SiteState } from '../site/state/site.ts';
import { laneReadings, type ReadingSource } from './readings.ts';

/** What a joint's readings come to. */
export interface Hours {
  readonly spec: JointSpec;
  readonly state: FoldState;
  /** Warm hours that were earned until an instant that is settled, ppm·ms. */
  readonly creditAt: (atMs: number) => number;
}

/** Which readings are to be believed, as far as the site's clock is known. */
export function countsOf({ clockSteps }: SiteState): (stamp: Stamp) => boolean {
  return (stamp) => !isMistimed(clockSteps, stamp);
}

/**
 * The warm hours of a joint's present attempt, counted from nothing: the readings that its probes' settings make of what is stored,
 * up to `nowMs`, through the fold with the rate table on record. Null before lay-up.
 */
export function hoursOfJoint(site: SiteState, joint: Joint, readings: ReadingSource, nowMs: number): Hours | null {
  const spec = foldSpecOf(site, joint);
  if (spec === null) return null;
  const counts = countsOf(site);
  const lanes = spec.feeds.map((feed, lane) =>
    laneReadings(readings, spec.lanes[lane]?.probe ?? '', feed, historyFromMs(spec), nowMs + 1, counts),
  );
  const steps: { readonly fromMs: number; readonly toMs: number; readonly ratePpm: number }[] = [];
  const { state } = foldAll(spec, lanes, ({ fromMs, toMs, ratePpm }) => {
    if (ratePpm > 0) steps.push({ fromMs, toMs, ratePpm });
  });
  const creditAt = (atMs: number) => {
    let creditPpmMs = 0;
    for (const { fromMs, toMs, ratePpm } of steps)
      creditPpmMs = Math.min(CREDIT_CEILING_PPM_MS, creditPpmMs + ratePpm * Math.max(0, Math.min(toMs, atMs) - fromMs));
    return creditPpmMs;
  };
  return { spec, state, creditAt };
}
