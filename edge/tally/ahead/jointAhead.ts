import { exp } from '../../cure/exp.ts';
import type { Lane } from '../../cure/fold.ts';
import type { AirRecord } from '../../cure/outlook/air.ts';
import { persistenceError } from '../../cure/outlook/airError.ts';
import { fitLag, type LagFit } from '../../cure/outlook/fitLag.ts';
import type { AirError, Lag, OutlookInput } from '../../cure/outlook/input.ts';
import { DEFAULT_LAG } from '../../cure/outlook/lag.ts';
import { TELLS_AFTER_HOURS } from '../../cure/outlook/siblings.ts';
import { HOUR_MS, requiredPpmMs, stagesFor } from '../../cure/schedule.ts';
import { foldSpecOf, type JointSpec } from '../../site/cureSpec.ts';
import { forecastInForce } from '../../site/state/forecast.ts';
import { type HeatingSpan, heatingAt, heatingOf } from '../../site/state/heating.ts';
import type { Joint } from '../../site/state/joint.ts';
import type { SiteState } from '../../site/state/site.ts';
import { iso } from '../../site/views/iso.ts';
import type { OutlookBasis, OutlookReason } from '../../site/views/outlook.ts';
import type { Tally } from '../tally.ts';
import type { ReadingSource } from '../values.ts';
import { CHANGED_SD_MILLI_C, type HeatNow, heatedAir, heatIndexAt, heatNow, kindsOf } from './jointHeat.ts';
import { type JointRecord, jointRecord, WARMS_ITSELF_MS } from './jointRecord.ts';
import { type AirAhead, RECORD_MS, RECORD_STEP_MS, type SiteAir } from './siteAir.ts';

const DAY_MS = 24 * HOUR_MS;

export interface AheadParts {
  readonly site: SiteState;
  readonly tally: Tally;
  readonly readings: ReadingSource;
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
  /** The air has the heat in it already; `changed`: and heat was put on or off within its record. Null: heat comes on top. */
  readonly heated: 'throughout' | 'changed' | null;
}

/** What is on a joint and silent for longer is not reckoned with before it is heard again. */
const SILENT_MS = HOUR_MS;

/** Everything that looking ahead for a joint takes, gathered from readings and record; or why it cannot be done. */
export function aheadOf(joint: Joint, parts: AheadParts, fitOf: (fit: (prior: Lag) => Fitted) => Fitted): Ahead | OutlookReason {
  const { site, tally, readings, nowMs } = parts;
  const spec = foldSpecOf(site, joint);
  const fold = tally.fold(joint.joint);
  const redo = site.redone.get(joint.joint);
  const isVoid = redo !== undefined && redo.recordedMs > joint.attemptRecordedMs;
  if (spec === null || fold === null || isVoid) return 'not-laid-up';
  const now = nowMs();
  const { state } = fold;
  const isDone = state.reached.length >= spec.stages.length;
  const onIt = {
    material: jointRecord(spec, 'material', readings, tally.counts, now),
    ambient: jointRecord(spec, 'ambient', readings, tally.counts, now),
    humidity: isMoist(spec) ? jointRecord(spec, 'humidity', readings, tally.counts, now) : null,
  };
  const { material, ambient } = onIt;
  const hindrance = isDone ? null : hindranceOf(spec, onIt, now);
  if (hindrance !== null) return hindrance;
  const followed = followedOf(spec, onIt, now) ?? (isDone && material?.newest != null ? material : null);
  const follows = followsOf(spec, followed, onIt);
  const around = surroundingsOf(joint, material, follows, parts);
  if (around === null) return 'no-temperature';
  if (isMoist(spec) && around.ahead.air.humidityMilliPercent === null) return 'no-humidity';

  const fitted = fitOf((prior) => fittedOf(site, joint, material, around.past, now, prior));
  const heat = around.heated === null ? heatNow(fitted.spans, fitted.heats, now) : null;
  const lag = around.from === 'own' ? ownLag(around) : fitted.lag;
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
    follows,
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

type OnIt = Readonly<Record<Lane['role'], JointRecord | null>>;

/** What keeps a joint from earning anything for as long as nobody acts: nothing counts on it, or what does is silent. */
function hindranceOf(spec: JointSpec, onIt: OnIt, nowMs: number): OutlookReason | null {
  const airCounts = isMoist(spec)
    ? isOpen(spec, 'ambient') && isOpen(spec, 'humidity')
    : spec.ambientStandIn && isOpen(spec, 'ambient');
  if (!airCounts && (isMoist(spec) || !isOpen(spec, 'material'))) return 'no-probe';
  if (followedOf(spec, onIt, nowMs) === null) return 'no-temperature';
  if (!isMoist(spec)) return null;
  if (!isHeard(onIt.ambient, spec, nowMs)) return 'no-temperature';
  return isHeard(onIt.humidity, spec, nowMs) ? null : 'no-humidity';
}

/** What its credit follows: what is on its material; air where that stands in, or where nothing else is asked for. Null: it is silent. */
function followedOf(spec: JointSpec, { material, ambient }: OnIt, nowMs: number): JointRecord | null {
  const heard = (record: JointRecord | null) => (isHeard(record, spec, nowMs) ? record : null);
  if (isMoist(spec)) return heard(isOpen(spec, 'material') ? material : ambient);
  return heard(material) ?? (spec.ambientStandIn ? heard(ambient) : null);
}

function followsOf(spec: JointSpec, followed: JointRecord | null, { ambient }: OnIt): OutlookInput['follows'] {
  const isAir = isMoist(spec) ? !isOpen(spec, 'material') : followed !== null && followed === ambient;
  return isAir ? 'air' : 'material';
}

/** Whether the joint has anything on it in that role as things stand. */
function isOpen({ lanes }: JointSpec, role: Lane['role']): boolean {
  return lanes.some((lane) => lane.role === role && lane.untilMs === Number.POSITIVE_INFINITY);
}

function isHeard(record: JointRecord | null, { gapLimitMs }: JointSpec, nowMs: number): boolean {
  return record?.newest != null && nowMs - record.newest.atMs <= Math.max(SILENT_MS, gapLimitMs);
}

function surroundingsOf(
  joint: Joint,
  own: JointRecord | null,
  follows: OutlookInput['follows'],
  { site, air, nowMs }: AheadParts,
): Surroundings | null {
  const probe = ambientOf(joint, site, air);
  const ahead = air.ahead(probe);
  const spans = heatingOf(site, joint);
  if (ahead !== null) {
    const past = probe === null ? null : air.record(probe);
    const around = { ahead, from: ahead.from, past, heated: null };
    // A joint that follows the air follows the probe beside it, which stands in the same heat.
    const isInside = follows === 'air' && past !== null && spans.length > 0;
    const heated = isInside ? heatedAir(past, spans, air.forecast(), nowMs()) : null;
    if (heated === null) return around;
    const error = heated.isChanged ? widened(ahead.error) : ahead.error;
    return { ...around, ahead: { ...heated.guess, error }, heated: heated.isChanged ? 'changed' : 'throughout' };
  }
  if (own === null) return null;
  // Nothing measures the air: the joint's own last day has to do for it.
  const record = { ...own, humidityMilliPercent: own.milliC.map(() => null) };
  const repeated = heatedAir(record, spans, null, nowMs());
  if (repeated === null) return null;
  const error = persistenceError(record);
  return {
    ahead: { ...repeated.guess, error },
    from: 'own',
    past: null,
    heated: repeated.isChanged ? 'changed' : 'throughout',
  };
}

/** The joint's own last day is the joint itself; where heat changed within it, it goes there as a joint goes. */
function ownLag({ heated }: Surroundings): Lag {
  if (heated === 'changed') return { ...DEFAULT_LAG, offsetSdMilliC: CHANGED_SD_MILLI_C };
  return { ...DEFAULT_LAG, timeConstantMs: 60_000, offsetSdMilliC: 0 };
}

function widened(error: AirError): AirError {
  const sdMilliC = Math.sqrt(error.sdMilliC * error.sdMilliC + CHANGED_SD_MILLI_C * CHANGED_SD_MILLI_C);
  return { ...error, sdMilliC: Math.min(20_000, Math.round(sdMilliC)) };
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
  const { kinds, priors } = kindsOf(spans);
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

/** A joint that has been there for so long tells the site's next ones how joints here follow the air. */
const TELLS_FROM_MS = WARMS_ITSELF_MS + TELLS_AFTER_HOURS * HOUR_MS;
/** A rest this much above the air comes from heat that nobody put on record. Our own choice. */
const TELLS_MOST_MILLI_C = 6000;

/**
 * How a joint followed its air in its first two days, for the site's next ones; null: it is too young, or was not measured. Hours
 * under a heater or a cover tell nothing of how warm a joint rests without, so that they do not count: a warm rest that came from heat
 * must not be promised to the next one.
 */
export function siblingLagOf(joint: Joint, { site, tally, readings, air, nowMs }: AheadParts): Lag | null {
  const { laidUpMs } = joint;
  const spec = foldSpecOf(site, joint);
  // Beside another air than its own, such as that outside its tent, it would seem to rest warmer than it does.
  const probe = joint.assignments.at(-1)?.ambient ?? air.probe;
  if (spec === null || laidUpMs === null || probe === null || nowMs() - laidUpMs < TELLS_FROM_MS) return null;
  const untilMs = Math.min(nowMs(), laidUpMs + RECORD_MS);
  const material = jointRecord(spec, 'material', readings, tally.counts, untilMs);
  const spans = heatingOf(site, joint);
  const plain = (material?.milliC ?? []).filter((milliC, index) => {
    const ms = untilMs - RECORD_MS + index * RECORD_STEP_MS;
    return milliC !== null && ms >= laidUpMs + WARMS_ITSELF_MS && heatingAt(spans, ms).length === 0;
  });
  if (plain.length * RECORD_STEP_MS < TELLS_AFTER_HOURS * HOUR_MS) return null;
  const { lag } = fittedOf(site, joint, material, air.measured(probe, RECORD_MS, untilMs), untilMs, DEFAULT_LAG);
  return lag.offsetMilliC > TELLS_MOST_MILLI_C ? null : lag;
}

/** The probe that measures the joint's air: its own, unless that has been silent for a day; then the site's. */
function ambientOf(joint: Joint, site: SiteState, air: SiteAir): string | null {
  const assigned = joint.assignments.at(-1)?.ambient ?? null;
  return assigned !== null && site.probes.has(assigned) && air.isHeard(assigned, DAY_MS) ? assigned : air.probe;
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
  if (followed?.newest == null) return { startMs: nowMs, startMilliC: Math.round(restingMilliC) };
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

function basisOf(
  site: SiteState,
  { from }: Surroundings,
  { nowMs, lag, error }: OutlookInput,
  heat: HeatNow | null,
): OutlookBasis {
  const inForce = forecastInForce(site.forecasts, nowMs);
  const dayShare = Math.sqrt(1 - exp(-Math.min(700, (2 * DAY_MS) / error.correlationMs)));
  return {
    air: from,
    forecast:
      inForce === undefined || from !== 'forecast'
        ? null
        : {
            source: inForce.source,
            givenAt: iso(inForce.recordedMs),
            by: inForce.by.name,
            until: iso(inForce.hours.atMs.at(-1) as number),
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
