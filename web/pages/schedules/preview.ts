import { clockMsAtRate } from '../../../edge/cure/heldRate.ts';
import { compileRateTable, type RateTable, ratePpmAt } from '../../../edge/cure/rateTable.ts';
import { HOUR_MS, PPM, requiredPpmMs, type Schedule, stagesFor } from '../../../edge/cure/schedule.ts';

/** Where the hours are shown before a schedule is saved, °C. */
export const PREVIEW_CELSIUS = [0, 5, 10, 15, 20, 25];

/** Between two points of the curve, m°C. */
const CURVE_STEP_MILLI_C = 250;

/** A schedule with its rate tables, as the service compiles them. */
export interface Compiled {
  readonly schedule: Schedule;
  readonly table: RateTable;
  /** For the stages that count from the mix. */
  readonly mixTable: RateTable | null;
}

export function compiled(schedule: Schedule): Compiled {
  const { fromMix } = schedule;
  return {
    schedule,
    table: compileRateTable(schedule),
    mixTable: fromMix === undefined ? null : compileRateTable({ ...schedule, referenceCelsius: fromMix.referenceCelsius }),
  };
}

export interface StageHours {
  readonly stage: string;
  readonly fromMix: boolean;
  /** By the clock; null: never. */
  readonly hours: number | null;
}

/** How long each stage takes when `celsius` and, for a moisture law, `humidityPercent` hold. Null for the bead: the schedule's own. */
export function stageHours(
  { schedule, table, mixTable }: Compiled,
  celsius: number,
  humidityPercent: number,
  beadMillimetres: number | null,
): StageHours[] {
  const milliC = Math.round(celsius * 1000);
  const milliPercent = Math.round(humidityPercent * 1000);
  const hoursBy = (by: RateTable, requiredHours: number) => {
    const ms = clockMsAtRate(requiredPpmMs(requiredHours), ratePpmAt(by, milliC, milliPercent));
    return ms === null ? null : ms / HOUR_MS;
  };
  const early =
    mixTable === null
      ? []
      : (schedule.fromMix?.stages ?? []).map(({ stage, requiredHours }) => ({
          stage,
          fromMix: true,
          hours: hoursBy(mixTable, requiredHours),
        }));
  const late = stagesFor(schedule, beadMillimetres).map(({ stage, requiredHours }) => ({
    stage,
    fromMix: false,
    hours: hoursBy(table, requiredHours),
  }));
  return [...early, ...late];
}

/** A point of the credit rate over temperature: °C and a share of 1. */
export interface RatePoint {
  readonly celsius: number;
  readonly rate: number;
}

/** The credit rate from one temperature to another, °C, with the step at the floor drawn upright. */
export function rateCurve(table: RateTable, fromCelsius: number, toCelsius: number, humidityPercent: number): RatePoint[] {
  const milliPercent = Math.round(humidityPercent * 1000);
  const at = (milliC: number): RatePoint => ({ celsius: milliC / 1000, rate: ratePpmAt(table, milliC, milliPercent) / PPM });
  const points: RatePoint[] = [];
  const fromMilliC = Math.round(fromCelsius * 1000);
  const toMilliC = Math.round(toCelsius * 1000);
  for (let milliC = fromMilliC; milliC <= toMilliC; milliC += CURVE_STEP_MILLI_C) {
    const before = milliC - CURVE_STEP_MILLI_C;
    if (before < table.floorMilliC && table.floorMilliC <= milliC && milliC > fromMilliC) {
      points.push({ celsius: table.floorMilliC / 1000, rate: 0 });
      if (table.floorMilliC < milliC) points.push(at(table.floorMilliC));
    }
    points.push(at(milliC));
  }
  return points;
}

/** What a drawing of these schedules has to span, °C. */
export function spanOf(all: readonly Compiled[]): { readonly fromCelsius: number; readonly toCelsius: number } {
  const floors = all.map(({ table }) => table.floorMilliC / 1000);
  const tops = all.map(({ schedule }) => schedule.referenceCelsius);
  return {
    fromCelsius: Math.min(0, ...floors.map((floor) => floor - 5)),
    toCelsius: Math.max(25, ...tops.map((top) => top + 5)),
  };
}
