import type { FoldSpec } from '../../edge/cure/fold.ts';
import type { RateTable } from '../../edge/cure/rateTable.ts';
import type { Reading } from './histories.ts';

/** A stretch between two readings of one lane that are no further apart than the gap limit. */
interface Proof {
  readonly lane: number;
  readonly fromMs: number;
  readonly toMs: number;
  readonly colderMilliC: number;
}

export interface NaiveStage {
  readonly stage: string;
  readonly reachedAtMs: number;
  /** The readings that may be named as the proof: more than one when probes tie for the coldest. */
  readonly provers: readonly { readonly probe: string; readonly atMs: number }[];
  readonly provisionalPpmMs: bigint;
}

export interface NaiveResult {
  readonly frontierMs: number;
  readonly creditPpmMs: bigint;
  readonly provisionalPpmMs: bigint;
  readonly coldMs: number;
  readonly unprovenMs: number;
  readonly reached: readonly NaiveStage[];
}

interface Stretch {
  readonly fromMs: number;
  readonly toMs: number;
  readonly ratePpm: bigint;
  readonly provisional: boolean;
  readonly coldest: readonly Proof[];
}

/**
 * The rules of the warm-hour fold written down a second time, as plainly as possible and with no regard for speed: cut the time
 * at every end of every proof, ask of each stretch who governs, add up in BigInt, and search each stage's first millisecond.
 */
export function naiveFold(spec: FoldSpec, readings: readonly Reading[]): NaiveResult {
  const isMoist = spec.table.referenceHumidityMilliPercent !== undefined;
  const isAsked = { material: true, ambient: spec.ambientStandIn || isMoist, humidity: isMoist };
  const perLane = spec.lanes.map((lane) =>
    readings
      .filter(({ probe, atMs }) => probe === lane.probe && atMs >= lane.fromMs && atMs < lane.untilMs)
      .filter(() => isAsked[lane.role])
      .sort((a, b) => a.atMs - b.atMs),
  );
  const proofs = perLane.flatMap((own, lane) =>
    own.slice(1).flatMap((next, index): Proof[] => {
      const held = own[index] as Reading;
      if (next.atMs - held.atMs > spec.gapLimitMs) return [];
      const guardMilliC = spec.lanes[lane]?.guardMilliC ?? 0;
      return [{ lane, fromMs: held.atMs, toMs: next.atMs, colderMilliC: Math.min(held.milliC, next.milliC) - guardMilliC }];
    }),
  );

  const frontierMs = frontierOf(spec, perLane);
  const seams = spec.lanes.flatMap(({ fromMs, untilMs }) => [fromMs, untilMs]);
  const ends = [...seams, ...proofs.flatMap(({ fromMs, toMs }) => [fromMs, toMs])].filter(
    (ms) => ms > spec.startMs && ms < frontierMs,
  );
  const cuts = [...new Set([spec.startMs, ...ends, frontierMs])].sort((a, b) => a - b);
  const stretches = cuts.slice(1).map((toMs, index) => stretchOf(spec, proofs, cuts[index] as number, toMs));

  const creditAt = (ms: number, provisionalOnly: boolean) =>
    stretches.reduce((sum, { fromMs, toMs, ratePpm, provisional }) => {
      if (provisionalOnly && !provisional) return sum;
      return sum + ratePpm * BigInt(Math.max(0, Math.min(ms, toMs) - fromMs));
    }, 0n);
  const spanOf = (wanted: (stretch: Stretch) => boolean) =>
    stretches.filter(wanted).reduce((sum, { fromMs, toMs }) => sum + toMs - fromMs, 0);

  const reached = spec.stages.flatMap(({ stage, requiredPpmMs }): NaiveStage[] => {
    const required = BigInt(requiredPpmMs);
    if (creditAt(frontierMs, false) < required) return [];
    // The first millisecond with enough credit, by bisection: credit never falls.
    let early = spec.startMs;
    let late = frontierMs;
    while (late - early > 1) {
      const middle = Math.floor((early + late) / 2);
      if (creditAt(middle, false) >= required) late = middle;
      else early = middle;
    }
    const within = stretches.find(({ fromMs, toMs }) => fromMs < late && late <= toMs) as Stretch;
    const missing = required - creditAt(within.fromMs, false);
    return [
      {
        stage,
        reachedAtMs: late,
        provers: within.coldest.map(({ lane, toMs }) => ({ probe: spec.lanes[lane]?.probe ?? '', atMs: toMs })),
        provisionalPpmMs: creditAt(within.fromMs, true) + (within.provisional ? missing : 0n),
      },
    ];
  });

  return {
    frontierMs,
    creditPpmMs: creditAt(frontierMs, false),
    provisionalPpmMs: creditAt(frontierMs, true),
    coldMs: spanOf(({ ratePpm, coldest }) => coldest.length > 0 && ratePpm === 0n),
    unprovenMs: spanOf(({ coldest }) => coldest.length === 0),
    reached,
  };
}

/** Settled time ends where a lane that can still prove something was heard last. */
function frontierOf(spec: FoldSpec, perLane: readonly (readonly Reading[])[]): number {
  const lasts = perLane.flatMap((own, lane) => {
    const last = own.at(-1);
    return last === undefined ? [] : [{ atMs: last.atMs, untilMs: spec.lanes[lane]?.untilMs ?? 0 }];
  });
  const newestMs = Math.max(...lasts.map(({ atMs }) => atMs), Number.NEGATIVE_INFINITY);
  const open = lasts.filter(({ atMs, untilMs }) => newestMs <= atMs + spec.gapLimitMs && newestMs < untilMs);
  return Math.max(spec.startMs, Math.min(newestMs, ...open.map(({ atMs }) => atMs)));
}

function stretchOf(spec: FoldSpec, proofs: readonly Proof[], fromMs: number, toMs: number): Stretch {
  const live = proofs.filter((proof) => proof.fromMs <= fromMs && proof.toMs >= toMs);
  const ofRole = (role: string) => live.filter(({ lane }) => spec.lanes[lane]?.role === role);
  const material = ofRole('material');
  if (spec.table.referenceHumidityMilliPercent !== undefined) {
    const air = ofRole('ambient');
    const humidities = ofRole('humidity').map(({ colderMilliC }) => colderMilliC);
    const hasMaterial = spec.lanes.some((lane) => lane.role === 'material' && lane.fromMs <= fromMs && toMs <= lane.untilMs);
    const isProven = air.length > 0 && humidities.length > 0 && (!hasMaterial || material.length > 0);
    const asked = isProven ? [...material, ...air] : [];
    const coldestMilliC = Math.min(...asked.map(({ colderMilliC }) => colderMilliC));
    return {
      fromMs,
      toMs,
      ratePpm: isProven ? naiveRatePpm(spec.table, coldestMilliC, Math.min(...humidities)) : 0n,
      provisional: false,
      coldest: asked.filter(({ colderMilliC }) => colderMilliC === coldestMilliC),
    };
  }
  const provisional = material.length === 0;
  const candidates = provisional ? ofRole('ambient') : material;
  const lowestMilliC = Math.min(...candidates.map(({ colderMilliC }) => colderMilliC));
  return {
    fromMs,
    toMs,
    ratePpm: candidates.length === 0 ? 0n : naiveRatePpm(spec.table, lowestMilliC),
    provisional,
    coldest: candidates.filter(({ colderMilliC }) => colderMilliC === lowestMilliC),
  };
}

/**
 * Rate by the table, straight from its description: 0 below the floor, that of the last row from the top on, linear between, rounded
 * down; where a reference humidity is named, in the proportion of the air's to it, rounded down, and never above 1.
 */
export function naiveRatePpm(table: RateTable, milliC: number, humidityMilliPercent = 0): bigint {
  const { floorMilliC, topMilliC, ratesPpm, referenceHumidityMilliPercent } = table;
  if (milliC < floorMilliC) return 0n;
  const row = Math.trunc((Math.min(milliC, topMilliC) - floorMilliC) / 100);
  const rest = milliC >= topMilliC ? 0n : BigInt((milliC - floorMilliC) % 100);
  const colder = BigInt(ratesPpm[row] ?? -1);
  const warmer = BigInt(rest === 0n ? 0 : (ratesPpm[row + 1] ?? -1));
  const ratePpm = (colder * (100n - rest) + warmer * rest) / 100n;
  if (referenceHumidityMilliPercent === undefined) return ratePpm;
  const humidity = BigInt(Math.max(0, humidityMilliPercent));
  const moist = (ratePpm * humidity) / BigInt(referenceHumidityMilliPercent);
  return moist > 1_000_000n ? 1_000_000n : moist;
}
