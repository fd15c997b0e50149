import { exp } from '../exp.ts';
import { ln } from '../ln.ts';
import { HOUR_MS } from '../schedule.ts';
import type { Heat, Lag } from './input.ts';
import { DEFAULT_LAG } from './lag.ts';

/** How far the natural logarithm of the time constant may be off what is believed. Our own choice. */
const TIME_CONSTANT_SD = 0.7;
/** A record may begin while a fresh joint still warms itself a little: up to about so much, dying away so fast. Our own choice. */
const OWN_WARMTH_MS = HOUR_MS;
const OWN_WARMTH_SD_MILLI_C = 4000;
/** Time constants that are looked at: from the shortest on, so many steps to the longest. */
const SHORTEST_MS = HOUR_MS / 4;
const LONGEST_MS = 48 * HOUR_MS;
const GRID_STEPS = 20;
/** What the lag leaves over has a memory: readings weigh as if there were one per half an hour, this far off each. Our own choice. */
const RESIDUAL_SD_MILLI_C = 700;
const RESIDUAL_EVERY_MS = HOUR_MS / 2;
/** With less than this in all there is nothing to fit; a stretch must be so long to count; a longer silence of the joint ends one. */
const LEAST_HOURS = 2;
const STRETCH_MS = HOUR_MS;
const SILENCE_MS = HOUR_MS;

/** A joint and its air side by side, at even steps. */
export interface LagRecord {
  readonly fromMs: number;
  readonly stepMs: number;
  /** m°C, null = nothing known. */
  readonly jointMilliC: readonly (number | null)[];
  readonly airMilliC: readonly (number | null)[];
  /** Which of `heats` is on from each instant to the next, −1 none. */
  readonly heat: readonly number[];
}

/** What is believed of a heat before anything is seen of it: so much, give or take one standard deviation. */
export interface HeatPrior {
  readonly kind: 'level' | 'rise';
  readonly milliC: number;
  readonly sdMilliC: number;
}

export interface LagFit {
  readonly lag: Lag;
  /** In the order asked. `seen`: the record says more about it than was believed before. */
  readonly heats: readonly (Heat & { readonly seen: boolean })[];
}

/** A heater, or a cover, of which nothing more is known. Our own choice, no source. */
export const DEFAULT_HEATER: HeatPrior = { kind: 'rise', milliC: 8000, sdMilliC: 3000 };
/** How far a thermostat's setting may be off what the joint then rests at, m°C. Our own choice, no source. */
export const THERMOSTAT_SD_MILLI_C = 2000;
export const DEFAULT_COVER: HeatPrior = { kind: 'rise', milliC: 2000, sdMilliC: 1500 };

/**
 * Fits a joint's lag behind its air, how much warmer than the air it comes to rest, and what each heat does, by penalised least
 * squares: the most probable values, given the record and what is believed beforehand. For each time constant the lag runs
 * freely from the first reading of each unbroken stretch; such a run is linear in the offset, in what is left of the joint's own
 * warming when the record begins, and in all heats, so these follow from a few linear equations; the time constant itself is
 * searched for. Little data leaves what was believed (`prior`), much data leaves it behind. Of a record with less than two hours that count, everything comes back as it was.
 *
 * A stretch is unbroken as long as the air is known at every step and the joint has not been silent for more than an hour.
 */
export function fitLag(record: LagRecord, heats: readonly HeatPrior[], prior: Lag = DEFAULT_LAG): LagFit {
  const stretches = stretchesOf(record);
  const hours = (stretches.reduce((sum, { from, to }) => sum + to - from, 0) * record.stepMs) / HOUR_MS;
  if (hours < LEAST_HOURS) return { lag: prior, heats: heats.map((heat) => ({ ...heat, seen: false })) };
  const solution = search((lnTau) => solutionFor(record, stretches, heats, prior, lnTau));
  const { values, variances, count, squares } = solution;
  const [offset = 0, , ...found] = values;
  const errorMilliC = Math.sqrt(squares / Math.max(1, count));
  return {
    lag: {
      timeConstantMs: Math.round(exp(solution.lnTau)),
      offsetMilliC: within(offset, -40_000, 60_000),
      offsetSdMilliC: within(Math.sqrt((variances[0] as number) + errorMilliC * errorMilliC), 0, 40_000),
      errorMilliC: Math.round(errorMilliC),
      fittedHours: hours,
    },
    heats: heats.map((heat, index) => {
      const sd = Math.sqrt(variances[index + 2] as number);
      return {
        kind: heat.kind,
        milliC: within(found[index] as number, -20_000, 90_000),
        sdMilliC: within(sd, 0, 40_000),
        seen: sd < heat.sdMilliC / 2,
      };
    }),
  };
}

function within(value: number, least: number, most: number): number {
  // Adding 0 turns a rounded −0 into 0.
  return Math.min(most, Math.max(least, Math.round(value))) + 0;
}

/** Places in the record, both ends included, with a reading of the joint at each end. */
interface Stretch {
  readonly from: number;
  readonly to: number;
}

function stretchesOf({ stepMs, jointMilliC, airMilliC }: LagRecord): Stretch[] {
  const stretches: Stretch[] = [];
  let from = -1;
  let to = -1;
  const close = () => {
    if (from >= 0 && (to - from) * stepMs >= STRETCH_MS) stretches.push({ from, to });
    from = -1;
  };
  for (let index = 0; index < jointMilliC.length; index++) {
    if (typeof airMilliC[index] !== 'number' || (from >= 0 && (index - to) * stepMs > SILENCE_MS)) close();
    if (typeof airMilliC[index] !== 'number' || jointMilliC[index] === null) continue;
    if (from < 0) from = index;
    to = index;
  }
  close();
  return stretches;
}

interface Solution {
  readonly lnTau: number;
  /** What is minimised. */
  readonly cost: number;
  /** Offset, own warmth, then the heats, m°C. */
  readonly values: readonly number[];
  readonly variances: readonly number[];
  /** Readings compared, and the sum of their squared residuals. */
  readonly count: number;
  readonly squares: number;
}

/** The least cost: best of a grid, then between its neighbours in ever smaller steps. */
function search(at: (lnTau: number) => Solution): Solution {
  const least = ln(SHORTEST_MS);
  const most = ln(LONGEST_MS);
  const step = (most - least) / GRID_STEPS;
  let best = at(least);
  for (let index = 1; index <= GRID_STEPS; index++) best = better(best, at(least + index * step));
  for (let width = step / 2; width > 1e-3; width /= 2) {
    const { lnTau } = best;
    for (const tried of [lnTau - width, lnTau + width]) if (tried > least && tried < most) best = better(best, at(tried));
  }
  return best;
}

function better(one: Solution, other: Solution): Solution {
  return other.cost < one.cost ? other : one;
}

/** Runs the lag with one time constant and solves for the rest. */
function solutionFor(
  record: LagRecord,
  stretches: readonly Stretch[],
  heats: readonly HeatPrior[],
  prior: Lag,
  lnTau: number,
): Solution {
  const { stepMs, jointMilliC, airMilliC, heat } = record;
  const size = heats.length + 2;
  const share = stepMs / exp(lnTau);
  const decay = exp(-share);
  const dying = exp(-Math.min(700, stepMs / OWN_WARMTH_MS));
  const first = (1 - decay) / share - decay;
  const second = 1 - decay - first;
  const weight = Math.min(1, stepMs / RESIDUAL_EVERY_MS) / (RESIDUAL_SD_MILLI_C * RESIDUAL_SD_MILLI_C);

  const beliefs = [
    { milliC: prior.offsetMilliC, sdMilliC: prior.offsetSdMilliC },
    { milliC: 0, sdMilliC: OWN_WARMTH_SD_MILLI_C },
    ...heats,
  ];
  const precisions = beliefs.map(({ sdMilliC }) => 1 / Math.max(1, sdMilliC * sdMilliC));
  const matrix = precisions.map((precision, row) => beliefs.map((_, column) => (row === column ? precision : 0)));
  const vector = beliefs.map(({ milliC }, row) => milliC * (precisions[row] as number));
  let count = 0;
  let measured = 0;
  /** How far a run with neither offset nor heat misses, and what one m°C of each of them adds to the run. */
  const response = new Float64Array(size);
  for (const { from, to } of stretches) {
    let base = jointMilliC[from] as number;
    response.fill(0);
    let ownWarmth = from === stretches[0]?.from ? 1 : 0;
    let asIfOfAir = ownWarmth;
    for (let index = from + 1; index <= to; index++) {
      const on = heat[index - 1] ?? -1;
      const isLevel = heats[on]?.kind === 'level';
      const ofAir = isLevel ? 0 : (airMilliC[index - 1] as number) * first + (airMilliC[index] as number) * second;
      base = base * decay + ofAir;
      for (let row = 0; row < size; row++) response[row] = (response[row] as number) * decay;
      if (!isLevel) response[0] = (response[0] as number) + 1 - decay;
      if (on >= 0 && on < heats.length) response[on + 2] = (response[on + 2] as number) + 1 - decay;
      ownWarmth *= dying;
      asIfOfAir *= decay;
      response[1] = ownWarmth - asIfOfAir;
      const joint = jointMilliC[index];
      if (typeof joint !== 'number') continue;
      const miss = joint - base;
      count++;
      measured += miss * miss;
      for (let row = 0; row < size; row++) {
        const weighed = weight * (response[row] as number);
        if (weighed === 0) continue;
        vector[row] = (vector[row] as number) + weighed * miss;
        const line = matrix[row] as number[];
        for (let column = 0; column < size; column++)
          line[column] = (line[column] as number) + weighed * (response[column] as number);
      }
    }
  }
  const inverse = inverted(matrix);
  const values = inverse.map((line) => line.reduce((sum, each, column) => sum + each * (vector[column] as number), 0));
  // At the solution: all that was missed, less what the solution explains; the priors' own part is among it.
  const explained = values.reduce((sum, value, row) => sum + value * (vector[row] as number), 0);
  const believed = beliefs.reduce((sum, { milliC }, row) => sum + milliC * milliC * (precisions[row] as number), 0);
  const penalty = values.reduce((sum, value, row) => {
    const off = value - (beliefs[row]?.milliC ?? 0);
    return sum + off * off * (precisions[row] as number);
  }, 0);
  const misfit = weight * measured + believed - explained;
  const departure = (lnTau - ln(prior.timeConstantMs)) / TIME_CONSTANT_SD;
  return {
    lnTau,
    cost: misfit + departure * departure,
    values,
    variances: inverse.map((line, row) => line[row] as number),
    count,
    squares: Math.max(0, misfit - penalty) / weight,
  };
}

/** Inverse of a positive definite matrix, by Gauss–Jordan elimination; the priors keep every pivot above 0. */
function inverted(matrix: readonly (readonly number[])[]): number[][] {
  const size = matrix.length;
  const lines = matrix.map((line, row) => [...line, ...line.map((_, column) => (row === column ? 1 : 0))]);
  for (let pivot = 0; pivot < size; pivot++) {
    const line = lines[pivot] as number[];
    const divisor = line[pivot] as number;
    for (let column = 0; column < 2 * size; column++) line[column] = (line[column] as number) / divisor;
    lines.forEach((other, row) => {
      const factor = other[pivot] as number;
      if (row === pivot || factor === 0) return;
      for (let column = 0; column < 2 * size; column++)
        other[column] = (other[column] as number) - factor * (line[column] as number);
    });
  }
  return lines.map((line) => line.slice(size));
}
