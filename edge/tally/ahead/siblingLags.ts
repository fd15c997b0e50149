import type { Lag } from '../../cure/outlook/input.ts';
import { HOUR_MS } from '../../cure/schedule.ts';
import { heatingOf } from '../../site/state/heating.ts';
import type { Joint } from '../../site/state/joint.ts';
import { type AheadParts, siblingLagOf } from './jointAhead.ts';
import { RECORD_MS } from './siteAir.ts';

/** What a joint tells of the others is asked again after half of this to all of it, not of all joints at the same time … */
const AGAIN_MS = 3 * HOUR_MS;
/** … and never again once its first two days are over for so long that what was measured then has come in. */
const SETTLED_AFTER_MS = RECORD_MS + 24 * HOUR_MS;
/** So many of the joints laid up last are asked: more would hardly tell more. */
const ASKED_MOST = 12;

interface Told {
  /** Null: nothing yet. */
  readonly lag: Lag | null;
  readonly grounds: string;
  readonly untilMs: number;
}

/** How the site's joints followed their air, for what is believed of its other ones. */
export class SiblingLags {
  readonly #parts: AheadParts;
  readonly #told = new Map<string, Told>();

  constructor(parts: AheadParts) {
    this.#parts = parts;
  }

  /** Of the other joints, as far as it is known or can be worked out by `endMs`. */
  of(own: string, endMs: number): Lag[] {
    return this.#asked()
      .filter(({ joint }) => joint !== own)
      .flatMap((joint) => {
        if (this.#parts.nowMs() < endMs && this.#isDue(joint)) this.#ask(joint);
        return this.#told.get(joint.joint)?.lag ?? [];
      });
  }

  /** To be called when something of a joint's past came late: what it tells is asked again. */
  forget(joint: string): void {
    this.#told.delete(joint);
  }

  /** Works out what it is time for, until `endMs`; whether that is all. */
  round(endMs: number): boolean {
    for (const joint of this.#asked()) {
      if (!this.#isDue(joint)) continue;
      if (this.#parts.nowMs() >= endMs) return false;
      this.#ask(joint);
    }
    return true;
  }

  #asked(): Joint[] {
    const laidUp = [...this.#parts.site.joints.values()].filter(({ laidUpMs }) => laidUpMs !== null);
    return laidUp.sort((a, b) => (b.laidUpMs ?? 0) - (a.laidUpMs ?? 0)).slice(0, ASKED_MOST + 1);
  }

  #isDue(joint: Joint): boolean {
    const known = this.#told.get(joint.joint);
    return known === undefined || this.#parts.nowMs() >= known.untilMs || known.grounds !== this.#grounds(joint);
  }

  #ask(joint: Joint): void {
    const nowMs = this.#parts.nowMs();
    const isSettled = nowMs - (joint.laidUpMs ?? nowMs) > SETTLED_AFTER_MS;
    const share = (1 + (this.#told.size % ASKED_MOST) / ASKED_MOST) / 2;
    this.#told.set(joint.joint, {
      lag: siblingLagOf(joint, this.#parts),
      grounds: this.#grounds(joint),
      untilMs: isSettled ? Number.POSITIVE_INFINITY : nowMs + AGAIN_MS * share,
    });
  }

  #grounds(joint: Joint): string {
    return JSON.stringify([joint.assignments, joint.laidUpMs, heatingOf(this.#parts.site, joint)]);
  }
}
