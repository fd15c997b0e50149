import { Fold, foldAll, type LaneReadings, type Piece } from '../cure/fold.ts';
import type { Episode } from '../cure/inspect/episode.ts';
import { canonicalJson, sha256Hex } from '../evidence/canonical.ts';
import { QUANTITIES } from '../intake/quantities.ts';
import type { TakenColumns } from '../keeper/batch.ts';
import type { FoldCheckpoint } from '../ledger/checkpoints.ts';
import type { Readings } from '../ledger/readings.ts';
import { foldSpecOf, historyFromMs, type JointSpec, mixSpecOf } from '../site/cureSpec.ts';
import { countedOf, type Feed } from '../site/feed.ts';
import { AHEAD_LIMIT_MS, isMistimed, type Stamp } from '../site/mistimed.ts';
import type { ClockStep, SiteState } from '../site/state/site.ts';
import { valuesOf } from './values.ts';

/** Stands after a joint's name for the fold from its last mix; no id has a slash. */
const FROM_MIX = '/mix';

interface Counted {
  fold: Fold;
  readonly spec: JointSpec;
  /** Names what the fold was folded with: another name, another fold. */
  readonly specName: string;
  /** A reading came that the fold could not take in passing. */
  afresh: boolean;
  /** How often it was folded from nothing. */
  revision: number;
}

/** A lane of a fold. */
interface Place {
  readonly key: string;
  readonly lane: number;
  readonly feed: Feed;
}

/** A reading stamped ahead of our clock. */
interface Early {
  readonly source: string;
  readonly quantity: number;
  readonly atMs: number;
  readonly stored: number;
  /** Its number among all readings ever taken; null for one that was found in the ledger. */
  readonly taken: number | null;
}

/**
 * Keeps every joint's fold, and the one from its last mix, in step with the ledger: takes readings as they are committed, folds afresh what a late one touches,
 * and starts from the checkpoints of the last run. What it says is always what a fold from nothing would say.
 *
 * A probe whose clock runs ahead sends readings of instants that have not come. They wait until they have: nothing is credited
 * for time that has not passed.
 */
export class Tally {
  readonly #site: SiteState;
  readonly #readings: Readings;
  readonly #folds = new Map<string, Counted>();
  /** By source, then by the code of the quantity. */
  readonly #placesOf = new Map<string, (Place[] | undefined)[]>();
  readonly #touched = new Set<string>();
  readonly #nowMs: () => number;
  /** Of the checkpoints that were believed, by joint. */
  readonly resumedEpisodes = new Map<string, readonly Episode[]>();
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
    for (const [key, spec, specName] of this.#specs()) {
      const checkpoint = kept.get(key);
      const usable = checkpoint !== undefined && checkpoint.spec === specName && checkpoint.taken <= this.#taken;
      if (usable) resumed.set(key, checkpoint);
      if (usable && checkpoint.episodes !== null) this.resumedEpisodes.set(key, checkpoint.episodes);
      const fold = usable ? new Fold(spec, checkpoint.state) : new Fold(spec);
      this.#folds.set(key, { fold, spec, specName, afresh: !usable, revision: 0 });
      this.#touched.add(key);
    }
    this.#wire();
    this.#findEarly(() => true);
    this.#catchUp(resumed, nowMs());
    this.settle();
  }

  /** Takes readings that have just been committed, in the order they were. */
  take({ names, probe, quantity, atMs, value, taken }: TakenColumns): void {
    const placesOf = names.map((name) => this.#placesOf.get(name));
    const nowMs = this.#nowMs();
    const firstTaken = taken - probe.length + 1;
    for (let row = 0; row < probe.length; row++) {
      const name = probe[row] as number;
      const code = quantity[row] as number;
      const places = placesOf[name]?.[code];
      if (places === undefined) continue;
      const ms = atMs[row] as number;
      if (ms <= nowMs) for (const place of places) this.#offer(place, ms, value[row] as number);
      // Whatever lies further ahead came while our clock was wrong, and is looked for when that is set.
      else if (ms <= nowMs + AHEAD_LIMIT_MS) {
        const source = names[name] as string;
        this.#early.push({ source, quantity: code, atMs: ms, stored: value[row] as number, taken: firstTaken + row });
      }
    }
    this.#taken = taken;
  }

  /** Readings up to this number are in the ledger that no fold has seen: of a source that none has a lane for yet. */
  noteTaken(taken: number): void {
    this.#taken = Math.max(this.#taken, taken);
  }

  /** To be called when people have said something: joints whose rules changed are folded afresh, others are left alone. */
  rulesChanged(): void {
    const present = new Set<string>();
    for (const [key, spec, specName] of this.#specs()) {
      present.add(key);
      if (this.#folds.get(key)?.specName === specName) continue;
      const revision = (this.#folds.get(key)?.revision ?? 0) + 1;
      this.#folds.set(key, { fold: new Fold(spec), spec, specName, afresh: true, revision });
      this.#touched.add(key);
    }
    for (const key of this.#folds.keys()) if (!present.has(key)) this.#folds.delete(key);
    const wired = new Map([...this.#placesOf].map(([source, byQuantity]) => [source, Object.keys(byQuantity).map(Number)]));
    this.#wire();
    // Of a source that no fold had a lane for, readings ahead of our clock were let go by when they came.
    this.#findEarly((source, quantity) => !(wired.get(source)?.includes(quantity) ?? false));
  }

  /** To be called when the wall clock was set: what is past and what is to come is decided anew, for every joint. */
  clockChanged(): void {
    this.rulesChanged();
    this.#early = [];
    this.#findEarly(() => true);
    for (const [key, counted] of this.#folds) {
      counted.afresh = true;
      this.#touched.add(key);
    }
  }

  /** Settles every joint that readings or rules have touched; returns their names. */
  settle(): string[] {
    this.#letDue();
    const settled = new Set<string>();
    for (const key of this.#touched) {
      const counted = this.#folds.get(key);
      settled.add(jointOfKey(key));
      if (counted === undefined) continue;
      if (counted.afresh) {
        counted.fold = foldAll(counted.spec, this.#history(counted.spec));
        counted.afresh = false;
        counted.revision++;
      } else counted.fold.advance();
    }
    this.#touched.clear();
    return [...settled];
  }

  /** The joint's fold as last settled; null before lay-up. */
  fold(joint: string): Fold | null {
    return this.#folds.get(joint)?.fold ?? null;
  }

  /** The fold from the joint's last mix; null where its schedule counts nothing from there, and before. */
  mixFold(joint: string): Fold | null {
    return this.#folds.get(joint + FROM_MIX)?.fold ?? null;
  }

  /** Changes whenever what was settled of the joint was worked out anew. */
  revision(joint: string): number {
    return (this.#folds.get(joint)?.revision ?? 0) + (this.#folds.get(joint + FROM_MIX)?.revision ?? 0);
  }

  /** Folds a joint from nothing, handing each stretch to `sink`: for charts and for checks. Null before lay-up. */
  replay(joint: string, sink: (piece: Piece) => void): Fold | null {
    const spec = this.#folds.get(joint)?.spec;
    return spec === undefined ? null : foldAll(spec, this.#history(spec), sink);
  }

  /** All readings up to this number are in the folds, as far as is known. */
  get folded(): number {
    let folded = this.#taken;
    for (const { taken } of this.#early) if (taken !== null && taken <= folded) folded = taken - 1;
    return folded;
  }

  /**
   * Every fold as it stands, settled, to be kept, with what `episodesOf` a joint is known; none while readings wait whose place in
   * the ledger is not known.
   */
  checkpoints(episodesOf: (joint: string) => readonly Episode[] | null = () => null): FoldCheckpoint[] {
    this.settle();
    if (this.#early.some((reading) => reading.taken === null)) return [];
    const taken = this.folded;
    return [...this.#folds].map(([key, { fold, specName }]) => ({
      joint: key,
      spec: specName,
      state: fold.state,
      taken,
      episodes: episodesOf(key),
    }));
  }

  /** Whether a reading with this stamp is to be believed. */
  readonly counts = (stamp: Stamp): boolean => !isMistimed(this.#site.clockSteps, stamp);

  /** Looks in the ledger for readings of instants that have not come, of the sources that `of` picks. */
  #findEarly(of: (source: string, quantity: number) => boolean): void {
    const fromMs = this.#nowMs() + 1;
    for (const [source, byQuantity] of this.#placesOf)
      byQuantity.forEach((_, quantity) => {
        if (!of(source, quantity)) return;
        const { atMs, value } = this.#readings.range(source, quantity, fromMs, Number.POSITIVE_INFINITY, this.counts);
        atMs.forEach((ms, row) => {
          this.#early.push({ source, quantity, atMs: ms, stored: value[row] as number, taken: null });
        });
      });
  }

  /** Lets in the readings whose instant has come. */
  #letDue(): void {
    if (this.#early.length === 0) return;
    const nowMs = this.#nowMs();
    const due = this.#early.filter((reading) => reading.atMs <= nowMs).sort((a, b) => a.atMs - b.atMs);
    this.#early = this.#early.filter((reading) => reading.atMs > nowMs);
    for (const { source, quantity, atMs, stored } of due)
      for (const place of this.#placesOf.get(source)?.[quantity] ?? []) this.#offer(place, atMs, stored);
  }

  #offer({ key, lane, feed }: Place, atMs: number, stored: number): void {
    const counted = this.#folds.get(key);
    if (counted === undefined) return;
    this.#touched.add(key);
    if (counted.afresh || atMs < historyFromMs(counted.spec)) return;
    const value = countedOf(feed, stored);
    if (value !== null && !counted.fold.offer(lane, atMs, value)) counted.afresh = true;
  }

  /** Readings that were taken after a checkpoint was kept are still hot: folds are checkpointed before anything is sealed. */
  #catchUp(resumed: ReadonlyMap<string, FoldCheckpoint>, nowMs: number): void {
    if (resumed.size === 0) return;
    const oldest = Math.min(...[...resumed.values()].map((checkpoint) => checkpoint.taken));
    for (const reading of this.#readings.hotSince(oldest)) {
      const { probe, quantity, atMs, value, taken } = reading;
      if (atMs > nowMs || !this.counts(reading)) continue;
      for (const place of this.#placesOf.get(probe)?.[quantity] ?? []) {
        const checkpoint = resumed.get(place.key);
        if (checkpoint !== undefined && taken > checkpoint.taken) this.#offer(place, atMs, value);
      }
    }
  }

  #history(spec: JointSpec): LaneReadings[] {
    const untilMs = this.#nowMs() + 1;
    return spec.lanes.map(({ probe }, lane) =>
      valuesOf(this.#readings, probe, spec.feeds[lane] as Feed, historyFromMs(spec), untilMs, this.counts),
    );
  }

  *#specs(): Generator<[key: string, spec: JointSpec, specName: string]> {
    for (const joint of this.#site.joints.values()) {
      const spec = foldSpecOf(this.#site, joint);
      if (spec !== null) yield [joint.joint, spec, nameOf(spec, this.#site.clockSteps)];
      const fromMix = mixSpecOf(this.#site, joint);
      if (fromMix !== null) yield [joint.joint + FROM_MIX, fromMix, nameOf(fromMix, this.#site.clockSteps)];
    }
  }

  #wire(): void {
    this.#placesOf.clear();
    for (const [key, { spec }] of this.#folds) {
      spec.lanes.forEach(({ probe }, lane) => {
        const feed = spec.feeds[lane] as Feed;
        const code = QUANTITIES.indexOf(feed.quantity);
        let byQuantity = this.#placesOf.get(probe);
        if (byQuantity === undefined) {
          byQuantity = [];
          this.#placesOf.set(probe, byQuantity);
        }
        const places = byQuantity[code];
        if (places === undefined) byQuantity[code] = [{ key, lane, feed }];
        else places.push({ key, lane, feed });
      });
    }
  }
}

function jointOfKey(key: string): string {
  return key.endsWith(FROM_MIX) ? key.slice(0, -FROM_MIX.length) : key;
}

function nameOf(spec: JointSpec, clockSteps: readonly ClockStep[]): string {
  const lanes = spec.lanes.map((lane) => ({ ...lane, fromMs: String(lane.fromMs), untilMs: String(lane.untilMs) }));
  return sha256Hex(canonicalJson({ ...spec, lanes, clockSteps }));
}
