import { foldAll } from '../../../edge/cure/fold.ts';
import { clockMsAtRate } from '../../../edge/cure/heldRate.ts';
import { type AirRecord, airAhead, type Forecast } from '../../../edge/cure/outlook/air.ts';
import { DEFAULT_FORECAST_ERROR, persistenceError } from '../../../edge/cure/outlook/airError.ts';
import { fitLag } from '../../../edge/cure/outlook/fitLag.ts';
import type { Lag, OutlookInput } from '../../../edge/cure/outlook/input.ts';
import { HORIZON_MS, project, quantile } from '../../../edge/cure/outlook/project.ts';
import { siblingPrior } from '../../../edge/cure/outlook/siblings.ts';
import { ratePpmAt } from '../../../edge/cure/rateTable.ts';
import { sensed } from '../../../edge/demo/thermal.ts';
import type { Ambient } from '../../../edge/demo/weather.ts';
import { WARMS_ITSELF_MS } from '../../../edge/tally/ahead/jointRecord.ts';
import { RECORD_MS } from '../../../edge/tally/ahead/siteAir.ts';
import { DAY_MS, HOUR_MS } from './climate.ts';
import { seedOf } from './draw.ts';
import { typedForecasts } from './forecaster.ts';
import { type CuredJoint, GAP_LIMIT_MS, GUARD_MILLI_C, STAGES, STEP_MS, specOf, TABLE } from './joint.ts';

const LONG_RECORD_MS = 14 * DAY_MS;
const AIR_GUARD_MILLI_C = 500;

/** A projected time with its band of 90 %, UTC ms; infinite: not within the horizon. */
export interface Projected {
  readonly earliestMs: number;
  readonly likelyMs: number;
  readonly latestMs: number;
}

/** What was said so long before the last stage was reached. */
export interface Trial {
  readonly hydroMs: number;
  readonly withForecast: Projected;
  /** The same as if the site had had no joint before. */
  readonly first: Projected;
  readonly withoutForecast: Projected;
  /** The joint's own last day over and over. */
  readonly repeatedMs: number;
  /** As if it stayed as warm as it is; infinite where it earns nothing. */
  readonly heldMs: number;
}

/** What the tool and its rivals say at `nowMs`, knowing nothing of what came later but through the forecast. */
export function trialAt(
  trial: number,
  joint: CuredJoint,
  earlier: readonly CuredJoint[],
  hydroMs: number,
  nowMs: number,
  ambient: Ambient,
): Trial {
  const airSeed = seedOf(trial, 'airProbe');
  const shown = (ms: number) => Math.round(sensed(ambient(ms), airSeed, ms) * 1000);
  const long = airRecord(shown, nowMs, LONG_RECORD_MS);
  const record = { ...long, fromMs: nowMs - RECORD_MS, milliC: long.milliC.slice(-(RECORD_MS / STEP_MS + 1)) };
  const forecast = typedForecasts(trial, nowMs, ambient, shown);
  const known = joint.atMs.filter((ms) => ms <= nowMs).length;
  const { state } = foldAll(specOf(joint.laidUpMs), [{ atMs: joint.atMs.slice(0, known), milliC: joint.milliC.slice(0, known) }]);
  const alone = lagOf(joint, record);
  const siblings = earlier.map((other) => lagOf(other, airRecord(shown, Math.min(nowMs, other.laidUpMs + RECORD_MS), RECORD_MS)));
  const lag = lagOf(joint, record, siblingPrior(siblings));
  const startMilliC = shownBy(joint, nowMs) as number;
  const base = {
    joint: 'joint',
    nowMs,
    credit: { frontierMs: state.frontierMs, creditPpmMs: state.creditPpmMs, reached: state.reached },
    table: TABLE,
    gapLimitMs: GAP_LIMIT_MS,
    stages: STAGES,
    follows: 'material' as const,
    startMs: nowMs,
    startMilliC,
    guardMilliC: GUARD_MILLI_C,
    airGuardMilliC: AIR_GUARD_MILLI_C,
    humidityGuardMilliPercent: 0,
    heat: null,
    stream: trial,
  };
  const projected = (given: Forecast | null, followed = lag) => {
    const ahead = airAhead(record, given, nowMs, HORIZON_MS);
    if (ahead === null) throw new Error('the air was measured all the time');
    const error = ahead.from === 'forecast' ? DEFAULT_FORECAST_ERROR : persistenceError(long);
    return projectedFrom({ ...base, lag: followed, air: ahead.air, error });
  };
  const missingPpmMs = (STAGES.at(-1)?.requiredPpmMs ?? 0) - state.creditPpmMs;
  const heldForMs = clockMsAtRate(missingPpmMs, ratePpmAt(TABLE, startMilliC - GUARD_MILLI_C));
  return {
    hydroMs,
    withForecast: projected(forecast),
    first: projected(forecast, alone),
    withoutForecast: projected(null),
    repeatedMs: repeatedFrom(joint, known),
    heldMs: heldForMs === null ? Number.POSITIVE_INFINITY : nowMs + heldForMs,
  };
}

function shownBy(joint: CuredJoint, ms: number): number | null {
  return joint.milliC[(ms - joint.laidUpMs) / STEP_MS] ?? null;
}

function lagOf(joint: CuredJoint, record: AirRecord, prior?: Lag): Lag {
  const jointMilliC = record.milliC.map((_, index) => {
    const ms = record.fromMs + index * STEP_MS;
    return ms < joint.laidUpMs + WARMS_ITSELF_MS ? null : shownBy(joint, ms);
  });
  const heat = record.milliC.map(() => -1);
  return fitLag({ fromMs: record.fromMs, stepMs: STEP_MS, jointMilliC, airMilliC: record.milliC, heat }, [], prior).lag;
}

function airRecord(shown: (ms: number) => number, nowMs: number, spanMs: number): AirRecord {
  const milliC = Array.from({ length: spanMs / STEP_MS + 1 }, (_, index) => shown(nowMs - spanMs + index * STEP_MS));
  return { fromMs: nowMs - spanMs, stepMs: STEP_MS, milliC, humidityMilliPercent: milliC.map(() => null) };
}

function projectedFrom(input: OutlookInput): Projected {
  const membersMs = project(input).stages.at(-1)?.membersMs ?? [];
  return { earliestMs: quantile(membersMs, 0.05), likelyMs: quantile(membersMs, 0.5), latestMs: quantile(membersMs, 0.95) };
}

/** The joint's own last day, or what there is of it, over and over through the same fold. */
function repeatedFrom({ laidUpMs, atMs, milliC }: CuredJoint, known: number): number {
  const dayMs = Math.min(DAY_MS, known * STEP_MS);
  const span = dayMs / STEP_MS;
  const count = known + HORIZON_MS / STEP_MS;
  const again = Array.from({ length: count }, (_, index) =>
    index < known ? (milliC[index] as number) : (milliC[known - span + ((index - known) % span)] as number),
  );
  const times = again.map((_, index) => (atMs[0] as number) + index * STEP_MS);
  const { state } = foldAll(specOf(laidUpMs), [{ atMs: times, milliC: again }]);
  const last = state.reached.find(({ stage }) => stage === STAGES.at(-1)?.stage);
  return last?.reachedAtMs ?? Number.POSITIVE_INFINITY;
}

export const LEAD_HOURS = [6, 12, 24];

/** The last moment on the grid that lies so long before the end; null where the joint had not been there for an hour. */
export function momentBefore({ laidUpMs }: CuredJoint, hydroMs: number, leadHours: number): number | null {
  const steps = Math.floor((hydroMs - leadHours * HOUR_MS - laidUpMs) / STEP_MS);
  return steps * STEP_MS < HOUR_MS ? null : laidUpMs + steps * STEP_MS;
}
