import { type FoldSpec, foldAll, type Lane } from '../../../edge/cure/fold.ts';
import { clockMsAtRate } from '../../../edge/cure/heldRate.ts';
import { type RateTable, ratePpmAt } from '../../../edge/cure/rateTable.ts';
import { HOUR_MS, requiredPpmMs, stagesFor } from '../../../edge/cure/schedule.ts';
import type { Compiled } from './preview.ts';

/** Beyond this no plan for a joint reaches, h. */
export const HORIZON_HOURS = 2000;

/** A joint that is laid up at `startMs`, in weather that stays as it is. */
export interface Held {
  readonly startMs: number;
  /** As the probe shows them. */
  readonly celsius: number;
  readonly humidityPercent: number;
  /** Taken off both before they are judged. */
  readonly guardCelsius: number;
  readonly guardPercent: number;
  /** Null: the schedule's own. */
  readonly beadMillimetres: number | null;
}

export interface HeldStage {
  readonly stage: string;
  readonly fromMix: boolean;
  readonly requiredHours: number;
  /** UTC ms; `never` where nothing is credited, `beyond` past the horizon. */
  readonly reachedAtMs: number | 'never' | 'beyond';
}

/** When each stage would be reached: readings as a probe would send them, through the fold that counts those of real joints. */
export function whatIf({ schedule, table, mixTable }: Compiled, held: Held): HeldStage[] {
  const early = mixTable === null ? [] : folded(mixTable, schedule.fromMix?.stages ?? [], held, schedule.gapLimitMinutes);
  const late = folded(table, stagesFor(schedule, held.beadMillimetres), held, schedule.gapLimitMinutes);
  return [...early.map((stage) => ({ ...stage, fromMix: true })), ...late.map((stage) => ({ ...stage, fromMix: false }))];
}

type Stages = readonly { readonly stage: string; readonly requiredHours: number }[];

function folded(table: RateTable, stages: Stages, held: Held, gapLimitMinutes: number): Omit<HeldStage, 'fromMix'>[] {
  const { startMs } = held;
  const celsius = { milli: Math.round(held.celsius * 1000), guard: Math.round(held.guardCelsius * 1000) };
  const humidity = { milli: Math.round(held.humidityPercent * 1000), guard: Math.round(held.guardPercent * 1000) };
  const rate = ratePpmAt(table, celsius.milli - celsius.guard, humidity.milli - humidity.guard);
  const neededMs = stages.map(({ requiredHours }) => clockMsAtRate(requiredPpmMs(requiredHours), rate));
  const reachable = neededMs.filter((ms) => ms !== null && ms <= HORIZON_HOURS * HOUR_MS) as number[];
  const gapLimitMs = Math.round(gapLimitMinutes * 60_000);

  const lane = (role: Lane['role'], guardMilliC: number): Lane => ({
    probe: role,
    role,
    guardMilliC,
    fromMs: Number.NEGATIVE_INFINITY,
    untilMs: Number.POSITIVE_INFINITY,
  });
  const isMoist = table.referenceHumidityMilliPercent !== undefined;
  const lanes = isMoist
    ? [
        { value: celsius.milli, lane: lane('ambient', celsius.guard) },
        { value: humidity.milli, lane: lane('humidity', humidity.guard) },
      ]
    : [{ value: celsius.milli, lane: lane('material', celsius.guard) }];
  const spec: FoldSpec = {
    startMs,
    gapLimitMs,
    ambientStandIn: false,
    table,
    lanes: lanes.map((each) => each.lane),
    stages: stages.map(({ stage, requiredHours }) => ({ stage, requiredPpmMs: requiredPpmMs(requiredHours) })),
  };
  const readings = Math.ceil(Math.max(0, ...reachable) / gapLimitMs) + 1;
  const atMs = Array.from({ length: readings }, (_, index) => startMs + index * gapLimitMs);
  const { reached } = foldAll(
    spec,
    lanes.map(({ value }) => ({ atMs, milliC: atMs.map(() => value) })),
  ).state;
  return stages.map(({ stage, requiredHours }) => ({
    stage,
    requiredHours,
    reachedAtMs: reached.find((each) => each.stage === stage)?.reachedAtMs ?? (rate === 0 ? 'never' : 'beyond'),
  }));
}
