import { bearsOn } from '../evidence/bearing.ts';
import { countsOf, hoursOfJoint } from '../evidence/hours.ts';
import type { ReadingSource } from '../evidence/readings.ts';
import { lanesSealed, type Placed, type Sealed, sealedOf } from '../evidence/sealed.ts';
import type { Entry } from '../site/entries.ts';
import { ownerOf } from '../site/findings/id.ts';
import type { Joint } from '../site/state/joint.ts';
import type { Seal } from '../site/state/seal.ts';
import type { SiteState } from '../site/state/site.ts';
import type { JointView } from '../site/views/joint.ts';
import { remembered } from './remembered.ts';

/** What came late is sealed so often at most, and looked for so often at most. */
const LATE_AGAIN_MS = 10 * 60_000;

/** A joint that is to be sealed, and why. */
export interface Due {
  readonly joint: string;
  readonly why: Sealed['why'];
  /** The last stage that it has cleared; null where that is not why. */
  readonly stage: string | null;
}

interface SealsParts {
  readonly site: SiteState;
  /** Changes whenever what was settled of a joint was worked out anew. */
  readonly revision: (joint: string) => number;
  readonly nowMs: () => number;
  readonly monoMs: () => number;
}

/**
 * Decides when a joint is to be sealed, and what the seal says. What is on record tells it what was sealed already, so that it goes on
 * after a restart where it left off.
 */
export class Seals {
  readonly #parts: SealsParts;
  /** All entries that may bear on a joint. */
  readonly #entries: Placed[] = [];
  /** Joints with a decision on a finding, or one taken back, that no seal has seen. */
  readonly #decided = new Set<string>();
  /** The joint that a decision is about, by its place in the ledger. */
  readonly #deciding = new Map<number, string>();
  /** By joint: the fold that the newest seal, or the last look for what came late, was made of. */
  readonly #looked = new Map<string, { readonly revision: number; readonly lateMonoMs: number }>();

  constructor(parts: SealsParts) {
    this.#parts = parts;
  }

  /** To be called with every entry, in ledger order, once it is in the site's state. */
  said(entry: Entry, seq: number): void {
    // Neither bears on a joint, and forecasts are long.
    if (entry.kind !== 'forecast.given' && !entry.kind.startsWith('warning.')) this.#entries.push({ seq, entry });
    switch (entry.kind) {
      case 'finding.decided': {
        const joint = ownerOf(entry.finding);
        this.#deciding.set(seq, joint);
        this.#decided.add(joint);
        return;
      }
      case 'entry.withdrawn': {
        const joint = this.#deciding.get(entry.seq);
        if (joint !== undefined) this.#decided.add(joint);
        return;
      }
      case 'joint.sealed':
        this.#decided.delete(entry.joint);
    }
  }

  /** Whether and why a joint may have to be sealed; null: nothing speaks for it. Cheap: `made` looks closer. */
  due({ joint: name, stages }: Pick<JointView, 'joint' | 'stages'>): Due | null {
    const joint = this.#parts.site.joints.get(name);
    if (joint === undefined || joint.laidUpMs === null) return null;
    const own = sealsOf(joint);
    const newest = own.at(-1);
    const cleared = stages.findLast(({ clearAt }) => clearAt !== null)?.stage;
    if (cleared !== undefined) {
      const isDone = stages.every(({ clearAt }) => clearAt !== null);
      const order = stages.map(({ stage }) => stage);
      const furthest = Math.max(...own.map(({ stage }) => (stage === null ? -1 : order.indexOf(stage))), -1);
      const isSealed = furthest >= order.indexOf(cleared) && (!isDone || own.some(({ why }) => why === 'done'));
      // A late reading may have taken the stage away after it was sealed, and it was reached again since.
      const isStill = newest?.reached.some(({ stage }) => stage === cleared) === true;
      if (!isSealed || !isStill) return { joint: name, why: isDone ? 'done' : 'stage', stage: cleared };
    }
    if (newest === undefined) return null;
    if (this.#decided.has(name)) return { joint: name, why: 'decided', stage: null };
    const looked = this.#looked.get(name);
    const isFresh = looked?.revision === this.#parts.revision(name);
    const isEarly = looked !== undefined && this.#parts.monoMs() - looked.lateMonoMs < LATE_AGAIN_MS;
    return isFresh || isEarly ? null : { joint: name, why: 'late', stage: null };
  }

  /** The seal, of what is on record now and the readings of `source`; null where there is nothing new to say. */
  made({ joint: name, why, stage }: Due, source: ReadingSource): Sealed | null {
    const { site, nowMs, monoMs } = this.#parts;
    const joint = site.joints.get(name);
    if (joint === undefined) return null;
    const newest = joint.seals.at(-1);
    const readings = remembered(source);
    const lateMonoMs = why === 'late' ? monoMs() : (this.#looked.get(name)?.lateMonoMs ?? Number.NEGATIVE_INFINITY);
    // What is asked for looks at readings in leaves alone: what came late may not be among them yet.
    if (why !== 'asked') this.#looked.set(name, { revision: this.#parts.revision(name), lateMonoMs });
    if (why === 'late' && !this.#hasChanged(joint, readings)) return null;
    const bears = bearsOn(site, name);
    const bearing = this.#entries.filter(({ entry, seq }) => bears(entry, seq));
    const sealed = sealedOf(site, joint, bearing, readings, nowMs());
    // A late reading may have come since `due`.
    if (stage !== null && !sealed.reached.some((one) => one.stage === stage)) return null;
    const isSaid = newest !== undefined && isSame(newest, sealed) && !bearing.some((one) => isNews(one, newest));
    return why === 'asked' && isSaid ? null : { ...sealed, why, ...(stage === null ? {} : { stage }) };
  }

  /** Whether what was sealed last looks different by what the ledger holds now. */
  #hasChanged(joint: Joint, readings: ReadingSource): boolean {
    const { site, nowMs } = this.#parts;
    const last = sealsOf(joint).at(-1);
    const hours = hoursOfJoint(site, joint, readings, nowMs());
    if (last === undefined || last.provenUntilMs === null || hours === null) return false;
    const { provenUntilMs } = last;
    const reached = hours.state.reached.filter(({ reachedAtMs }) => reachedAtMs <= provenUntilMs);
    const lanes = lanesSealed(hours.spec, readings, provenUntilMs, countsOf(site));
    return (
      last.creditPpmMs !== hours.creditAt(provenUntilMs) ||
      JSON.stringify(last.reached) !== JSON.stringify(reached.map(({ stage, reachedAtMs }) => ({ stage, reachedAtMs }))) ||
      last.lanes.some(
        ({ source, quantity, sha256 }) =>
          !lanes.some((lane) => lane.source === source && lane.quantity === quantity && lane.sha256 === sha256),
      )
    );
  }
}

/** The seals of a joint as it is laid up now. */
function sealsOf({ seals, attempt, laidUpMs }: Joint): Seal[] {
  return seals.filter((seal) => seal.attempt === attempt && seal.laidUpMs === laidUpMs);
}

/** An entry that a seal has not seen, other than itself. */
function isNews({ seq, entry }: Placed, seal: Seal): boolean {
  return seq > seal.seq && entry.kind !== 'joint.sealed';
}

function isSame(seal: Seal, made: Omit<Sealed, 'why' | 'stage'>): boolean {
  return (
    seal.attempt === made.attempt &&
    seal.laidUpMs === msOrNull(made.laidUpAt) &&
    seal.provenUntilMs === msOrNull(made.provenUntil) &&
    seal.creditPpmMs === made.creditPpmMs &&
    JSON.stringify([seal.reached, seal.lanes]) === JSON.stringify([made.reached, made.lanes])
  );
}

function msOrNull(instant: string | null): number | null {
  return instant === null ? null : Date.parse(instant);
}
