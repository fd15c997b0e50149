import { HOUR_MS, PPM } from '../schedule.ts';
import { MEMBERS } from './chance.ts';
import type { Change, OutlookInput } from './input.ts';
import { HORIZON_MS, pathOf } from './path.ts';
import { Walk } from './walk.ts';
import { bestGuess, worldOf } from './world.ts';

export { HORIZON_MS };

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
  /** Goes no further than this, for who only asks whether a stage is reached by then. */
  readonly untilMs?: number;
}

/**
 * Looks ahead for one joint: in each of many worlds, which differ by how wrong the air to come and the joint's own lag may be, the
 * joint's temperature is walked forward and its readings go through the same fold as real ones. The worlds are the same for all
 * joints of a site, so that the later of two joints can be told world by world.
 */
export function project(input: OutlookInput, options: ProjectOptions = {}): Outlook {
  const { change = {}, bandUntilMs, members = MEMBERS, untilMs = Number.POSITIVE_INFINITY } = options;
  const path = pathOf(input, change, bandUntilMs ?? Number.NEGATIVE_INFINITY, untilMs);
  const hours = Math.ceil((Math.max(input.nowMs, input.startMs) + HORIZON_MS - input.nowMs) / HOUR_MS);
  const mostPpmMs = Math.max(...input.stages.map(({ requiredPpmMs }) => requiredPpmMs));
  const stages = input.stages.map(({ stage }) => ({ stage, membersMs: [] as number[] }));
  const coldMs: number[] = [];
  const bandMs = path.hoursMs.filter((ms) => bandUntilMs !== undefined && ms <= bandUntilMs);
  const hourly = bandMs.map(() => ({ milliC: [] as number[], creditPpmMs: [] as number[] }));
  for (let member = 0; member < members; member++) {
    const world = members === 1 ? bestGuess(input, hours) : worldOf(input, member, hours);
    const walk = new Walk(input, path, world, change.hold);
    const { fold } = walk;
    let hour = 0;
    // Full rate from here on would bring the last stage then: until then nobody need look.
    let throughMs = input.credit.frontierMs + (mostPpmMs - fold.state.creditPpmMs) / PPM;
    for (let index = 1; index < path.atMs.length; index++) {
      walk.to(index);
      const ms = path.atMs[index] as number;
      const band = hourly[hour];
      if (band !== undefined) {
        if (ms < (bandMs[hour] as number)) continue;
        fold.advance();
        band.milliC.push(walk.milliC);
        band.creditPpmMs.push(fold.state.creditPpmMs);
        hour++;
      } else if (ms >= throughMs) {
        fold.advance();
        if (fold.state.creditPpmMs >= mostPpmMs) break;
        throughMs = Math.max(ms + HOUR_MS, ms + (mostPpmMs - fold.state.creditPpmMs) / PPM);
      }
    }
    fold.advance();
    let lastMs = Number.NEGATIVE_INFINITY;
    for (const { stage, membersMs } of stages) {
      const reachedMs = fold.state.reached.find((reached) => reached.stage === stage)?.reachedAtMs ?? Number.POSITIVE_INFINITY;
      membersMs.push(reachedMs <= untilMs ? reachedMs : Number.POSITIVE_INFINITY);
      lastMs = Math.max(lastMs, reachedMs);
    }
    coldMs.push(walk.coldMs < lastMs ? walk.coldMs : Number.POSITIVE_INFINITY);
  }
  const band = {
    atMs: bandMs,
    milliC: hourly.map(({ milliC }) => spread(milliC)),
    creditPpmMs: hourly.map(({ creditPpmMs }) => spread(creditPpmMs)),
  };
  return { stages, coldMs, band: bandUntilMs === undefined ? null : band };
}

/** The value that a share of the worlds stays at or below; `share` in 0 … 1. */
export function quantile(values: readonly number[], share: number): number {
  const sorted = Float64Array.from(values).sort();
  return sorted[Math.max(0, Math.ceil(share * sorted.length) - 1)] ?? Number.NaN;
}

function spread(values: readonly number[]): [number, number, number] {
  return [quantile(values, 0.05), quantile(values, 0.5), quantile(values, 0.95)];
}
