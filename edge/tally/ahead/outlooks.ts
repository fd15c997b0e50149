import { setImmediate } from 'node:timers/promises';
import type { Lag } from '../../cure/outlook/input.ts';
import { type Outlook, project } from '../../cure/outlook/project.ts';
import { siblingPrior } from '../../cure/outlook/siblings.ts';
import { foldSpecOf } from '../../site/cureSpec.ts';
import { QUANTITIES } from '../../site/quantity.ts';
import { probeOfSource } from '../../site/sources.ts';
import { heatingOf } from '../../site/state/heating.ts';
import type { Joint } from '../../site/state/joint.ts';
import type { OutlookReason } from '../../site/views/outlook.ts';
import { Allowance } from './allowance.ts';
import { type Ahead, type AheadParts, aheadOf, type Fitted } from './jointAhead.ts';
import { SiblingLags } from './siblingLags.ts';
import { LATE_AGAIN_MS, RECORD_MS, RECORD_STEP_MS } from './siteAir.ts';

/** What lies ahead is worked out anew so often … */
const AGAIN_MS = 60_000;
/** … by a round; where none has come to it for so long, by who asks. */
const OVERDUE_MS = 10_000;
/** A round takes no longer than this, or one joint. */
const ROUND_MS = 50;
/** Who asks waits no longer than this in any tenth of a second, or for one joint … */
const INLINE_MS = 30;
/** … and for a joint of which something was just said, no longer than this. */
const SAID_INLINE_MS = 150;
/** How a joint follows its air is worked out anew so often once so many hours tell of it. */
const FIT_AGAIN_MS = 10 * 60_000;
const WELL_FITTED_HOURS = 6;

/** What lies ahead of a joint; without an input, why not. Neither: it has not been looked at yet. */
export interface JointOutlook {
  readonly atMs: number;
  readonly reason: OutlookReason | null;
  readonly ahead: Ahead | null;
  readonly outlook: Outlook | null;
}

/** What an outlook rests on beside readings. */
interface Grounds {
  /** With another one what was known is of something else. */
  readonly attempt: string;
  /** What concerns the joint itself … */
  readonly own: string;
  /** … and what concerns all of them. */
  readonly shared: string;
}

interface Kept extends JointOutlook {
  readonly grounds: Grounds;
  untilMs: number;
}

/**
 * Keeps what lies ahead of every joint up to date: on new readings within a minute, at once when something was said of the joint.
 * The work is done in rounds; who asks gets what is known, and works it out himself only where that takes no more than a moment.
 */
export class Outlooks {
  readonly #parts: AheadParts;
  readonly #allowance: Allowance;
  readonly #siblings: SiblingLags;
  readonly #kept = new Map<string, Kept>();
  readonly #fits = new Map<string, { readonly fit: Fitted; readonly own: string; readonly atMs: number }>();
  /** Joints whose grounds were looked at since something was last said. */
  readonly #checked = new Set<string>();
  /** When what a source said late was last a reason to look again. */
  readonly #lateMs = new Map<string, number>();
  readonly #onFault: (fault: Error) => void;
  #clockSteps: number;

  /** `onFault` is told what goes wrong in looking ahead. */
  constructor(parts: AheadParts, onFault: (fault: Error) => void = () => undefined) {
    this.#onFault = onFault;
    this.#parts = { ...parts, readings: parts.air.recent };
    this.#allowance = new Allowance(parts.nowMs);
    this.#siblings = new SiblingLags(this.#parts);
    this.#clockSteps = parts.site.clockSteps.length;
  }

  /** To be called when something has been said, or the clock was set. */
  changed(): void {
    this.#checked.clear();
    const { length } = this.#parts.site.clockSteps;
    if (length === this.#clockSteps) return;
    this.#clockSteps = length;
    this.#parts.air.forget();
    this.#fits.clear();
  }

  /**
   * To be called when readings of a source came that were measured a while ago, from `sinceMs` on: what rests on them is looked at
   * again soon, but not more often than once a minute.
   */
  late(source: string, sinceMs = Number.NEGATIVE_INFINITY): void {
    const { air, site, nowMs } = this.#parts;
    air.late(source, sinceMs);
    const now = nowMs();
    // What is no older than a step of the record is seen when its joints have their turn.
    if (sinceMs > now - RECORD_STEP_MS) return;
    const againMs = Math.max(now + LATE_AGAIN_MS, (this.#lateMs.get(source) ?? Number.NEGATIVE_INFINITY) + AGAIN_MS);
    if (againMs <= now + LATE_AGAIN_MS) this.#lateMs.set(source, againMs);
    const probe = probeOfSource(source);
    const isAir = air.probe === probe;
    for (const { joint, assignments } of site.joints.values()) {
      const assigned = assignments.at(-1);
      if (!isAir && assigned?.ambient !== probe && !assigned?.probes.includes(probe)) continue;
      this.#siblings.forget(joint);
      this.#fits.delete(joint);
      const kept = this.#kept.get(joint);
      if (kept !== undefined && kept.untilMs > againMs && kept.untilMs !== Number.POSITIVE_INFINITY) kept.untilMs = againMs;
    }
  }

  /** What is known to lie ahead of a joint, with the moment that it is of. */
  of(joint: Joint): JointOutlook {
    const nowMs = this.#parts.nowMs();
    const known = this.#kept.get(joint.joint);
    const isOverdue = known === undefined || nowMs < known.atMs || nowMs >= known.untilMs + OVERDUE_MS;
    if (!isOverdue && this.#checked.has(joint.joint)) return known;
    const grounds = this.#grounds(joint);
    if (!isOverdue && isSame(known.grounds, grounds)) {
      this.#checked.add(joint.joint);
      return known;
    }
    const isSaid = known !== undefined && known.grounds.own !== grounds.own;
    const looked = this.#allowance.spend(isSaid ? SAID_INLINE_MS : INLINE_MS, (untilMs) =>
      this.#read(joint, untilMs) ? this.#look(joint, grounds, untilMs) : null,
    );
    if (looked !== null) return looked;
    return known?.grounds.attempt === grounds.attempt ? known : { atMs: nowMs, reason: null, ahead: null, outlook: null };
  }

  /** Works out what is not known yet of these joints, or not since something was said, one at a time, letting others go first. */
  async ready(joints: readonly Joint[]): Promise<void> {
    const { nowMs } = this.#parts;
    for (const joint of joints) {
      const known = this.#kept.get(joint.joint);
      if (known !== undefined && isSame(known.grounds, this.#grounds(joint))) continue;
      while (!this.#read(joint, nowMs() + INLINE_MS)) await setImmediate();
      this.#look(joint, this.#grounds(joint), nowMs() + INLINE_MS);
      await setImmediate();
    }
  }

  /** What is believed of a joint that is not there yet, from how the site's other joints follow their air. */
  get prior(): Lag {
    return siblingPrior(this.#siblings.of('', this.#parts.nowMs() + INLINE_MS));
  }

  /** Works out anew what it is time for; returns the joints that were looked at. */
  round(): string[] {
    const { air, nowMs } = this.#parts;
    const endMs = nowMs() + ROUND_MS;
    const looked: string[] = [];
    for (const { joint, grounds } of this.#due()) {
      if (!this.#read(joint, endMs)) return looked;
      this.#look(joint, grounds, endMs);
      looked.push(joint.joint);
      if (nowMs() >= endMs) return looked;
    }
    if (this.#siblings.round(endMs)) air.round(endMs);
    return looked;
  }

  /** Whether any joint has not been looked at yet, or not since something was said that bears on it. */
  get isBehind(): boolean {
    return this.#due().some(({ isNew }) => isNew);
  }

  /** Those whose turn it is: first the ones of sumps with bookings, then what was not looked at for longest. */
  #due() {
    const { site, nowMs } = this.#parts;
    const now = nowMs();
    const due: { joint: Joint; grounds: Grounds; isNew: boolean; isBooked: boolean; atMs: number }[] = [];
    for (const joint of site.joints.values()) {
      if (joint.laidUpMs === null || this.#isDone(joint)) continue;
      const known = this.#kept.get(joint.joint);
      const isTime = known !== undefined && (now < known.atMs || now >= known.untilMs);
      if (known !== undefined && !isTime && this.#checked.has(joint.joint)) continue;
      const grounds = this.#grounds(joint);
      const isNew = known === undefined || !isSame(known.grounds, grounds);
      if (!isNew) this.#checked.add(joint.joint);
      if (!isNew && !isTime) continue;
      const isBooked = (site.sumps.get(joint.sump)?.bookings.size ?? 0) > 0;
      due.push({ joint, grounds, isNew, isBooked, atMs: isNew ? 0 : known.atMs });
    }
    return due.sort((a, b) => Number(b.isBooked) - Number(a.isBooked) || a.atMs - b.atMs);
  }

  /** Reads what a joint's sources said in the last two days, piece by piece until `endMs`; whether it is all there. */
  #read(joint: Joint, endMs: number): boolean {
    const { site, air, nowMs } = this.#parts;
    const spec = foldSpecOf(site, joint);
    const fromMs = nowMs() - RECORD_MS;
    for (const [index, lane] of (spec?.lanes ?? []).entries()) {
      const feed = spec?.feeds[index];
      if (feed === undefined || lane.untilMs <= fromMs) continue;
      const sinceMs = Math.max(fromMs, lane.fromMs);
      while (!air.recent.reach(lane.probe, QUANTITIES.indexOf(feed.quantity), sinceMs)) if (nowMs() >= endMs) return false;
    }
    return true;
  }

  #look(joint: Joint, grounds: Grounds, untilMs: number): Kept {
    const nowMs = this.#parts.nowMs();
    const looked = this.#tried(joint, () => {
      const ahead = aheadOf(joint, this.#parts, (compute) => this.#fitted(joint, grounds.own, compute, untilMs));
      return typeof ahead === 'string' ? ahead : { ahead, outlook: project(ahead.input) };
    });
    const isOver = this.#isDone(joint) || joint.laidUpMs === null;
    const kept: Kept = {
      atMs: nowMs,
      untilMs: isOver ? Number.POSITIVE_INFINITY : nowMs + AGAIN_MS,
      grounds,
      ...(typeof looked === 'string' ? { reason: looked, ahead: null, outlook: null } : { reason: null, ...looked }),
    };
    this.#checked.add(joint.joint);
    this.#kept.set(joint.joint, kept);
    return kept;
  }

  /** A fault of ours in looking ahead is told, and stops nothing else; what cannot be read is a fault of the ledger. */
  #tried<T>({ joint }: Joint, look: () => T): T | OutlookReason {
    try {
      return look();
    } catch (fault) {
      if (!(fault instanceof Error) || ('code' in fault && fault.code === 'ERR_SQLITE_ERROR')) throw fault;
      this.#onFault(new Error(`joint "${joint}": ${fault.message}`));
      return 'not-yet';
    }
  }

  #fitted({ joint }: Joint, own: string, compute: (prior: Lag) => Fitted, untilMs: number): Fitted {
    const nowMs = this.#parts.nowMs();
    const known = this.#fits.get(joint);
    const againMs = (known?.fit.lag.fittedHours ?? 0) < WELL_FITTED_HOURS ? AGAIN_MS : FIT_AGAIN_MS;
    if (known !== undefined && known.own === own && Math.abs(nowMs - known.atMs) < againMs) return known.fit;
    const fit = compute(siblingPrior(this.#siblings.of(joint, untilMs)));
    this.#fits.set(joint, { fit, own, atMs: nowMs });
    return fit;
  }

  /** Every stage was reached: nothing lies ahead any more. */
  #isDone({ joint }: Joint): boolean {
    const fold = this.#parts.tally.fold(joint);
    return fold !== null && fold.state.reached.length >= fold.spec.stages.length;
  }

  #grounds(joint: Joint): Grounds {
    const { site, tally, air } = this.#parts;
    const { assignments, laidUpMs } = joint;
    const redone = site.redone.get(joint.joint)?.recordedMs;
    const settingsOf = (probe: string | null | undefined) => {
      const known = probe == null ? undefined : site.probes.get(probe);
      return [known?.settings.length, known?.imports.length];
    };
    const assigned = assignments.at(-1);
    const attempt = JSON.stringify([joint.attempt, laidUpMs, redone]);
    const own = [attempt, assignments, [...(assigned?.probes ?? []), assigned?.ambient].map(settingsOf), heatingOf(site, joint)];
    const counted = [tally.fold(joint.joint)?.state.reached.length, tally.revision(joint.joint)];
    const said = [site.forecasts.length, site.forecasts.at(-1)?.seq, air.probe, settingsOf(air.probe), site.clockSteps.length];
    return { attempt, own: JSON.stringify(own), shared: JSON.stringify([counted, said]) };
  }
}

function isSame(a: Grounds, b: Grounds): boolean {
  return a.own === b.own && a.shared === b.shared;
}
