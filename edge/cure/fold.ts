import { type RateTable, ratePpmAt } from './rateTable.ts';

/**
 * One probe's part in a joint's cure, for as long as it was assigned there with unchanged settings.
 * A probe that moves away and comes back, or is calibrated anew, has two lanes: nothing is credited across the seam.
 */
export interface Lane {
  readonly probe: string;
  /** `humidity`: values are the air's relative humidity in m%RH; only a moisture law asks for it. */
  readonly role: 'material' | 'ambient' | 'humidity';
  /** Taken off every value before the law sees it, m°C (m%RH on a humidity lane). */
  readonly guardMilliC: number;
  /** Readings count from here (inclusive) … */
  readonly fromMs: number;
  /** … to here (exclusive). */
  readonly untilMs: number;
}

/** What a fold needs to know beside the readings. All times are UTC milliseconds, all credit is ppm·ms. */
export interface FoldSpec {
  /** When the last ply or pour went down: credit starts here. */
  readonly startMs: number;
  readonly gapLimitMs: number;
  readonly ambientStandIn: boolean;
  readonly table: RateTable;
  readonly lanes: readonly Lane[];
  readonly stages: readonly { readonly stage: string; readonly requiredPpmMs: number }[];
}

export interface StageReached {
  readonly stage: string;
  readonly reachedAtMs: number;
  /** The reading that proved the interval in which the stage was reached. */
  readonly provenBy: { readonly probe: string; readonly atMs: number };
  /** Part of the credit that only an ambient probe stood for, ppm·ms. More than 0: somebody has to decide. */
  readonly provisionalPpmMs: number;
}

interface LaneState {
  /** Newest reading at or before the frontier; null before the first. */
  heldMs: number | null;
  /** Its value with the guard band taken off, m°C. */
  heldMilliC: number;
  /** Readings beyond the frontier, oldest first, likewise. */
  waitingMs: number[];
  waitingMilliC: number[];
}

/** Everything a fold remembers: plain data, so that it can be kept and taken up again. */
export interface FoldState {
  /** Credit is settled up to here. */
  frontierMs: number;
  creditPpmMs: number;
  provisionalPpmMs: number;
  /** Proven, but too cold to earn anything. */
  coldMs: number;
  /** No live probe. */
  unprovenMs: number;
  reached: StageReached[];
  lanes: LaneState[];
}

export type Uncredited = 'cold' | 'unproven';

/** A stretch of time with one credit rate. `lane` is the governing one, −1 where none was live. */
export interface Piece {
  readonly fromMs: number;
  readonly toMs: number;
  readonly ratePpm: number;
  readonly lane: number;
  /** The governing temperature, guard band taken off, m°C; 0 where no lane was live. */
  readonly milliC: number;
  readonly uncredited: Uncredited | null;
}

/**
 * Credit stops growing at 2000 warm hours (stages need 1000 at most), which keeps every sum an exact integer:
 * 2000 h × 3 600 000 ms/h × 1 000 000 ppm = 7.2e15 < 2^53.
 */
export const CREDIT_CEILING_PPM_MS = 2000 * 3_600_000 * 1_000_000;

/** The place in this list is the lane's role in the inner loop. */
const ROLES: readonly Lane['role'][] = ['material', 'ambient', 'humidity'];
const MATERIAL = 0;
const AMBIENT = 1;

export function startOf(spec: FoldSpec): FoldState {
  return {
    frontierMs: spec.startMs,
    creditPpmMs: 0,
    provisionalPpmMs: 0,
    coldMs: 0,
    unprovenMs: 0,
    reached: [],
    lanes: spec.lanes.map(() => ({ heldMs: null, heldMilliC: 0, waitingMs: [], waitingMilliC: [] })),
  };
}

/**
 * The warm-hour fold of one joint: a pure function of a set of readings, computed as they come.
 *
 * At every instant the coldest live material probe governs. A probe is live between two of its readings that are no further
 * apart than the gap limit, and there it stands for the colder of the two. With no material probe live, an ambient one stands in
 * if the schedule lets it, provisionally. Whatever no probe proves earns nothing.
 *
 * A moisture law needs the air itself: its temperature and its humidity have to be live both, and of a joint that has material
 * probes one of those too. The coldest of all governs, with the driest air.
 *
 * Time is settled only up to the *frontier*: the oldest "last reading" among the probes that may still prove something, that is
 * those whose last reading is within the gap limit of the newest one. What lies beyond waits, because a colder interval of
 * another probe may yet cover it. `offer` refuses a reading that would change settled time; the caller then folds afresh.
 */
export class Fold {
  readonly spec: FoldSpec;
  readonly state: FoldState;
  /** The least requirement not yet met: most stretches of time meet none. */
  #nextRequiredPpmMs: number;
  /** Newest reading of each lane; −∞ before the first. */
  readonly #lastMs: Float64Array;
  /** Where `advance` stands in each lane: next waiting reading, and the one held before it (−∞ for none). */
  readonly #roles: Uint8Array;
  readonly #isMoist: boolean;
  /** Where a material lane begins or ends, in order; asked for a moisture law only. */
  readonly #seamsMs: readonly number[];
  readonly #cursors: { readonly heads: Int32Array; readonly heldMs: Float64Array; readonly heldMilliC: Float64Array };

  constructor(spec: FoldSpec, state: FoldState = startOf(spec)) {
    this.spec = spec;
    this.state = state;
    this.#nextRequiredPpmMs = nextRequired(spec, state);
    this.#roles = Uint8Array.from(spec.lanes, (lane) => ROLES.indexOf(lane.role));
    this.#isMoist = spec.table.referenceHumidityMilliPercent !== undefined;
    const materials = this.#isMoist ? spec.lanes.filter((lane) => lane.role === 'material') : [];
    this.#seamsMs = materials.flatMap(({ fromMs, untilMs }) => [fromMs, untilMs]).sort((a, b) => a - b);
    const count = spec.lanes.length;
    this.#lastMs = Float64Array.from(state.lanes, (own) => own.waitingMs.at(-1) ?? own.heldMs ?? Number.NEGATIVE_INFINITY);
    this.#cursors = { heads: new Int32Array(count), heldMs: new Float64Array(count), heldMilliC: new Float64Array(count) };
  }

  /**
   * Takes one calibrated reading (whole m°C, before the guard band) of `spec.lanes[lane]`. Readings outside the lane's own span
   * do not count. Returns false, having changed nothing, for one that comes before its lane's newest or touches settled time.
   */
  offer(lane: number, atMs: number, milliC: number): boolean {
    const { spec, state } = this;
    const settings = spec.lanes[lane] as Lane;
    const own = state.lanes[lane] as LaneState;
    if (atMs < settings.fromMs || atMs >= settings.untilMs) return true;
    if (settings.role === 'ambient' && !spec.ambientStandIn && !this.#isMoist) return true;
    if (settings.role === 'humidity' && !this.#isMoist) return true;

    const lastMs = this.#lastMs[lane] as number;
    if (atMs <= lastMs) return false;
    if (state.frontierMs > spec.startMs) {
      if (atMs < state.frontierMs) return false;
      if (lastMs < state.frontierMs && atMs - lastMs <= spec.gapLimitMs) return false;
    }
    own.waitingMs.push(atMs);
    own.waitingMilliC.push(milliC - settings.guardMilliC);
    this.#lastMs[lane] = atMs;
    return true;
  }

  /** Settles what the readings offered so far prove, handing each stretch to `sink` in order. */
  advance(sink?: (piece: Piece) => void): void {
    const { spec, state } = this;
    const targetMs = this.#provableUntilMs();
    const { heads, heldMs, heldMilliC } = this.#cursors;
    const roles = this.#roles;
    const isMoist = this.#isMoist;
    state.lanes.forEach((own, index) => {
      heads[index] = 0;
      heldMs[index] = own.heldMs ?? Number.NEGATIVE_INFINITY;
      heldMilliC[index] = own.heldMilliC;
    });

    for (let cursorMs = state.frontierMs; cursorMs < targetMs; ) {
      let untilMs = targetMs;
      let material = -1;
      let materialMilliC = 0;
      let ambient = -1;
      let ambientMilliC = 0;
      let humidity = -1;
      let humidityMilliPercent = 0;
      for (let index = 0; index < heads.length; index++) {
        const { waitingMs, waitingMilliC } = state.lanes[index] as LaneState;
        let head = heads[index] as number;
        while (head < waitingMs.length && (waitingMs[head] as number) <= cursorMs) {
          heldMs[index] = waitingMs[head] as number;
          heldMilliC[index] = waitingMilliC[head] as number;
          head++;
        }
        heads[index] = head;
        if (head === waitingMs.length) continue;
        const nextMs = waitingMs[head] as number;
        if (nextMs < untilMs) untilMs = nextMs;
        if (nextMs - (heldMs[index] as number) > spec.gapLimitMs) continue;
        const colderMilliC = Math.min(heldMilliC[index] as number, waitingMilliC[head] as number);
        const role = roles[index];
        if (role === MATERIAL) {
          if (material < 0 || colderMilliC < materialMilliC) {
            material = index;
            materialMilliC = colderMilliC;
          }
        } else if (role === AMBIENT) {
          if (ambient < 0 || colderMilliC < ambientMilliC) {
            ambient = index;
            ambientMilliC = colderMilliC;
          }
        } else if (humidity < 0 || colderMilliC < humidityMilliPercent) {
          humidity = index;
          humidityMilliPercent = colderMilliC;
        }
      }
      let lane = material >= 0 ? material : ambient;
      if (isMoist) {
        // Whether a material probe is asked for changes there.
        for (const seamMs of this.#seamsMs) if (seamMs > cursorMs && seamMs < untilMs) untilMs = seamMs;
        if (ambient < 0 || humidity < 0 || (material < 0 && this.#hasMaterialAt(cursorMs))) lane = -1;
        else if (ambientMilliC < materialMilliC || material < 0) lane = ambient;
      }
      const milliC = lane < 0 ? 0 : lane === material ? materialMilliC : ambientMilliC;
      const ratePpm = lane < 0 ? 0 : ratePpmAt(spec.table, milliC, humidityMilliPercent);
      const provisional = lane >= 0 && material < 0 && !isMoist;
      this.#credit(cursorMs, untilMs, ratePpm, lane, provisional);
      if (sink) {
        const uncredited = lane < 0 ? 'unproven' : ratePpm === 0 ? 'cold' : null;
        sink({ fromMs: cursorMs, toMs: untilMs, ratePpm, lane, milliC, uncredited });
      }
      cursorMs = untilMs;
    }

    state.frontierMs = Math.max(state.frontierMs, targetMs);
    for (let index = 0; index < heads.length; index++) this.#hold(index);
  }

  #hasMaterialAt(atMs: number): boolean {
    return this.spec.lanes.some((lane) => lane.role === 'material' && lane.fromMs <= atMs && atMs < lane.untilMs);
  }

  #credit(fromMs: number, toMs: number, ratePpm: number, lane: number, provisional: boolean): void {
    const { spec, state } = this;
    const spanMs = toMs - fromMs;
    if (lane < 0) {
      state.unprovenMs += spanMs;
      return;
    }
    if (ratePpm === 0) {
      state.coldMs += spanMs;
      return;
    }
    const beforePpmMs = state.creditPpmMs;
    const provisionalBeforePpmMs = state.provisionalPpmMs;
    state.creditPpmMs = Math.min(CREDIT_CEILING_PPM_MS, beforePpmMs + ratePpm * spanMs);
    if (provisional) state.provisionalPpmMs += state.creditPpmMs - beforePpmMs;
    if (state.creditPpmMs < this.#nextRequiredPpmMs) return;

    for (const { stage, requiredPpmMs } of spec.stages) {
      if (beforePpmMs >= requiredPpmMs || state.creditPpmMs < requiredPpmMs) continue;
      const own = state.lanes[lane] as LaneState;
      const missingPpmMs = requiredPpmMs - beforePpmMs;
      state.reached.push({
        stage,
        reachedAtMs: fromMs + Math.ceil(missingPpmMs / ratePpm),
        provenBy: { probe: (spec.lanes[lane] as Lane).probe, atMs: own.waitingMs[this.#cursors.heads[lane] as number] as number },
        provisionalPpmMs: provisional ? provisionalBeforePpmMs + missingPpmMs : provisionalBeforePpmMs,
      });
    }
    this.#nextRequiredPpmMs = nextRequired(spec, state);
  }

  /** The frontier that the readings offered so far allow. */
  #provableUntilMs(): number {
    const { spec, state } = this;
    const newestMs = Math.max(...this.#lastMs);
    let untilMs = newestMs;
    for (let index = 0; index < state.lanes.length; index++) {
      const lastMs = this.#lastMs[index] as number;
      const mayStillProve = newestMs - lastMs <= spec.gapLimitMs && newestMs < (spec.lanes[index] as Lane).untilMs;
      if (mayStillProve && lastMs < untilMs) untilMs = lastMs;
    }
    return Math.max(untilMs, state.frontierMs);
  }

  /** Moves readings that the frontier has passed out of the waiting line; the newest of them is held. */
  #hold(index: number): void {
    const own = this.state.lanes[index] as LaneState;
    const { waitingMs, waitingMilliC } = own;
    let passed = this.#cursors.heads[index] as number;
    while (passed < waitingMs.length && (waitingMs[passed] as number) <= this.state.frontierMs) passed++;
    if (passed === 0) return;
    own.heldMs = waitingMs[passed - 1] as number;
    own.heldMilliC = waitingMilliC[passed - 1] as number;
    waitingMs.splice(0, passed);
    waitingMilliC.splice(0, passed);
  }
}

function nextRequired(spec: FoldSpec, state: FoldState): number {
  return Math.min(...spec.stages.map((stage) => stage.requiredPpmMs).filter((required) => required > state.creditPpmMs));
}

/** One lane's readings in time order, ready to fold: UTC ms and calibrated m°C. */
export interface LaneReadings {
  readonly atMs: ArrayLike<number>;
  readonly milliC: ArrayLike<number>;
}

/** Readings of a lane that are offered before the fold advances: few enough to stay in the processor's cache. */
const CHUNK = 4_096;

/** Folds whole histories at once, one per lane of `spec`. The answer that `offer` and `advance` reach step by step. */
export function foldAll(spec: FoldSpec, readings: readonly LaneReadings[], sink?: (piece: Piece) => void): Fold {
  const fold = new Fold(spec);
  const next = readings.map(() => 0);
  for (let horizonMs = 0; horizonMs < Number.POSITIVE_INFINITY; ) {
    // All lanes go on to the same instant, so that no reading comes too late for what is settled.
    horizonMs = Math.min(...readings.map(({ atMs }, lane) => atMs[(next[lane] as number) + CHUNK] ?? Number.POSITIVE_INFINITY));
    for (let lane = 0; lane < readings.length; lane++) {
      const { atMs, milliC } = readings[lane] as LaneReadings;
      let index = next[lane] as number;
      while (index < atMs.length && (atMs[index] as number) <= horizonMs) {
        fold.offer(lane, atMs[index] as number, milliC[index] as number);
        index++;
      }
      next[lane] = index;
    }
    fold.advance(sink);
  }
  return fold;
}
