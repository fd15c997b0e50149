import { type JudgedSource, judge } from '../../edge/cure/judge.ts';
import { type Schedule, shownHours } from '../../edge/cure/schedule.ts';
import { DEFAULT_UNCERTAINTY_CELSIUS } from '../../edge/site/said/instruments.ts';
import { isImported, probeOfSource } from '../../edge/site/sources.ts';
import type { ProbeView } from '../../edge/site/views/probe.ts';
import type { History } from '../api/shapes.ts';

export interface WhatIf {
  readonly warmHours: number;
  readonly stages: readonly { readonly stage: string; readonly requiredHours: number; readonly reachedAtMs: number | null }[];
}

type Points = readonly (readonly [number, number | null])[];

/**
 * What a joint's readings come to under `schedule`, folded in this browser by the same code as the service's. `history` has every
 * reading, not a thinned line. The probes' present settings hold throughout, and each counts from its first reading to its last.
 */
export function whatIf(
  schedule: Schedule,
  history: History,
  probeOf: (name: string) => ProbeView | undefined,
  { startMs, beadMillimetres }: { readonly startMs: number; readonly beadMillimetres: number | null },
): WhatIf {
  const temperatures = history.series.flatMap(({ probe, role, points }): JudgedSource[] => {
    const own = probeOf(probeOfSource(probe))?.uncertaintyCelsius ?? 0;
    // A logger's file is trusted no more than a probe that nobody has compared with anything.
    const guardMilliC = milli(isImported(probe) ? Math.max(own, DEFAULT_UNCERTAINTY_CELSIUS) : own);
    return [{ name: probe, role, guardMilliC, readings: readingsIn(points) }];
  });
  const humidities = history.humidity.map(({ probe, points }): JudgedSource => {
    const guardMilliC = milli(probeOf(probe)?.humidityUncertaintyPercent ?? 0);
    return { name: probe, role: 'humidity', guardMilliC, readings: readingsIn(points) };
  });
  const gapLimitMs = Math.round(schedule.gapLimitMinutes * 60_000);
  const { fold } = judge(schedule, [...temperatures, ...humidities], { startMs, gapLimitMs, beadMillimetres });
  return {
    warmHours: shownHours(fold.state.creditPpmMs),
    stages: fold.spec.stages.map(({ stage, requiredPpmMs }) => ({
      stage,
      requiredHours: requiredPpmMs / 3.6e12,
      reachedAtMs: fold.state.reached.find((reached) => reached.stage === stage)?.reachedAtMs ?? null,
    })),
  };
}

/** Thousandths, as the service keeps them: a value with three decimals has exactly one whole number. */
function milli(value: number): number {
  return Math.round(value * 1000);
}

/** A null marks a gap for the eye; the fold sees gaps by itself. */
function readingsIn(points: Points) {
  const readings = points.flatMap(([ms, value]) => (value === null ? [] : [{ ms, value: milli(value) }]));
  return { atMs: readings.map(({ ms }) => ms), milliC: readings.map(({ value }) => value) };
}
