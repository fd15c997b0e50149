import { ln } from '../ln.ts';
import { HOUR_MS, PPM } from '../schedule.ts';
import { type AirRecord, outlookAt } from './air.ts';
import { chanceBy, QUARTER_MS, SAFE_SHARE } from './booking.ts';
import type { AirOutlook, OutlookInput } from './input.ts';
import { lagged } from './lag.ts';
import { project } from './project.ts';

/** A joint that may be laid up at one hour or another. */
export interface LayUpPlan {
  readonly input: Omit<OutlookInput, 'credit' | 'startMs' | 'startMilliC'>;
  /** Of the material when it goes down, m°C. */
  readonly materialMilliC: number;
}

/** Drums and pails in an unheated truck follow the air so slowly, and in a warm room likewise. Our own choice. */
const STORED_TIME_CONSTANT_MS = 6 * HOUR_MS;

/** The joint as if its last ply went down at `atMs`, as warm as the material; no credit yet. */
export function layUpAt({ input, materialMilliC }: LayUpPlan, atMs: number): OutlookInput {
  const { air, follows } = input;
  return {
    ...input,
    credit: { frontierMs: atMs, creditPpmMs: 0, reached: [] },
    startMs: atMs,
    startMilliC: follows === 'air' ? Math.round(outlookAt(air, air.milliC, atMs)) : materialMilliC,
  };
}

/**
 * The latest quarter of an hour from now on at which it may be laid up so that this share of the worlds has the stage by `byMs`;
 * null: none. Every later quarter of an hour is looked at, because a later one is not always worse: the night may be over by then.
 */
export function latestLayUp(plan: LayUpPlan, stage: string, byMs: number, share = SAFE_SHARE): number | null {
  const stages = plan.input.stages.filter((each) => each.stage === stage);
  const leastMs = Math.max(0, ...stages.map(({ requiredPpmMs }) => requiredPpmMs / PPM));
  const latestMs = Math.floor((byMs - leastMs) / QUARTER_MS) * QUARTER_MS;
  for (let atMs = latestMs; atMs >= plan.input.nowMs; atMs -= QUARTER_MS) {
    const outlook = project({ ...layUpAt(plan, atMs), stages }, { untilMs: byMs });
    if (chanceBy(outlook.stages[0]?.membersMs ?? [], byMs) >= share) return atMs;
  }
  return null;
}

/** How warm material in an unheated truck is by then, having followed the air as far back as it is known, m°C. */
export function storedMilliC(air: AirOutlook, past: AirRecord | null, nowMs: number, atMs: number): number {
  const path = (past?.milliC ?? [])
    .map((milliC, index) => ({ ms: (past?.fromMs ?? 0) + index * (past?.stepMs ?? 0), milliC }))
    .filter((each): each is { ms: number; milliC: number } => each.milliC !== null && each.ms < Math.min(nowMs, atMs));
  for (let ms = nowMs; ms < atMs; ms += air.stepMs) path.push({ ms, milliC: outlookAt(air, air.milliC, ms) });
  path.push({ ms: atMs, milliC: outlookAt(air, air.milliC, atMs) });
  let stored = path[0]?.milliC ?? 0;
  path.reduce((from, to) => {
    stored = lagged(stored, from.milliC, to.milliC, to.ms - from.ms, STORED_TIME_CONSTANT_MS);
    return to;
  });
  return Math.round(stored);
}

/**
 * Hours in a room of `warmMilliC` until material is within the range that it is to be used in. 0: it is; null: that room will
 * never do it.
 */
export function conditionHours(
  storedMilliC: number,
  { minMilliC, maxMilliC }: { readonly minMilliC: number; readonly maxMilliC: number },
  warmMilliC: number,
): number | null {
  if (storedMilliC >= minMilliC && storedMilliC <= maxMilliC) return 0;
  const wanted = storedMilliC < minMilliC ? minMilliC : maxMilliC;
  const share = (storedMilliC - warmMilliC) / (wanted - warmMilliC);
  return share > 1 && share < Number.POSITIVE_INFINITY ? (STORED_TIME_CONSTANT_MS / HOUR_MS) * ln(share) : null;
}
