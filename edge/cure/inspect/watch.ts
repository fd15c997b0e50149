import { sentinelRuns } from './powerOn.ts';
import type { InspectedSeries, InspectSpec } from './spec.ts';
import { cut, type Run, type Track, without } from './track.ts';

/** One probe's readings within the watch. */
export interface WatchedSeries {
  readonly probe: string;
  readonly role: 'material' | 'ambient';
  /** As they came. */
  readonly rawTemperature: Track;
  /** Runs of power-on values in `rawTemperature`. */
  readonly sentinels: readonly Run[];
  /** Without them. */
  readonly temperature: Track;
  readonly humidity: Track;
  readonly batteryPercent: Track;
  readonly batteryVolts: Track;
  readonly batteryLowMilliVolts: number | null;
  /** Instants only: the values are the instants again. */
  readonly offCurve: Track;
}

/** What the detectors look at: readings cut to the time from opening to the last stage (or now), in an order of their own. */
export interface Watch {
  readonly spec: InspectSpec;
  /** Nothing after it counts. */
  readonly endMs: number;
  readonly series: readonly WatchedSeries[];
  readonly materials: readonly WatchedSeries[];
  readonly ambients: readonly WatchedSeries[];
}

export function watchOf(spec: InspectSpec): Watch {
  const endMs = spec.doneMs ?? spec.nowMs;
  const series = [...spec.series].sort(byNameRoleAndTime).map((own) => watched(own, spec, endMs));
  return {
    spec,
    endMs,
    series,
    materials: series.filter((own) => own.role === 'material'),
    ambients: series.filter((own) => own.role === 'ambient'),
  };
}

/**
 * The end of something that last showed at `lastMs`: null while it goes on, that is with the cure not done, nothing newer to
 * speak against it (`newest`), and no silence since.
 */
export function endOf({ spec }: Watch, lastMs: number, newest: boolean): number | null {
  return newest && spec.doneMs === null && spec.nowMs - lastMs <= spec.gapLimitMs ? null : lastMs;
}

/** `track` from the last ply or pour on; empty before it. */
export function sinceStart({ spec, endMs }: Watch, track: Track): Track {
  return cut(track, spec.startMs ?? Number.POSITIVE_INFINITY, endMs);
}

function watched(series: InspectedSeries, spec: InspectSpec, endMs: number): WatchedSeries {
  const { probe, role, temperature, humidity, batteryPercent, batteryVolts, batteryLowMilliVolts, offCurveMs } = series;
  const within = (atMs: ArrayLike<number>, values: ArrayLike<number>) =>
    cut({ atMs, values, first: 0, end: atMs.length }, spec.openMs, endMs);
  const rawTemperature = within(temperature.atMs, temperature.milliC);
  const sentinels = series.digital ? sentinelRuns(rawTemperature, spec.gapLimitMs, series.sentinelMilliC) : [];
  return {
    probe,
    role,
    rawTemperature,
    sentinels,
    temperature: without(rawTemperature, sentinels),
    humidity: within(humidity.atMs, humidity.milliPercent),
    batteryPercent: within(batteryPercent.atMs, batteryPercent.milliPercent),
    batteryVolts: within(batteryVolts.atMs, batteryVolts.milliVolts),
    batteryLowMilliVolts,
    offCurve: within(offCurveMs, offCurveMs),
  };
}

/** One probe may come as several series, one for each time it belonged to the joint. */
function byNameRoleAndTime(a: InspectedSeries, b: InspectedSeries): number {
  const startMs = (series: InspectedSeries) => series.temperature.atMs[0] ?? Number.POSITIVE_INFINITY;
  return order(a.probe, b.probe) || order(a.role, b.role) || order(startMs(a), startMs(b));
}

function order<T extends string | number>(a: T, b: T): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
