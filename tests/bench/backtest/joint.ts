import { builtInSchedules } from '../../../edge/cure/builtIns.ts';
import { Fold, type FoldSpec } from '../../../edge/cure/fold.ts';
import { HORIZON_MS } from '../../../edge/cure/outlook/project.ts';
import { compileRateTable } from '../../../edge/cure/rateTable.ts';
import { requiredPpmMs, type Schedule } from '../../../edge/cure/schedule.ts';
import { type Body, lag, materialFrom, sensed } from '../../../edge/demo/thermal.ts';
import { type Climate, DAY_MS, HOUR_MS } from './climate.ts';
import { seedOf, uniform } from './draw.ts';

export const STEP_MS = 600_000;
/** Of a digital probe. */
export const GUARD_MILLI_C = 500;
const LAMINATE = builtInSchedules[0] as Schedule;
export const TABLE = compileRateTable(LAMINATE);
export const GAP_LIMIT_MS = LAMINATE.gapLimitMinutes * 60_000;
export const STAGES = LAMINATE.stages.map(({ stage, requiredHours }) => ({ stage, requiredPpmMs: requiredPpmMs(requiredHours) }));
/** The ground about the pit follows the air so slowly and is so much warmer in the cold season. */
const GROUND_MS = 4 * DAY_MS;
const GROUND_CELSIUS = 2.5;

/** What a joint's probe showed from lay-up on, and when that proved the last stage. */
export interface CuredJoint {
  readonly laidUpMs: number;
  readonly atMs: readonly number[];
  readonly milliC: readonly number[];
  /** Null: not within the horizon. */
  readonly hydroMs: number | null;
}

export function specOf(laidUpMs: number): FoldSpec {
  return {
    startMs: laidUpMs,
    gapLimitMs: GAP_LIMIT_MS,
    ambientStandIn: false,
    table: TABLE,
    lanes: [
      {
        probe: 'material',
        role: 'material',
        guardMilliC: GUARD_MILLI_C,
        fromMs: Number.NEGATIVE_INFINITY,
        untilMs: Number.POSITIVE_INFINITY,
      },
    ],
    stages: STAGES,
  };
}

/**
 * A joint that the model does not quite know: a first-order body (1.5 to 6 h, up to 3.5 °C warmer or 0.5 °C colder than the air)
 * with an exotherm, and besides sun on its cover by day (up to 4 °C) and a share (up to a third) of slow, warmer ground.
 */
export function curedJoint(
  trial: number,
  laidUpMs: number,
  { ambient, sunAt }: Climate,
  which: 'joint' | 'before' | 'longBefore' = 'joint',
): CuredJoint {
  const seed = seedOf(trial, which);
  const draw = (index: number, from: number, to: number) => uniform(seed, index, from, to);
  const body: Body = {
    timeConstantMs: draw(0, 1.5, 6) * HOUR_MS,
    offsetCelsius: draw(1, -0.5, 3.5),
    layUp: {
      atMs: laidUpMs,
      celsius: draw(2, 14, 21),
      exothermCelsius: draw(3, 5, 20),
      exothermPeakMs: draw(4, 40, 90) * 60_000,
    },
    heater: null,
  };
  const sunCelsius = draw(5, 0, 4);
  const groundShare = draw(6, 0, 1 / 3);
  const ground = groundOf(ambient, laidUpMs - HOUR_MS);
  const around = (ms: number) => ambient(ms) * (1 - groundShare) + ground(ms) * groundShare + sunCelsius * sunAt(ms);
  const celsiusAt = materialFrom(body, around, laidUpMs - HOUR_MS);
  const fold = new Fold(specOf(laidUpMs));
  const atMs: number[] = [];
  const milliC: number[] = [];
  for (let ms = laidUpMs; ms <= laidUpMs + HORIZON_MS; ms += STEP_MS) {
    const value = Math.round(sensed(celsiusAt(ms), seed, ms) * 1000);
    atMs.push(ms);
    milliC.push(value);
    fold.offer(0, ms, value);
    fold.advance();
    const last = fold.state.reached.find(({ stage }) => stage === STAGES.at(-1)?.stage);
    if (last !== undefined) return { laidUpMs, atMs, milliC, hydroMs: last.reachedAtMs };
  }
  return { laidUpMs, atMs, milliC, hydroMs: null };
}

/** Hour by hour, from ten days before on. */
function groundOf(ambient: (atMs: number) => number, fromMs: number): (atMs: number) => number {
  const startMs = fromMs - 10 * DAY_MS;
  const hours = [ambient(startMs) + GROUND_CELSIUS];
  for (let ms = startMs; ms < fromMs + HORIZON_MS + 2 * HOUR_MS; ms += HOUR_MS) {
    const [from, to] = [ambient(ms) + GROUND_CELSIUS, ambient(ms + HOUR_MS) + GROUND_CELSIUS];
    hours.push(lag(hours.at(-1) as number, from, to, HOUR_MS, GROUND_MS));
  }
  return (atMs) => hours[Math.floor((atMs - startMs) / HOUR_MS)] as number;
}
