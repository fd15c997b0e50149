import { Fold, type FoldSpec, foldAll, type LaneReadings, type Piece } from '../cure/fold.ts';
import type { TakenColumns } from '../keeper/batch.ts';
import { canonicalJson, sha256Hex } from '../ledger/canonical.ts';
import type { FoldCheckpoint } from '../ledger/checkpoints.ts';
import type { Readings } from '../ledger/readings.ts';
import { foldSpecOf } from '../site/cureSpec.ts';
import type { SiteState } from '../site/state.ts';

/** Index of temperature among the quantities. */
export const TEMPERATURE = 0;

interface Counted {
  fold: Fold;
  /** Names what the fold was folded with: another name, another fold. */
  readonly specName: string;
  /** A reading came that the fold could not take in passing. */
  afresh: boolean;
}

/**
 * Keeps every joint's fold in step with the ledger: takes readings as they are committed, folds afresh what a late one touches,
 * and starts from the checkpoints of the last run. What it says is always what a fold from nothing would say.
 */
export class Tally {
  readonly #site: SiteState;
  readonly #readings: Readings;
  readonly #joints = new Map<string, Counted>();
  readonly #lanesOf = new Map<string, { joint: string; lane: number }[]>();
  readonly #touched = new Set<string>();
  /** Number of readings that the folds know of. The ledger may be a moment ahead. */
  #taken: number;

  /** `checkpoints` of another run are believed only where the joint's rules are still the same. */
  constructor(site: SiteState, readings: Readings, checkpoints: readonly FoldCheckpoint[] = []) {
    this.#site = site;
    this.#readings = readings;
    this.#taken = readings.taken;
    const kept = new Map(checkpoints.map((checkpoint) => [checkpoint.joint, checkpoint]));
    const resumed = new Map<string, FoldCheckpoint>();
    for (const [joint, spec, specName] of this.#specs()) {
      const checkpoint = kept.get(joint);
      const usable = checkpoint !== undefined && checkpoint.spec === specName && checkpoint.taken <= this.#taken;
      if (usable) resumed.set(joint, checkpoint);
      this.#joints.set(joint, { fold: usable ? new Fold(spec, checkpoint.state) : new Fold(spec), specName, afresh: !usable });
      this.#touched.add(joint);
    }
    this.#wire();
    this.#catchUp(resumed);
    this.settle();
  }

  /** Takes readings that have just been committed, in the order they were. */
  take({ names, probe, quantity, atMs, value, taken }: TakenColumns): void {
    const lanesOf = names.map((name) => this.#lanesOf.get(name));
    for (let row = 0; row < probe.length; row++) {
      const lanes = lanesOf[probe[row] as number];
      if (lanes === undefined || quantity[row] !== TEMPERATURE) continue;
      for (const { joint, lane } of lanes) this.#offer(joint, lane, atMs[row] as number, value[row] as number);
    }
    this.#taken = taken;
  }

  /** To be called when people have said something: joints whose rules changed are folded afresh, others are left alone. */
  rulesChanged(): void {
    const present = new Set<string>();
    for (const [joint, spec, specName] of this.#specs()) {
      present.add(joint);
      if (this.#joints.get(joint)?.specName === specName) continue;
      this.#joints.set(joint, { fold: new Fold(spec), specName, afresh: true });
      this.#touched.add(joint);
    }
    for (const joint of this.#joints.keys()) if (!present.has(joint)) this.#joints.delete(joint);
    this.#wire();
  }

  /** Settles every joint that readings or rules have touched; returns their names. */
  settle(): string[] {
    const settled = [...this.#touched];
    this.#touched.clear();
    for (const joint of settled) {
      const counted = this.#joints.get(joint);
      if (counted === undefined) continue;
      if (counted.afresh) {
        counted.fold = foldAll(counted.fold.spec, this.#history(counted.fold.spec));
        counted.afresh = false;
      } else counted.fold.advance();
    }
    return settled;
  }

  /** The joint's fold as last settled; null before lay-up. */
  fold(joint: string): Fold | null {
    return this.#joints.get(joint)?.fold ?? null;
  }

  /** Folds a joint from nothing, handing each stretch to `sink`: for charts and for checks. Null before lay-up. */
  replay(joint: string, sink: (piece: Piece) => void): Fold | null {
    const spec = this.#joints.get(joint)?.fold.spec;
    return spec === undefined ? null : foldAll(spec, this.#history(spec), sink);
  }

  /** Number of readings that the folds know of. */
  get taken(): number {
    return this.#taken;
  }

  /** Every fold as it stands, settled, to be kept. */
  checkpoints(): FoldCheckpoint[] {
    this.settle();
    return [...this.#joints].map(([joint, { fold, specName }]) => ({
      joint,
      spec: specName,
      state: fold.state,
      taken: this.#taken,
    }));
  }

  #offer(joint: string, lane: number, atMs: number, milliC: number): void {
    const counted = this.#joints.get(joint);
    if (counted === undefined) return;
    this.#touched.add(joint);
    if (!counted.afresh && !counted.fold.offer(lane, atMs, milliC)) counted.afresh = true;
  }

  /** Readings that were taken after a checkpoint was kept are still hot: folds are checkpointed before anything is sealed. */
  #catchUp(resumed: ReadonlyMap<string, FoldCheckpoint>): void {
    if (resumed.size === 0) return;
    const oldest = Math.min(...[...resumed.values()].map((checkpoint) => checkpoint.taken));
    for (const { probe, quantity, atMs, value, taken } of this.#readings.hotSince(oldest)) {
      if (quantity !== TEMPERATURE) continue;
      for (const { joint, lane } of this.#lanesOf.get(probe) ?? []) {
        const checkpoint = resumed.get(joint);
        if (checkpoint !== undefined && taken > checkpoint.taken) this.#offer(joint, lane, atMs, value);
      }
    }
  }

  #history(spec: FoldSpec): LaneReadings[] {
    return spec.lanes.map(({ probe }) => {
      const { atMs, value } = this.#readings.range(probe, TEMPERATURE, spec.startMs - spec.gapLimitMs, Number.POSITIVE_INFINITY);
      return { atMs, milliC: value };
    });
  }

  *#specs(): Generator<[joint: string, spec: FoldSpec, specName: string]> {
    for (const joint of this.#site.joints.values()) {
      const spec = foldSpecOf(this.#site, joint);
      if (spec !== null) yield [joint.joint, spec, nameOf(spec)];
    }
  }

  #wire(): void {
    this.#lanesOf.clear();
    for (const [joint, { fold }] of this.#joints) {
      fold.spec.lanes.forEach(({ probe }, lane) => {
        const lanes = this.#lanesOf.get(probe);
        if (lanes === undefined) this.#lanesOf.set(probe, [{ joint, lane }]);
        else lanes.push({ joint, lane });
      });
    }
  }
}

function nameOf(spec: FoldSpec): string {
  const lanes = spec.lanes.map((lane) => ({ ...lane, fromMs: String(lane.fromMs), untilMs: String(lane.untilMs) }));
  return sha256Hex(canonicalJson({ ...spec, lanes }));
}
