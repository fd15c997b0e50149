import { saturationPascal } from '../dewPoint.ts';
import { exp } from '../exp.ts';
import { HOUR_MS } from '../schedule.ts';
import { outlookAt } from './air.ts';
import type { Change, Heat, OutlookInput } from './input.ts';

/** How far ahead is looked. */
export const HORIZON_MS = 8 * 24 * HOUR_MS;
/** Projected readings stand this far apart, whatever the gap limit: what is projected is taken for proven. */
export const STEP_MS = 10 * 60_000;

/** What all worlds share: the instants of the walk, the best guess of the air there, and which heat is on from each on. */
export interface Path {
  /** Instants, UTC ms: where the walk begins, and on from there in steps. */
  readonly atMs: Float64Array;
  /** Hours from the present to each instant, none before it and none beyond the horizon. */
  readonly hours: Float64Array;
  readonly airMilliC: Float64Array;
  /** Relative humidity (m%RH) times its saturation pressure (Pa): the water in the air. Null where nothing is known of it. */
  readonly water: Float64Array | null;
  readonly heat: readonly (Heat | null)[];
  /** Per step that ends there: what is left of the old temperature, and the weight of the step's first input among the new. */
  readonly left: Float64Array;
  readonly first: Float64Array;
  /** Ends of whole hours from where the walk begins; the last is infinite. */
  readonly hoursMs: readonly number[];
}

/** `leastMs`: it goes on at least to there; `mostMs`: no further than one step beyond. */
export function pathOf(input: OutlookInput, change: Change, leastMs: number, mostMs: number): Path {
  const { startMs, nowMs, lag, air } = input;
  const farthestMs = Math.max(Math.max(nowMs, startMs) + HORIZON_MS, leastMs);
  const endMs = mostMs < farthestMs ? startMs + Math.ceil(Math.max(0, mostMs - startMs) / STEP_MS) * STEP_MS : farthestMs;
  const instants: number[] = [];
  const hoursMs: number[] = [];
  for (let ms = startMs; ms <= endMs; ms += STEP_MS) instants.push(ms);
  for (let ms = startMs + HOUR_MS; ms <= endMs; ms += HOUR_MS) hoursMs.push(ms);
  for (const ms of [change.heat?.fromMs, change.hold?.fromMs])
    if (ms !== undefined && ms > startMs && ms < endMs) instants.push(ms);
  const atMs = Float64Array.from(new Set([...instants, ...hoursMs])).sort();
  const left = new Float64Array(atMs.length);
  const first = new Float64Array(atMs.length);
  for (let index = 1, lastMs = 0, decay = 0; index < atMs.length; index++) {
    const spanMs = (atMs[index] as number) - (atMs[index - 1] as number);
    const share = spanMs / lag.timeConstantMs;
    if (spanMs !== lastMs) decay = exp(-share);
    lastMs = spanMs;
    left[index] = decay;
    first[index] = (1 - decay) / share - decay;
  }
  const humidity = air.humidityMilliPercent;
  const airMilliC = atMs.map((ms) => outlookAt(air, air.milliC, ms));
  return {
    atMs,
    hours: atMs.map((ms) => Math.max(0, Math.min(ms, Math.max(nowMs, startMs) + HORIZON_MS) - nowMs) / HOUR_MS),
    airMilliC,
    water:
      humidity && atMs.map((ms, index) => outlookAt(air, humidity, ms) * saturationPascal((airMilliC[index] as number) / 1000)),
    heat: Array.from(atMs, (ms) => (change.heat !== undefined && ms >= change.heat.fromMs ? change.heat.heat : input.heat)),
    left,
    first,
    hoursMs: [...hoursMs, Number.POSITIVE_INFINITY],
  };
}
