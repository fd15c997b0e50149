import type { Episode, EpisodeKind } from '../../../edge/cure/inspect/episode.ts';
import { type InspectedPiece, type InspectedSeries, type InspectSpec, inspect } from '../../../edge/cure/inspect/inspect.ts';

export const MINUTE_MS = 60_000;
export const HOUR_MS = 3_600_000;
export const GAP_LIMIT_MS = 15 * MINUTE_MS;
export const OPEN_MS = Date.UTC(2026, 0, 15, 14);
/** Last ply: half an hour after the watch begins. */
export const START_MS = OPEN_MS + 30 * MINUTE_MS;

/** Readings as pairs of instant and value. */
export type Readings = readonly (readonly [atMs: number, value: number])[];

export interface Sent {
  readonly probe?: string;
  readonly role?: 'material' | 'ambient';
  readonly digital?: boolean;
  readonly sentinelMilliC?: number;
  readonly milliC?: Readings;
  readonly humidity?: Readings;
  readonly batteryPercent?: Readings;
  readonly batteryVolts?: Readings;
  readonly offCurveMs?: readonly number[];
  readonly batteryLowMilliVolts?: number;
}

const instants = (readings: Readings = []) => readings.map(([atMs]) => atMs);
const values = (readings: Readings = []) => readings.map(([, value]) => value);

export function seriesOf(sent: Sent): InspectedSeries {
  return {
    probe: sent.probe ?? 'm1',
    role: sent.role ?? 'material',
    digital: sent.digital ?? true,
    ...(sent.sentinelMilliC === undefined ? {} : { sentinelMilliC: sent.sentinelMilliC }),
    temperature: { atMs: instants(sent.milliC), milliC: values(sent.milliC) },
    humidity: { atMs: instants(sent.humidity), milliPercent: values(sent.humidity) },
    batteryPercent: { atMs: instants(sent.batteryPercent), milliPercent: values(sent.batteryPercent) },
    batteryVolts: { atMs: instants(sent.batteryVolts), milliVolts: values(sent.batteryVolts) },
    offCurveMs: sent.offCurveMs ?? [],
    batteryLowMilliVolts: sent.batteryLowMilliVolts ?? null,
  };
}

/** A joint that is still curing a day after its last ply, all of it settled at full credit up to now. */
export function specOf(changes: Partial<InspectSpec> = {}): InspectSpec {
  const nowMs = changes.nowMs ?? START_MS + 24 * HOUR_MS;
  return {
    openMs: OPEN_MS,
    startMs: START_MS,
    gelMs: null,
    hasGelStage: false,
    doneMs: null,
    nowMs,
    gapLimitMs: GAP_LIMIT_MS,
    floorMilliC: 5000,
    proofBelow: null,
    hotAboveMilliC: null,
    series: [],
    pieces: [piece(START_MS, nowMs)],
    ...changes,
  };
}

export function piece(fromMs: number, toMs: number, changes: Partial<InspectedPiece> = {}): InspectedPiece {
  return { fromMs, toMs, ratePpm: 1_000_000, lane: 0, milliC: 12_000, uncredited: null, ...changes };
}

export const unproven = (fromMs: number, toMs: number) =>
  piece(fromMs, toMs, { ratePpm: 0, lane: -1, milliC: 0, uncredited: 'unproven' });

export const cold = (fromMs: number, toMs: number, milliC = 4000) =>
  piece(fromMs, toMs, { ratePpm: 0, milliC, uncredited: 'cold' });

/** A reading every `stepMs` from `fromMs` to `toMs`, both included where the step meets them. */
export function every(stepMs: number, fromMs: number, toMs: number, milliC: number | ((atMs: number) => number)): Readings {
  const count = Math.floor((toMs - fromMs) / stepMs) + 1;
  return Array.from({ length: count }, (_, index) => {
    const atMs = fromMs + index * stepMs;
    return [atMs, typeof milliC === 'number' ? milliC : Math.round(milliC(atMs))] as const;
  });
}

/** Episodes of one kind in what these series show. */
export function found(kind: EpisodeKind, sent: readonly Sent[], changes: Partial<InspectSpec> = {}): Episode[] {
  return inspect(specOf({ ...changes, series: sent.map(seriesOf) })).filter((episode) => episode.kind === kind);
}

/** Even noise from −1 to 1, the same for the same seed (a linear congruential generator, constants of ISO C's example). */
export function noise(seed: number): () => number {
  let state = seed;
  return () => {
    state = (Math.imul(state, 1_103_515_245) + 12_345) >>> 0;
    return ((state >>> 16) / 0xffff) * 2 - 1;
  };
}
