import type { Lag } from '../../cure/outlook/input.ts';
import { type Outlook, project } from '../../cure/outlook/project.ts';
import { siblingPrior } from '../../cure/outlook/siblings.ts';
import { heatingOf } from '../../site/state/heating.ts';
import type { Joint } from '../../site/state/joint.ts';
import type { OutlookReason } from '../../site/views/outlook.ts';
import { type Ahead, type AheadParts, aheadOf, type Fitted, siblingLagOf } from './jointAhead.ts';
import { LATE_AGAIN_MS } from './siteAir.ts';

/** What lies ahead is worked out anew so often, not for all joints at the same moment … */
const AGAIN_MS = 60_000;
/** … and how a joint follows its air so often, once so many hours tell of it. */
const FIT_AGAIN_MS = 10 * 60_000;
const WELL_FITTED_HOURS = 6;
/** What a joint tells of the others is asked again so often. */
const SIBLING_AGAIN_MS = 3 * 3_600_000;

/** What lies ahead of a joint; without an input, why not. */
export interface JointOutlook {
  readonly atMs: number;
  readonly reason: OutlookReason | null;
  readonly ahead: Ahead | null;
  readonly outlook: Outlook | null;
}

interface Kept extends JointOutlook {
  readonly grounds: string;
  untilMs: number;
}

/** Keeps what lies ahead of every joint up to date: on new readings within a minute, at once when something was said that bears on it. */
export class Outlooks {
  readonly #parts: AheadParts;
  readonly #kept = new Map<string, Kept>();
  readonly #fits = new Map<string, { readonly fit: Fitted; readonly grounds: string; readonly atMs: number }>();
  /** What each joint tells of the others; null: nothing yet. */
  readonly #told = new Map<string, { readonly lag: Lag | null; readonly grounds: string; readonly atMs: number }>();
  /** Joints whose grounds were looked at since something was last said. */
  readonly #checked = new Set<string>();

  constructor(parts: AheadParts) {
    this.#parts = parts;
  }

  /** To be called when something has been said, or the clock was set. */
  changed(): void {
    this.#checked.clear();
  }

  /** To be called when readings of a probe came that were measured a while ago: what rests on them is looked at again soon. */
  late(probe: string): void {
    const soonMs = this.#parts.nowMs() + LATE_AGAIN_MS;
    this.#parts.air.late(probe);
    const isAir = this.#parts.air.probe === probe;
    for (const [name, kept] of this.#kept) {
      const assigned = this.#parts.site.joints.get(name)?.assignments.at(-1);
      if (!isAir && assigned?.ambient !== probe && !assigned?.probes.includes(probe)) continue;
      kept.untilMs = Math.min(kept.untilMs, soonMs);
      this.#fits.delete(name);
    }
  }

  of(joint: Joint): JointOutlook {
    const nowMs = this.#parts.nowMs();
    const known = this.#kept.get(joint.joint);
    const isFresh = known !== undefined && nowMs >= known.atMs && nowMs < known.untilMs;
    if (isFresh && this.#checked.has(joint.joint)) return known;
    this.#checked.add(joint.joint);
    const grounds = this.#grounds(joint);
    if (isFresh && known.grounds === grounds) return known;
    const ahead = aheadOf(joint, this.#parts, (compute) => this.#fitted(joint, grounds, nowMs, compute));
    const isKnown = typeof ahead !== 'string';
    // The first one of each joint is short-lived, so that the next ones spread over the minute.
    const spread = known === undefined ? ((this.#kept.size * 7) % 12) / 12 : 0;
    const kept: Kept = {
      atMs: nowMs,
      untilMs: nowMs + AGAIN_MS * (1 - spread),
      grounds,
      reason: isKnown ? null : ahead,
      ahead: isKnown ? ahead : null,
      outlook: isKnown ? project(ahead.input) : null,
    };
    this.#kept.set(joint.joint, kept);
    return kept;
  }

  #fitted(joint: Joint, grounds: string, nowMs: number, compute: (prior: Lag) => Fitted): Fitted {
    const known = this.#fits.get(joint.joint);
    const againMs = (known?.fit.lag.fittedHours ?? 0) < WELL_FITTED_HOURS ? AGAIN_MS : FIT_AGAIN_MS;
    if (known !== undefined && known.grounds === grounds && Math.abs(nowMs - known.atMs) < againMs) return known.fit;
    const fitted = compute(siblingPrior(this.#siblings(joint, nowMs)));
    this.#fits.set(joint.joint, { fit: fitted, grounds, atMs: nowMs });
    return fitted;
  }

  /** How the site's other joints follow their air. */
  #siblings({ joint: own }: Joint, nowMs: number): Lag[] {
    const lags: Lag[] = [];
    for (const joint of this.#parts.site.joints.values()) {
      if (joint.joint === own || joint.laidUpMs === null) continue;
      const grounds = JSON.stringify([joint.assignments, joint.laidUpMs, heatingOf(this.#parts.site, joint)]);
      const known = this.#told.get(joint.joint);
      const isKnown = known !== undefined && known.grounds === grounds && Math.abs(nowMs - known.atMs) < SIBLING_AGAIN_MS;
      const lag = isKnown ? known.lag : siblingLagOf(joint, this.#parts);
      if (!isKnown) this.#told.set(joint.joint, { lag, grounds, atMs: nowMs });
      if (lag !== null) lags.push(lag);
    }
    return lags;
  }

  /** What an outlook rests on beside readings. */
  #grounds(joint: Joint): string {
    const { site, tally } = this.#parts;
    const { assignments, attempt, laidUpMs } = joint;
    const settings = [...site.probes.values()].map(({ settings }) => settings.length);
    const forecast = site.forecasts.at(-1)?.seq;
    const reached = tally.fold(joint.joint)?.state.reached.length;
    return JSON.stringify([
      assignments,
      attempt,
      laidUpMs,
      settings,
      forecast,
      reached,
      heatingOf(site, joint),
      tally.revision(joint.joint),
    ]);
  }
}
