import { saturationPascal } from '../dewPoint.ts';
import { exp } from '../exp.ts';
import { Fold, type FoldSpec, type Lane, startOf } from '../fold.ts';
import { HOUR_MS } from '../schedule.ts';
import { MEMBERS, normalAt } from './chance.ts';
import type { AirOutlook, Change, Heat, OutlookInput } from './input.ts';

/** How far ahead is looked. */
export const HORIZON_MS = 8 * 24 * HOUR_MS;
/** Projected readings stand this far apart, or as far as the schedule lets real ones. */
const STEP_MS = 10 * 60_000;
/** Streams of chance: the air's own, shared by all joints, and two numbers of each joint's. */
const AIR_STREAM = 0;
const OFFSET = 0;
const HEAT = 1;

/** When a stage is reached in each of the worlds looked at, UTC ms; infinite: not within the horizon. */
export interface StageOutlook {
  readonly stage: string;
  readonly membersMs: readonly number[];
}

/** What lies ahead, in shares of the worlds: 5, 50 and 95 %. */
export interface Band {
  readonly atMs: readonly number[];
  /** As a probe would show it, m°C. */
  readonly milliC: readonly (readonly [low: number, likely: number, high: number])[];
  readonly creditPpmMs: readonly (readonly [low: number, likely: number, high: number])[];
}

export interface Outlook {
  readonly stages: readonly StageOutlook[];
  /** When it goes below its floor before its last stage, in each world; infinite: never. */
  readonly coldMs: readonly number[];
  /** Null unless asked for. */
  readonly band: Band | null;
}

export interface ProjectOptions {
  readonly change?: Change;
  /** Asks for a band, hour by hour, to there. */
  readonly bandUntilMs?: number;
  /** Fewer worlds, for a first guess: the first of them is the best guess itself when 1 is asked for. */
  readonly members?: number;
}

/**
 * Looks ahead for one joint: in each of many worlds, which differ by how wrong the air to come and the joint's own lag may be, the
 * joint's temperature is walked forward and its readings go through the same fold as real ones. The worlds are the same for all
 * joints of a site, so that the later of two joints can be told world by world.
 */
export function project(input: OutlookInput, { change = {}, bandUntilMs, members = MEMBERS }: ProjectOptions = {}): Outlook {
  const path = pathOf(input, change, bandUntilMs ?? Number.NEGATIVE_INFINITY);
  const stages = input.stages.map(({ stage }) => ({ stage, membersMs: [] as number[] }));
  const coldMs: number[] = [];
  const hourly: { readonly milliC: number[]; readonly creditPpmMs: number[] }[] = [];
  for (let member = 0; member < members; member++) {
    const world = worldOf(input, member, members === 1);
    const fold = foldOf(input);
    const walk = new Walk(input, path, world, fold, change.hold);
    let hour = 0;
    for (let index = 1; index < path.atMs.length; index++) {
      walk.to(index);
      if ((path.atMs[index] as number) < (path.hoursMs[hour] as number)) continue;
      fold.advance();
      const isThrough = fold.state.reached.length >= input.stages.length;
      if (bandUntilMs !== undefined && (path.hoursMs[hour] as number) <= bandUntilMs) {
        hourly[hour] ??= { milliC: [], creditPpmMs: [] };
        hourly[hour]?.milliC.push(walk.milliC);
        hourly[hour]?.creditPpmMs.push(fold.state.creditPpmMs);
      } else if (isThrough) break;
      hour++;
    }
    const through = Math.max(
      ...stages.map(({ stage, membersMs }) => {
        const reachedMs = fold.state.reached.find((reached) => reached.stage === stage)?.reachedAtMs ?? Number.POSITIVE_INFINITY;
        membersMs.push(reachedMs);
        return reachedMs;
      }),
    );
    coldMs.push(walk.coldMs < through ? walk.coldMs : Number.POSITIVE_INFINITY);
  }
  const band =
    bandUntilMs === undefined
      ? null
      : {
          atMs: hourly.map((_, index) => path.hoursMs[index] as number),
          milliC: hourly.map(({ milliC }) => spread(milliC)),
          creditPpmMs: hourly.map(({ creditPpmMs }) => spread(creditPpmMs)),
        };
  return { stages, coldMs, band };
}

/** The value that a share of the worlds stays at or below; `share` in 0 … 1. */
export function quantile(values: readonly number[], share: number): number {
  const sorted = Float64Array.from(values).sort();
  return sorted[Math.max(0, Math.ceil(share * sorted.length) - 1)] ?? Number.NaN;
}

function spread(values: readonly number[]): [number, number, number] {
  return [quantile(values, 0.05), quantile(values, 0.5), quantile(values, 0.95)];
}

/** What all worlds share: the instants of the walk, the best guess of the air there, and which heat is on from each on. */
interface Path {
  readonly atMs: readonly number[];
  readonly airMilliC: readonly number[];
  readonly humidityMilliPercent: readonly number[] | null;
  readonly heat: readonly (Heat | null)[];
  /** Per step that ends there: what is left of the old temperature, and the weight of the step's first input among the new. */
  readonly left: readonly number[];
  readonly first: readonly number[];
  /** Ends of whole hours from the start. */
  readonly hoursMs: readonly number[];
}

function pathOf(input: OutlookInput, change: Change, bandUntilMs: number): Path {
  const { startMs, nowMs, gapLimitMs, lag, air } = input;
  const endMs = Math.max(Math.max(nowMs, startMs) + HORIZON_MS, bandUntilMs);
  const stepMs = Math.min(STEP_MS, gapLimitMs);
  const atMs = new Set<number>();
  const hoursMs: number[] = [];
  for (let ms = startMs; ms <= endMs; ms += stepMs) atMs.add(ms);
  for (let ms = startMs + HOUR_MS; ms <= endMs; ms += HOUR_MS) hoursMs.push(ms);
  for (const ms of [change.heat?.fromMs, change.hold?.fromMs]) if (ms !== undefined && ms > startMs && ms < endMs) atMs.add(ms);
  const sorted = [...atMs, ...hoursMs].sort((a, b) => a - b).filter((ms, index, all) => ms !== all[index - 1]);
  const left: number[] = [0];
  const first: number[] = [0];
  for (let index = 1; index < sorted.length; index++) {
    const share = ((sorted[index] as number) - (sorted[index - 1] as number)) / lag.timeConstantMs;
    const decay = exp(-share);
    left.push(decay);
    first.push((1 - decay) / share - decay);
  }
  return {
    atMs: sorted,
    airMilliC: sorted.map((ms) => valueAt(air, air.milliC, ms)),
    humidityMilliPercent: air.humidityMilliPercent && sorted.map((ms) => valueAt(air, air.humidityMilliPercent ?? [], ms)),
    heat: sorted.map((ms) => (change.heat !== undefined && ms >= change.heat.fromMs ? change.heat.heat : input.heat)),
    left,
    first,
    hoursMs: [...hoursMs, Number.POSITIVE_INFINITY],
  };
}

function valueAt({ fromMs, stepMs }: AirOutlook, values: readonly number[], atMs: number): number {
  const place = Math.min(values.length - 1, Math.max(0, (atMs - fromMs) / stepMs));
  const before = values[Math.floor(place)] as number;
  const after = values[Math.ceil(place)] as number;
  return before + (after - before) * (place - Math.floor(place));
}

/** How one world differs from the best guess. */
interface World {
  /** Of the air, m°C: one value an hour from the present on. */
  readonly airErrorMilliC: readonly number[];
  readonly offsetMilliC: number;
  /** Number of standard deviations that heat is off. */
  readonly heatDeviates: number;
}

function worldOf({ error, lag, stream, nowMs, startMs }: OutlookInput, member: number, isBestGuess: boolean): World {
  if (isBestGuess) return { airErrorMilliC: [0], offsetMilliC: lag.offsetMilliC, heatDeviates: 0 };
  const kept = exp(-HOUR_MS / error.correlationMs);
  const fresh = error.sdMilliC * Math.sqrt(1 - kept * kept);
  const hours = Math.ceil((Math.max(nowMs, startMs) + HORIZON_MS - nowMs) / HOUR_MS);
  const airErrorMilliC = [0];
  for (let hour = 1; hour <= hours; hour++)
    airErrorMilliC.push((airErrorMilliC[hour - 1] as number) * kept + fresh * normalAt(AIR_STREAM, member, hour));
  return {
    airErrorMilliC,
    offsetMilliC: lag.offsetMilliC + lag.offsetSdMilliC * normalAt(1 + stream, member, OFFSET),
    heatDeviates: normalAt(1 + stream, member, HEAT),
  };
}

function foldOf(input: OutlookInput): Fold {
  const { credit, table, gapLimitMs, stages, follows, guardMilliC, airGuardMilliC, humidityGuardMilliPercent } = input;
  const lane = (role: Lane['role'], guard: number): Lane => ({
    probe: role,
    role,
    guardMilliC: guard,
    fromMs: Number.NEGATIVE_INFINITY,
    untilMs: Number.POSITIVE_INFINITY,
  });
  const isMoist = table.referenceHumidityMilliPercent !== undefined;
  const material = isMoist && follows === 'air' ? [] : [lane('material', guardMilliC)];
  const moist = isMoist ? [lane('ambient', airGuardMilliC), lane('humidity', humidityGuardMilliPercent)] : [];
  const spec: FoldSpec = {
    startMs: credit.frontierMs,
    gapLimitMs,
    ambientStandIn: false,
    table,
    lanes: [...material, ...moist],
    stages,
  };
  const reached = credit.reached
    .filter(({ stage }) => stages.some((wanted) => wanted.stage === stage))
    .map((each) => ({ ...each, provenBy: { probe: '', atMs: each.reachedAtMs }, provisionalPpmMs: 0 }));
  return new Fold(spec, { ...startOf(spec), creditPpmMs: credit.creditPpmMs, reached });
}

/** One world's walk forward in time. */
class Walk {
  readonly #input: OutlookInput;
  readonly #path: Path;
  readonly #world: World;
  readonly #fold: Fold;
  readonly #hold: Change['hold'];
  /** The temperature that credit follows, as a probe would show it, m°C. */
  milliC: number;
  /** When it first was below the floor; infinite: never yet. */
  coldMs = Number.POSITIVE_INFINITY;

  constructor(input: OutlookInput, path: Path, world: World, fold: Fold, hold: Change['hold']) {
    this.#hold = hold;
    this.#input = input;
    this.#path = path;
    this.#world = world;
    this.#fold = fold;
    this.milliC = input.startMilliC;
    const airMilliC = this.#airAt(0);
    // From the frontier to the present the joint is taken for what was measured last.
    if (input.credit.frontierMs < input.startMs) this.#offer(input.credit.frontierMs, airMilliC, 0);
    this.#offer(input.startMs, airMilliC, 0);
  }

  /** Goes on to the next instant of the path. */
  to(index: number): void {
    const { follows } = this.#input;
    const heat = this.#path.heat[index - 1] as Heat | null;
    const fromAir = this.#airAt(index - 1);
    const toAir = this.#airAt(index);
    if (follows === 'air') this.milliC = this.#heated(toAir, heat);
    else {
      const { offsetMilliC } = this.#world;
      const from = this.#heated(fromAir + offsetMilliC, heat);
      const to = this.#heated(toAir + offsetMilliC, heat);
      const left = this.#path.left[index] as number;
      const first = this.#path.first[index] as number;
      this.milliC = this.milliC * left + from * first + to * (1 - left - first);
    }
    const atMs = this.#path.atMs[index] as number;
    if (this.#hold !== undefined && atMs >= this.#hold.fromMs) this.milliC = Math.max(this.milliC, this.#hold.milliC);
    this.#offer(atMs, toAir, index);
  }

  #airAt(index: number): number {
    const { airErrorMilliC } = this.#world;
    const place = Math.min(
      airErrorMilliC.length - 1,
      Math.max(0, ((this.#path.atMs[index] as number) - this.#input.nowMs) / HOUR_MS),
    );
    const before = airErrorMilliC[Math.floor(place)] as number;
    const after = airErrorMilliC[Math.ceil(place)] as number;
    return (this.#path.airMilliC[index] as number) + before + (after - before) * (place - Math.floor(place));
  }

  #heated(restingMilliC: number, heat: Heat | null): number {
    if (heat === null) return restingMilliC;
    const milliC = heat.milliC + heat.sdMilliC * this.#world.heatDeviates;
    return heat.kind === 'level' ? Math.max(restingMilliC, milliC) : restingMilliC + Math.max(0, milliC);
  }

  #offer(atMs: number, airMilliC: number, index: number): void {
    const { table, follows, guardMilliC, airGuardMilliC } = this.#input;
    const milliC = Math.round(this.milliC);
    let lane = 0;
    const isMoist = table.referenceHumidityMilliPercent !== undefined;
    if (!isMoist || follows === 'material') this.#fold.offer(lane++, atMs, milliC);
    if (isMoist) {
      const ambientMilliC = follows === 'air' ? milliC : Math.round(airMilliC);
      this.#fold.offer(lane++, atMs, ambientMilliC);
      this.#fold.offer(lane, atMs, this.#humidityAt(index, ambientMilliC));
    }
    const guard = isMoist && follows === 'air' ? airGuardMilliC : guardMilliC;
    if (milliC - guard < table.floorMilliC && atMs < this.coldMs) this.coldMs = atMs;
  }

  /** Air that is warmer than the best guess holds the same water, so it is drier. */
  #humidityAt(index: number, milliC: number): number {
    const guessed = this.#path.humidityMilliPercent?.[index] ?? 0;
    const pascal = saturationPascal((this.#path.airMilliC[index] as number) / 1000);
    const share = pascal / saturationPascal(milliC / 1000);
    return Math.round(Math.min(100_000, Number.isNaN(share) ? guessed : guessed * share));
  }
}
