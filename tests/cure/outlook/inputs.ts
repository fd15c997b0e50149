import { builtInSchedules } from '../../../edge/cure/builtIns.ts';
import type { OutlookInput } from '../../../edge/cure/outlook/input.ts';
import { DEFAULT_LAG } from '../../../edge/cure/outlook/lag.ts';
import { compileRateTable } from '../../../edge/cure/rateTable.ts';
import { HOUR_MS, requiredPpmMs } from '../../../edge/cure/schedule.ts';

export const NOW_MS = Date.UTC(2026, 0, 15, 18, 0);

/** Air of one temperature. */
export function steadyAir(milliC: number, humidityMilliPercent: number | null = null): OutlookInput['air'] {
  return {
    fromMs: NOW_MS,
    stepMs: HOUR_MS,
    milliC: [milliC],
    humidityMilliPercent: humidityMilliPercent === null ? null : [humidityMilliPercent],
  };
}

/** Air that swings once a day, coldest twelve hours from the present. */
export function dailyAir(
  meanMilliC: number,
  swingMilliC: number,
  humidityMilliPercent: number | null = null,
): OutlookInput['air'] {
  const hours = Array.from({ length: 193 }, (_, hour) => hour);
  return {
    fromMs: NOW_MS,
    stepMs: HOUR_MS,
    milliC: hours.map((hour) => Math.round(meanMilliC + swingMilliC * Math.cos((2 * Math.PI * hour) / 24))),
    humidityMilliPercent: humidityMilliPercent === null ? null : hours.map(() => humidityMilliPercent),
  };
}

/** A joint just laid up, as warm as 12 °C, under a built-in schedule; nothing is off by anything unless said. */
export function inputOf(schedule: string, changes: Partial<OutlookInput> = {}): OutlookInput {
  const found = builtInSchedules.find(({ name }) => name === schedule);
  if (found === undefined) throw new Error(`no schedule ${schedule}`);
  return {
    joint: 'j1',
    nowMs: NOW_MS,
    credit: { frontierMs: NOW_MS, creditPpmMs: 0, reached: [] },
    table: compileRateTable(found),
    gapLimitMs: found.gapLimitMinutes * 60_000,
    stages: found.stages.map(({ stage, requiredHours }) => ({ stage, requiredPpmMs: requiredPpmMs(requiredHours) })),
    follows: found.law.kind === 'moisture' ? 'air' : 'material',
    startMs: NOW_MS,
    startMilliC: 12_000,
    guardMilliC: 500,
    airGuardMilliC: 500,
    humidityGuardMilliPercent: 3000,
    lag: { ...DEFAULT_LAG, offsetSdMilliC: 0 },
    heat: null,
    air: steadyAir(12_000, 60_000),
    error: { sdMilliC: 0, correlationMs: 48 * HOUR_MS, comparisons: 0 },
    stream: 1,
    ...changes,
  };
}

/** What makes the worlds differ. */
export const UNSURE: Partial<OutlookInput> = {
  lag: DEFAULT_LAG,
  error: { sdMilliC: 2500, correlationMs: 48 * HOUR_MS, comparisons: 0 },
};
