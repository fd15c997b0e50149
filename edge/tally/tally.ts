import { Fold, type FoldSpec, foldAll, type LaneReadings, type Piece } from '../cure/fold.ts';
import type { TakenColumns } from '../keeper/batch.ts';
import { canonicalJson, sha256Hex } from '../ledger/canonical.ts';
import type { FoldCheckpoint } from '../ledger/checkpoints.ts';
import type { Readings } from '../ledger/readings.ts';
import { foldSpecOf } from '../site/cureSpec.ts';
import { AHEAD_LIMIT_MS, isMistimed, type Stamp } from '../site/mistimed.ts';
import type { ClockStep, SiteState } from '../site/state.ts';

/** Index of temperature among the quantities. */
export const TEMPERATURE = 0;

interface Counted {
  fold: Fold;
  /** Names what the fold was folded with: another name, another fold. */
  readonly specName: string;
  /** A reading came that the fold could not take in passing. */
  afresh: boolean;
}

/** A reading stamped ahead of our clock. */
interface Early {
  readonly probe: string;
  readonly atMs: number;
  readonly milliC: number;
  /** Its number among all readings ever taken; null for one that was found in the ledger. */
  readonly taken: number | null;
}

/**
 * Keeps every joint's fold in step with the ledger: takes readings as they are committed, folds afresh what a late one touches,
 * and starts from the checkpoints of the last run. What it says is always what a fold from nothing would say.
 *
 * A probe whose clock runs ahead sends readings of instants that have not come. They wait until they have: nothing is credited
 * for time that has not passed.
 */
export class Tally {
  readonly #site: SiteState;
  readonly #readings: Readings;
  readonly #joints = new Map<string, Counted>();
  readonly #lanesOf = new Map<string, { joint: string; lane: number }[]>();
  readonly #touched = new Set<string>();
  readonly #nowMs: () => number;
  #early: Early[] = [];
  /** Number of readings seen here. The ledger may be a moment ahead. */
  #taken: number;

  /**
   * `checkpoints` of another run are believed only where the joint's rules are still the same. `nowMs` is the present, UTC ms;
   * without it every reading counts as past.
   */
  constructor(
    site: SiteState,
    readings: Readings,
    checkpoints: readonly FoldCheckpoint[] = [],
    nowMs: () => number = () => Number.POSITIVE_INFINITY,
  ) {
    this.#site = site;
    this.#readings = readings;
    this.#nowMs = nowMs;
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
    this.#findEarly();
    this.#catchUp(resumed, nowMs());
    this.settle();
  }

  /** Takes readings that have just been committed, in the order they were. */
  take({ names, probe, quantity, atMs, value, taken }: TakenColumns): void {
    const lanesOf = names.map((name) => this.#lanesOf.get(name));
    const nowMs = this.#nowMs();
    const firstTaken = taken - probe.length + 1;
    for (let row = 0; row < probe.length; row++) {
      if (quantity[row] !== TEMPERATURE) continue;
      const name = probe[row] as number;
      const ms = atMs[row] as number;
      if (ms <= nowMs) for (const { joint, lane } of lanesOf[name] ?? []) this.#offer(joint, lane, ms, value[row] as number);
      // Whatever lies further ahead came while our clock was wrong, and is looked for when that is set.
      else if (ms <= nowMs + AHEAD_LIMIT_MS)
        this.#early.push({ probe: names[name] as string, atMs: ms, milliC: value[row] as number, taken: firstTaken + row });
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

  /** To be called when the wall clock was set: what is past and what is to come is decided anew, for every joint. */
  clockChanged(): void {
    this.rulesChanged();
    this.#findEarly();
    for (const [joint, counted] of this.#joints) {
      counted.afresh = true;
      this.#touched.add(joint);
    }
  }

  /** Settles every joint that readings or rules have touched; returns their names. */
  settle(): string[] {
    this.#letDue();
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

  /** All readings up to this number are in the folds, as far as is known. */
  get folded(): number {
    let folded = this.#taken;
    for (const { taken } of this.#early) if (taken !== null && taken <= folded) folded = taken - 1;
    return folded;
  }

  /** Every fold as it stands, settled, to be kept; none while readings wait whose place in the ledger is not known. */
  checkpoints(): FoldCheckpoint[] {
    this.settle();
    if (this.#early.some((reading) => reading.taken === null)) return [];
    const taken = this.folded;
    return [...this.#joints].map(([joint, { fold, specName }]) => ({ joint, spec: specName, state: fold.state, taken }));
  }

  /** Whether a reading with this stamp is to be believed. */
  readonly counts = (stamp: Stamp): boolean => !isMistimed(this.#site.clockSteps, stamp);

  /** Looks in the ledger for readings of instants that have not come. */
  #findEarly(): void {
    this.#early = [];
    const fromMs = this.#nowMs() + 1;
    for (const probe of this.#lanesOf.keys()) {
      const { atMs, value } = this.#readings.range(probe, TEMPERATURE, fromMs, Number.POSITIVE_INFINITY, this.counts);
      atMs.forEach((ms, row) => {
        this.#early.push({ probe, atMs: ms, milliC: value[row] as number, taken: null });
      });
    }
  }

  /** Lets in the readings whose instant has come. */
  #letDue(): void {
    if (this.#early.length === 0) return;
    const nowMs = this.#nowMs();
    const due = this.#early.filter((reading) => reading.atMs <= nowMs).sort((a, b) => a.atMs - b.atMs);
    this.#early = this.#early.filter((reading) => reading.atMs > nowMs);
    for (const { probe, atMs, milliC } of due)
      for (const { joint, lane } of this.#lanesOf.get(probe) ?? []) this.#offer(joint, lane, atMs, milliC);
  }

  #offer(joint: string, lane: number, atMs: number, milliC: number): void {
    const counted = this.#joints.get(joint);
    if (counted === undefined) return;
    this.#touched.add(joint);
    if (atMs < historyFromMs(counted.fold.spec)) return;
    if (!counted.afresh && !counted.fold.offer(lane, atMs, milliC)) counted.afresh = true;
  }

  /** Readings that were taken after a checkpoint was kept are still hot: folds are checkpointed before anything is sealed. */
  #catchUp(resumed: ReadonlyMap<string, FoldCheckpoint>, nowMs: number): void {
    if (resumed.size === 0) return;
    const oldest = Math.min(...[...resumed.values()].map((checkpoint) => checkpoint.taken));
    for (const reading of this.#readings.hotSince(oldest)) {
      const { probe, quantity, atMs, value, taken } = reading;
      if (quantity !== TEMPERATURE || atMs > nowMs || !this.counts(reading)) continue;
      for (const { joint, lane } of this.#lanesOf.get(probe) ?? []) {
        const checkpoint = resumed.get(joint);
        if (checkpoint !== undefined && taken > checkpoint.taken) this.#offer(joint, lane, atMs, value);
      }
    }
  }

  #history(spec: FoldSpec): LaneReadings[] {
    const untilMs = this.#nowMs() + 1;
    return spec.lanes.map(({ probe }) => {
      const { atMs, value } = this.#readings.range(probe, TEMPERATURE, historyFromMs(spec), untilMs, this.counts);
      return { atMs, milliC: value };
    });
  }

  *#specs(): Generator<[joint: string, spec: FoldSpec, specName: string]> {
    for (const joint of this.#site.joints.values()) {
      const spec = foldSpecOf(this.#site, joint);
      if (spec !== null) yield [joint.joint, spec, nameOf(spec, this.#site.clockSteps)];
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

/** What a probe said before can prove nothing after the start. */
function historyFromMs(spec: FoldSpec): number {
  return spec.startMs - spec.gapLimitMs;
}

function nameOf(spec: FoldSpec, clockSteps: readonly ClockStep[]): string {
  const lanes = spec.lanes.map((lane) => ({ ...lane, fromMs: String(lane.fromMs), untilMs: String(lane.untilMs) }));
  return sha256Hex(canonicalJson({ ...spec, lanes, clockSteps }));
}
