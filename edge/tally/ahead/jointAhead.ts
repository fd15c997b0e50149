import { exp } from '../../cure/exp.ts';
import { type AirRecord, airAhead } from '../../cure/outlook/air.ts';
import { persistenceError } from '../../cure/outlook/airError.ts';
import {
  DEFAULT_COVER,
  DEFAULT_HEATER,
  fitLag,
  type HeatPrior,
  type LagFit,
  THERMOSTAT_SD_MILLI_C,
} from '../../cure/outlook/fitLag.ts';
import type { Heat, Lag, OutlookInput } from '../../cure/outlook/input.ts';
import { DEFAULT_LAG } from '../../cure/outlook/lag.ts';
import { HORIZON_MS } from '../../cure/outlook/project.ts';
import { TELLS_AFTER_HOURS } from '../../cure/outlook/siblings.ts';
import { HOUR_MS, requiredPpmMs, stagesFor } from '../../cure/schedule.ts';
import type { Readings } from '../../ledger/readings.ts';
import { foldSpecOf, type JointSpec } from '../../site/cureSpec.ts';
import { type HeatingSpan, heatingAt, heatingOf } from '../../site/state/heating.ts';
import type { Joint } from '../../site/state/joint.ts';
import type { SiteState } from '../../site/state/site.ts';
import { iso } from '../../site/views/iso.ts';
import type { OutlookBasis, OutlookReason } from '../../site/views/outlook.ts';
import type { Tally } from '../tally.ts';
import { type JointRecord, jointRecord, WARMS_ITSELF_MS } from './jointRecord.ts';
import { type AirAhead, RECORD_MS, RECORD_STEP_MS, type SiteAir } from './siteAir.ts';

const DAY_MS = 24 * HOUR_MS;

export interface AheadParts {
  readonly site: SiteState;
  readonly tally: Tally;
  readonly readings: Readings;
  readonly air: SiteAir;
  readonly nowMs: () => number;
}

export interface Ahead {
  readonly input: OutlookInput;
  readonly basis: OutlookBasis;
}

/** Lag of a joint behind its air, and the heat that was about it. */
export interface Fitted extends LagFit {
  readonly spans: readonly HeatingSpan[];
}

/** The air that a joint stands in, and what it follows there; null where nothing is known of either. */
interface Surroundings {
  readonly ahead: AirAhead;
  readonly from: OutlookBasis['air'];
  /** Past air on the joint's grid; null: not measured. */
  readonly past: AirRecord | null;
}

/** Everything that looking ahead for a joint takes, gathered from readings and record; or why it cannot be done. */
export function aheadOf(joint: Joint, parts: AheadParts, fitOf: (fit: (prior: Lag) => Fitted) => Fitted): Ahead | OutlookReason {
  const { site, tally, readings, nowMs } = parts;
  const spec = foldSpecOf(site, joint);
  const fold = tally.fold(joint.joint);
  const redo = site.redone.get(joint.joint);
  const isVoid = redo !== undefined && redo.recordedMs > joint.attemptRecordedMs;
  if (spec === null || fold === null || isVoid) return 'not-laid-up';
  const now = nowMs();
  const material = jointRecord(spec, 'material', readings, tally.counts, now);
  const ambient = jointRecord(spec, 'ambient', readings, tally.counts, now);
  const around = surroundingsOf(joint, material, parts);
  const followed = material ?? (isMoist(spec) || spec.ambientStandIn ? ambient : null);
  if (around === null || (followed === null && around.from !== 'forecast')) return 'no-temperature';
  if (isMoist(spec) && around.ahead.air.humidityMilliPercent === null) return 'no-humidity';

  const hasMaterial = material !== null || (joint.assignments.at(-1)?.probes.length ?? 0) > 0;
  const fitted = fitOf((prior) => fittedOf(site, joint, material, around.past, now, prior));
  const heat = heatNow(fitted, now);
  const { state } = fold;
  const isDone = state.reached.length >= spec.stages.length;
  const lag = around.from === 'own' ? { ...DEFAULT_LAG, timeConstantMs: 60_000, offsetSdMilliC: 0 } : fitted.lag;
  const start = startOf(followed, around, isDone ? DEFAULT_LAG : lag, spec.gapLimitMs, Math.max(now, state.frontierMs));
  const input: OutlookInput = {
    joint: joint.joint,
    nowMs: now,
    credit: {
      frontierMs: Math.min(state.frontierMs, start.startMs),
      creditPpmMs: state.creditPpmMs,
      reached: state.reached.map(({ stage, reachedAtMs }) => ({ stage, reachedAtMs })),
    },
    table: spec.table,
    gapLimitMs: spec.gapLimitMs,
    stages: stagesFor(joint.schedule.definition, joint.beadMillimetres).map(({ stage, requiredHours }) => ({
      stage,
      requiredPpmMs: requiredPpmMs(requiredHours),
    })),
    follows: hasMaterial ? 'material' : 'air',
    ...start,
    guardMilliC: followed?.guardMilliC ?? guardOf(spec, 'material'),
    airGuardMilliC: ambient?.guardMilliC ?? guardOf(spec, 'ambient'),
    humidityGuardMilliPercent: guardOf(spec, 'humidity'),
    lag,
    heat: heat?.heat ?? null,
    air: around.ahead.air,
    error: around.ahead.error,
    stream: streamOf(joint.joint),
  };
  return { input, basis: basisOf(site, around, input, heat) };
}

function isMoist({ table }: JointSpec): boolean {
  return table.referenceHumidityMilliPercent !== undefined;
}

function guardOf({ lanes }: JointSpec, role: 'material' | 'ambient' | 'humidity'): number {
  return lanes.findLast((lane) => lane.role === role)?.guardMilliC ?? 0;
}

function surroundingsOf(joint: Joint, own: JointRecord | null, { site, air, nowMs }: AheadParts): Surroundings | null {
  const probe = ambientOf(joint, site, air);
  const ahead = air.ahead(probe);
  if (ahead !== null) return { ahead, from: ahead.from, past: probe === null ? null : air.record(probe) };
  if (own === null) return null;
  // Nothing measures the air: the joint's own last day has to do for it.
  const record = { ...own, humidityMilliPercent: own.milliC.map(() => null) };
  const repeated = airAhead(record, null, nowMs(), HORIZON_MS);
  return repeated && { ahead: { ...repeated, error: persistenceError(record) }, from: 'own', past: null };
}

/** The lag as the joint's own readings of the two days before `untilMs` show it, once it has stopped warming itself. */
function fittedOf(
  site: SiteState,
  joint: Joint,
  material: JointRecord | null,
  past: AirRecord | null,
  untilMs: number,
  prior: Lag,
): Fitted {
  const spans = heatingOf(site, joint);
  const kinds = [...new Set(spans.map(kindOf))];
  const priors = kinds.map((kind) => priorOf(spans.findLast((span) => kindOf(span) === kind) as HeatingSpan));
  const fromMs = (joint.laidUpMs ?? untilMs) + WARMS_ITSELF_MS;
  const instantMs = (index: number) => untilMs - RECORD_MS + index * RECORD_STEP_MS;
  const isKnown = material !== null && past !== null && past.milliC.length === material.milliC.length;
  const record = {
    fromMs: untilMs - RECORD_MS,
    stepMs: RECORD_STEP_MS,
    jointMilliC: isKnown ? material.milliC.map((milliC, index) => (instantMs(index) < fromMs ? null : milliC)) : [],
    airMilliC: isKnown ? past.milliC : [],
    heat: isKnown ? material.milliC.map((_, index) => heatIndexAt(spans, kinds, instantMs(index))) : [],
  };
  return { ...fitLag(record, priors, prior), spans };
}

/** Which of the kinds of heat was on; −1: none. */
function heatIndexAt(spans: readonly HeatingSpan[], kinds: readonly string[], atMs: number): number {
  const span = onAt(spans, atMs);
  return span === null ? -1 : kinds.indexOf(kindOf(span));
}

/** A joint that has been there for so long tells the site's next ones how joints here follow the air. */
const TELLS_FROM_MS = WARMS_ITSELF_MS + TELLS_AFTER_HOURS * HOUR_MS;

/** How a joint followed its air in its first two days, for the site's next ones; null: it is too young, or was not measured. */
export function siblingLagOf(joint: Joint, { site, tally, readings, air, nowMs }: AheadParts): Lag | null {
  const { laidUpMs } = joint;
  const spec = foldSpecOf(site, joint);
  const probe = ambientOf(joint, site, air);
  if (spec === null || laidUpMs === null || probe === null || nowMs() - laidUpMs < TELLS_FROM_MS) return null;
  const untilMs = Math.min(nowMs(), laidUpMs + RECORD_MS);
  const material = jointRecord(spec, 'material', readings, tally.counts, untilMs);
  return fittedOf(site, joint, material, air.measured(probe, RECORD_MS, untilMs), untilMs, DEFAULT_LAG).lag;
}

function ambientOf(joint: Joint, site: SiteState, air: SiteAir): string | null {
  const assigned = joint.assignments.at(-1)?.ambient ?? null;
  return assigned !== null && site.probes.has(assigned) ? assigned : air.probe;
}

function kindOf({ what, holdMilliC }: HeatingSpan): string {
  return `${what} ${holdMilliC ?? ''}`;
}

/** Of a heater and a cover that are both on, the heater: what it brings includes the cover. */
function onAt(spans: readonly HeatingSpan[], atMs: number): HeatingSpan | null {
  const on = heatingAt(spans, atMs);
  return on.findLast(({ what }) => what === 'heater') ?? on.at(-1) ?? null;
}

function priorOf({ what, holdMilliC }: HeatingSpan): HeatPrior {
  if (holdMilliC !== null) return { kind: 'level', milliC: holdMilliC, sdMilliC: THERMOSTAT_SD_MILLI_C };
  return what === 'heater' ? DEFAULT_HEATER : DEFAULT_COVER;
}

interface HeatNow {
  readonly heat: Heat;
  readonly seen: boolean;
  readonly sinceMs: number;
}

function heatNow({ spans, heats }: Fitted, nowMs: number): HeatNow | null {
  const span = onAt(spans, nowMs);
  if (span === null) return null;
  const kinds = [...new Set(spans.map(kindOf))];
  const found = heats[kinds.indexOf(kindOf(span))];
  if (found === undefined) return null;
  const { seen, ...heat } = found;
  return { heat, seen, sinceMs: span.fromMs };
}

/** Where the walk begins: what was measured last; after a silence, where that has likely come to meanwhile. */
function startOf(
  followed: JointRecord | null,
  { ahead: { air } }: Surroundings,
  lag: OutlookInput['lag'],
  gapLimitMs: number,
  nowMs: number,
): Pick<OutlookInput, 'startMs' | 'startMilliC'> {
  const restingMilliC = (air.milliC[0] as number) + lag.offsetMilliC;
  if (followed === null) return { startMs: nowMs, startMilliC: Math.round(restingMilliC) };
  const { atMs, milliC } = followed.newest;
  if (nowMs - atMs <= gapLimitMs) return { startMs: nowMs, startMilliC: milliC };
  const left = exp(-Math.min(700, (nowMs - atMs) / lag.timeConstantMs));
  return { startMs: nowMs, startMilliC: Math.round(restingMilliC + (milliC - restingMilliC) * left) };
}

/** A number of its own for each joint, from its name (FNV-1a). */
function streamOf(name: string): number {
  let hash = 0x811c9dc5;
  for (const character of name) hash = Math.imul(hash ^ (character.codePointAt(0) ?? 0), 0x01000193);
  return hash & 0xfffff;
}

function basisOf(site: SiteState, { from }: Surroundings, { lag, error }: OutlookInput, heat: HeatNow | null): OutlookBasis {
  const newest = site.forecasts.at(-1);
  const dayShare = Math.sqrt(1 - exp(-Math.min(700, (2 * DAY_MS) / error.correlationMs)));
  return {
    air: from,
    forecast:
      newest === undefined || from !== 'forecast'
        ? null
        : {
            source: newest.source,
            givenAt: iso(newest.recordedMs),
            by: newest.by.name,
            until: iso(newest.hours.atMs.at(-1) as number),
          },
    lag: {
      hours: lag.timeConstantMs / HOUR_MS,
      offsetCelsius: lag.offsetMilliC / 1000,
      errorCelsius: lag.errorMilliC === null ? null : lag.errorMilliC / 1000,
      fittedHours: lag.fittedHours,
    },
    heat: heat && {
      kind: heat.heat.kind,
      celsius: heat.heat.milliC / 1000,
      since: iso(heat.sinceMs),
      seen: heat.seen,
    },
    airErrorCelsius: Math.round(error.sdMilliC * dayShare) / 1000,
    airComparisons: error.comparisons,
  };
}
