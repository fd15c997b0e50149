import { saturationPascal } from '../dewPoint.ts';
import { Fold, type FoldSpec, type Lane, startOf } from '../fold.ts';
import type { Change, Heat, OutlookInput } from './input.ts';
import { type Path, STEP_MS } from './path.ts';
import type { World } from './world.ts';

/** One world's walk forward in time. */
export class Walk {
  readonly fold: Fold;
  readonly #path: Path;
  readonly #world: World;
  readonly #hold: Change['hold'];
  readonly #isMoist: boolean;
  readonly #followsAir: boolean;
  readonly #airSdMilliC: number;
  /** Below this as a probe would show it there is no credit. */
  readonly #coldBelowMilliC: number;
  #airMilliC: number;
  /** The temperature that credit follows, as a probe would show it, m°C. */
  milliC: number;
  /** When it first was below the floor; infinite: never yet. */
  coldMs = Number.POSITIVE_INFINITY;

  constructor(input: OutlookInput, path: Path, world: World, hold: Change['hold']) {
    const { table, follows, credit, gapLimitMs, guardMilliC, airGuardMilliC, startMs } = input;
    this.fold = foldOf(input);
    this.#path = path;
    this.#world = world;
    this.#hold = hold;
    this.#isMoist = table.referenceHumidityMilliPercent !== undefined;
    this.#followsAir = follows === 'air';
    this.#airSdMilliC = input.error.sdMilliC;
    this.#coldBelowMilliC = table.floorMilliC + (this.#isMoist && this.#followsAir ? airGuardMilliC : guardMilliC);
    this.milliC = input.startMilliC;
    this.#airMilliC = this.#airAt(0);
    // From the frontier to the present the joint is taken for what was measured last, unless the silence was too long.
    const silentMs = startMs - credit.frontierMs;
    if (silentMs > 0 && silentMs <= gapLimitMs) this.#offer(credit.frontierMs, 0);
    this.#offer(startMs, 0);
  }

  /** Goes on to the next instant of the path. */
  to(index: number): void {
    const { atMs, heat, left, first } = this.#path;
    const on = heat[index - 1] as Heat | null;
    const fromMilliC = this.#airMilliC;
    this.#airMilliC = this.#airAt(index);
    if (this.#followsAir) this.milliC = this.#heated(this.#airMilliC, on);
    else {
      const { offsetMilliC } = this.#world;
      const from = this.#heated(fromMilliC + offsetMilliC, on);
      const to = this.#heated(this.#airMilliC + offsetMilliC, on);
      const old = left[index] as number;
      const begun = first[index] as number;
      this.milliC = this.milliC * old + from * begun + to * (1 - old - begun);
    }
    const ms = atMs[index] as number;
    if (this.#hold !== undefined && ms >= this.#hold.fromMs) this.milliC = Math.max(this.milliC, this.#hold.milliC);
    this.#offer(ms, index);
  }

  #airAt(index: number): number {
    const { airDeviates } = this.#world;
    const hours = this.#path.hours[index] as number;
    const hour = Math.floor(hours);
    const before = airDeviates[hour] as number;
    const after = airDeviates[hour + 1] ?? before;
    return (this.#path.airMilliC[index] as number) + this.#airSdMilliC * (before + (after - before) * (hours - hour));
  }

  #heated(restingMilliC: number, heat: Heat | null): number {
    if (heat === null) return restingMilliC;
    const milliC = heat.milliC + heat.sdMilliC * this.#world.heatDeviates;
    return heat.kind === 'level' ? Math.max(restingMilliC, milliC) : restingMilliC + Math.max(0, milliC);
  }

  #offer(atMs: number, index: number): void {
    const milliC = Math.round(this.milliC);
    let lane = 0;
    if (!this.#isMoist || !this.#followsAir) this.fold.offer(lane++, atMs, milliC);
    if (this.#isMoist) {
      const ambientMilliC = this.#followsAir ? milliC : Math.round(this.#airMilliC);
      this.fold.offer(lane++, atMs, ambientMilliC);
      this.fold.offer(lane, atMs, this.#humidityAt(index, ambientMilliC));
    }
    if (milliC < this.#coldBelowMilliC && atMs < this.coldMs) this.coldMs = atMs;
  }

  /** Air that is warmer than the best guess holds the same water, so it is drier. Where the formula ends nothing is known. */
  #humidityAt(index: number, milliC: number): number {
    const water = this.#path.water?.[index] ?? 0;
    const share = water / saturationPascal(milliC / 1000);
    return Number.isNaN(share) ? 0 : Math.round(Math.min(100_000, share));
  }
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
    gapLimitMs: Math.max(gapLimitMs, STEP_MS),
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
