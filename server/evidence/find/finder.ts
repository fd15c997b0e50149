import { setImmediate as others } from 'node:timers/promises';
import { CodedError } from '../../../edge/errors.ts';
import type { Entry } from '../../../edge/site/entries.ts';
import type { FindingCode } from '../../../edge/site/findings/catalogue.ts';
import { type SiteState, standing } from '../../../edge/site/state/site.ts';
import { iso, isoOrNull } from '../../../edge/site/views/iso.ts';
import type { LiveSite } from '../../../edge/tally/liveSite.ts';
import type { FoundJoint, FoundView, RecallView } from '../views.ts';
import { type Indexed, JointIndex, newestFirst, type Wanted } from './jointIndex.ts';
import { keyOf } from './words.ts';

/** So many are given in one answer. */
export const FOUND_MOST = 200;
/** Entries taken in, and joints looked at closely, before others on this thread have their turn. */
const ENTRIES_AT_ONCE = 500;
const JOINTS_AT_ONCE = 20;

export interface Asked extends Wanted {
  /** Identifier or name of the site. */
  readonly site?: string | undefined;
  /** `any`: whatever stood out. */
  readonly finding?: FindingCode | 'any' | undefined;
}

type Uses = RecallView['joints'][number]['uses'];

/** Finds the joints that evidence is asked for, and tells what is known of each. */
export class Finder {
  readonly #live: LiveSite;
  readonly #index: JointIndex;
  /** Up to which place of the ledger the index has come. */
  #taken = 0;
  #catchingUp: Promise<void> | null = null;

  constructor(live: LiveSite) {
    this.#live = live;
    this.#index = new JointIndex(live.state);
  }

  /** The joints that fit, newest work first. */
  async find({ site, finding, ...wanted }: Asked): Promise<FoundView> {
    await this.#catchUp();
    if (site !== undefined && !this.#isHere(site)) return { total: 0, joints: [] };
    if (finding === undefined) {
      const { total, joints } = this.#index.find(wanted, FOUND_MOST);
      return { total, joints: joints.map((each) => this.#found(each)) };
    }
    // What stands out is worked out anew each time, and nowhere written down.
    const fitting: Indexed[] = [];
    let looked = 0;
    for (const each of [...this.#index.matching(wanted)].sort(newestFirst)) {
      if (++looked % JOINTS_AT_ONCE === 0) await others();
      if (this.#hasFinding(each.joint, finding)) fitting.push(each);
    }
    return { total: fitting.length, joints: fitting.slice(0, FOUND_MOST).map((each) => this.#found(each)) };
  }

  /** Every joint that the lot went into, newest work first. @throws CodedError `not-found`. */
  async recall(lot: string): Promise<RecallView> {
    await this.#catchUp();
    const known = this.#live.state.lots.get(lot);
    const joints = [...this.#index.matching({ lot: keyOf(lot) })].filter(({ lots }) => lots.includes(lot)).sort(newestFirst);
    if (known === undefined && joints.length === 0) throw new CodedError('not-found', `there is no lot "${lot}" on this site`);
    const found: RecallView['joints'] = [];
    for (const each of joints) {
      if (found.length % JOINTS_AT_ONCE === JOINTS_AT_ONCE - 1) await others();
      found.push({ ...this.#found(each), uses: this.#usesOf(each.joint, lot) });
    }
    return { lot, label: known?.label ?? null, material: known?.material ?? null, joints: found };
  }

  #catchUp(): Promise<void> {
    this.#catchingUp ??= this.#takeIn().finally(() => {
      this.#catchingUp = null;
    });
    return this.#catchingUp;
  }

  async #takeIn(): Promise<void> {
    for (let more = true; more; ) {
      more = false;
      let count = 0;
      for (const { seq, entry } of this.#live.ledger.entries(this.#taken)) {
        more = count === ENTRIES_AT_ONCE;
        // What was written this very moment may not have come through to the state; it is taken in the next time.
        if (more || !isKnown(this.#live.state, entry, seq)) break;
        this.#index.take(entry, seq);
        this.#taken = seq;
        count++;
      }
      if (more) await others();
    }
  }

  #isHere(site: string): boolean {
    const { site: id, state } = this.#live;
    return [id, state.name ?? id].some((name) => keyOf(name) === keyOf(site));
  }

  #hasFinding(joint: string, code: FindingCode | 'any'): boolean {
    const { views } = this.#live;
    const view = views.joint(joint);
    return [...view.findings, ...views.sump(view.sump).findings].some((finding) => code === 'any' || finding.code === code);
  }

  #found({ joint: name, people, lots }: Indexed): FoundJoint {
    const { views, state } = this.#live;
    const { joint, label, sump, phase, laidUpAt, findings } = views.joint(name);
    const { label: sumpLabel = sump, serial = null } = state.sumps.get(sump) ?? {};
    const open = findings.filter((finding) => finding.open).length;
    return {
      ...{ joint, label, sump, sumpLabel, serial, phase, laidUpAt },
      people: [...people],
      lots: [...lots],
      findings: { open, decided: findings.length - open },
      sealedAt: isoOrNull(state.joints.get(name)?.seals.at(-1)?.atMs ?? null),
      packet: `/api/joints/${name}/evidence.zip`,
    };
  }

  #usesOf(name: string, lot: string): Uses {
    const joint = this.#live.views.jointState(name);
    const present = new Set(joint.mixes.map(({ seq }) => seq));
    const uses: Uses = [];
    for (const { seq, entry, atMs, by } of standing(joint)) {
      if (entry.kind !== 'mix.recorded') continue;
      for (const as of ['resin', 'catalyst'] as const)
        if (entry[`${as}Lot`] === lot) uses.push({ as, at: iso(atMs), by: by.name, present: present.has(seq) });
    }
    return uses;
  }
}

/** Whether the state holds an entry, as far as it speaks of a joint or a sump. */
function isKnown({ rederive }: SiteState, entry: Entry, seq: number): boolean {
  if (entry.kind === 'entry.withdrawn') return rederive.get(entry.seq)?.subject.withdrawals.has(entry.seq) === true;
  const isIndexed = 'joint' in entry || 'sump' in entry || entry.kind === 'finding.decided';
  return !isIndexed || entry.by.role === 'system' || rederive.has(seq);
}
