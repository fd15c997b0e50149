import { z } from 'zod';
import type { Fold, FoldState } from '../../cure/fold.ts';
import { frontMillimetres } from '../../cure/law.ts';
import { type MixRules, type TimeEstimate, timeAt } from '../../cure/mix.ts';
import { ratePpmAt } from '../../cure/rateTable.ts';
import { HOUR_MS, PPM, shownHours, stagesFor } from '../../cure/schedule.ts';
import type { Finding } from '../findings/finding.ts';
import { blocksOf, mixRulesOf } from '../findings/jointFindings.ts';
import { proofVerdict } from '../findings/proofs.ts';
import { ProbeRole } from '../said/instruments.ts';
import { heatingAt, heatingOf } from '../state/heating.ts';
import type { Joint, Mix } from '../state/joint.ts';
import type { Decision, SiteState } from '../state/site.ts';
import { type BookingView, isLate } from './booking.ts';
import { DewView, dewOf } from './dew.ts';
import { FindingView, findingView } from './finding.ts';
import { governingOf, isSilent, type LatestOfAll } from './governing.ts';
import { iso, isoOrNull } from './iso.ts';
import { type JointProjection, OutlookBasis, Times } from './outlook.ts';
import { StageView, stageView } from './stage.ts';

const nullableInstant = z.string().nullable();

/** `open`: being laid up, from the first preparation or mix on. `void`: to be done again. */
export const Phase = z.enum(['planned', 'open', 'curing', 'stressReady', 'hydroReady', 'void']);
export type Phase = z.infer<typeof Phase>;

/** `silent`: a material probe of the joint has not been heard within the gap limit, though another has. */
export const Condition = z.enum(['cold', 'unproven', 'silent', 'projectedLate', 'provisional']);
export type Condition = z.infer<typeof Condition>;

export const JointView = z.strictObject({
  joint: z.string(),
  sump: z.string(),
  label: z.string(),
  /** Place in the ledger of the entry that added it, by which it can be taken back while nothing is laid up. */
  addedSeq: z.int(),
  /** Which joint of its sump's sequence it is. */
  part: z.string().nullable(),
  schedule: z.string(),
  scheduleDetail: z.strictObject({
    title: z.string(),
    version: z.int(),
    author: z.string(),
    law: z.enum(['arrhenius', 'q10', 'table', 'moisture']),
    referenceCelsius: z.number(),
    /** Of a moisture law, %RH. */
    referenceHumidityPercent: z.number().nullable(),
    floorCelsius: z.number(),
    gapLimitMinutes: z.number(),
    source: z.string(),
    rateTableSha256: z.string(),
  }),
  phase: Phase,
  /** Why it is to be done again; null: it is not. */
  redo: z.strictObject({ seq: z.int(), by: z.string(), role: z.string(), at: z.string(), reason: z.string() }).nullable(),
  conditions: z.array(Condition),
  warmHours: z.number(),
  provisionalHours: z.number(),
  clockHours: z.number(),
  /** Proven, but below the floor. */
  coldHours: z.number(),
  /** Without proof; a silence that has outlasted the gap limit counts up to now. */
  unprovenHours: z.number(),
  /** Taken off for cold above the floor. With the warm, cold and unproven hours it makes up the time that is settled. */
  reducedHours: z.number(),
  /** Present credit rate, 0 … 1. Null when no probe is live. */
  creditRate: z.number().nullable(),
  asOf: z.string(),
  /** How often it was laid up from the start. */
  attempt: z.int(),
  /** When work on this attempt began. */
  openAt: nullableInstant,
  /** When its surface was last signed for. */
  prepAt: nullableInstant,
  laidUpAt: nullableInstant,
  laidUpBy: z.string().nullable(),
  /** Warm hours are settled up to here. */
  provenUntil: nullableInstant,
  governing: z
    .strictObject({
      probe: z.string(),
      /** As measured. */
      celsius: z.number(),
      /** Taken off before the law is applied. */
      guardCelsius: z.number(),
      /** Of the air, guard band taken off; null where the law does not ask. */
      humidityPercent: z.number().nullable(),
      at: z.string(),
    })
    .nullable(),
  probes: z.array(z.strictObject({ probe: z.string(), role: ProbeRole, registered: z.boolean() })),
  stages: z.array(StageView),
  /** Stages that count from the last mix, such as `tack` and `gel`; null where there are none, and before. */
  fromMix: z.strictObject({ startedAt: z.string(), stages: z.array(StageView) }).nullable(),
  /** The last mix of this attempt. */
  mix: z
    .strictObject({
      at: z.string(),
      by: z.string(),
      resinLot: z.string().nullable(),
      catalystLot: z.string().nullable(),
      resinCelsius: z.number(),
      airCelsius: z.number().nullable(),
      /** How long it can be worked, by the lot's sheet or the schedule; null where they say nothing. */
      working: z.strictObject({ minutes: z.number(), atLeast: z.boolean(), atMost: z.boolean() }).nullable(),
    })
    .nullable(),
  /** How deep a sealant bead has cured, mm; null for other laws. */
  front: z.strictObject({ millimetres: z.number(), beadMillimetres: z.number() }).nullable(),
  /** Surface against dew point now, while dew can still do harm; null when it cannot, or nothing measures it. */
  dew: DewView.nullable(),
  /** Of this attempt, oldest first. */
  proofs: z.array(
    z.strictObject({ seq: z.int(), at: z.string(), by: z.string(), verdict: z.enum(['pass', 'fail', 'incomplete']) }),
  ),
  findings: z.array(FindingView),
  /** When its stages will likely be reached, and on what of the air that rests; null: it is not laid up, is through, or is to be done again. */
  projected: z
    .strictObject({
      asOf: z.string(),
      air: OutlookBasis.shape.air,
      stages: z.array(z.strictObject({ stage: z.string(), ...Times.shape })),
    })
    .nullable(),
  /** What is on it now: of a heater and a cover the heater. */
  heating: z
    .strictObject({
      seq: z.int(),
      what: z.enum(['heater', 'cover']),
      since: z.string(),
      holdCelsius: z.number().nullable(),
      by: z.string(),
      /** Said of the whole sump. */
      sump: z.boolean(),
    })
    .nullable(),
});
export type JointView = z.infer<typeof JointView>;

/** What the readings prove of a joint; folds are null before they begin. */
export interface JointProof {
  readonly fold: Fold | null;
  readonly mixFold: Fold | null;
  readonly findings: readonly Finding[];
  /** What lies ahead of it; null: nothing was worked out. */
  readonly projected: JointProjection | null;
}

/** A joint as everybody sees it at `nowMs`. */
export function jointView(
  site: SiteState,
  joint: Joint,
  { fold, mixFold, findings, projected }: JointProof,
  latest: LatestOfAll,
  nowMs: number,
): JointView {
  const { definition, rateTableSha256, table, mixTable } = joint.schedule;
  const { law, fromMix } = definition;
  const assigned = joint.assignments.at(-1);
  const gapLimitMs = definition.gapLimitMinutes * 60_000;
  const governing = governingOf(site, joint, latest, nowMs);
  const rateOf = (rates: typeof table) =>
    governing && ratePpmAt(rates, governing.milliC - governing.guardMilliC, governing.humidityMilliPercent);
  const creditPpm = rateOf(table);
  const state = fold?.state;
  const blocks = (stage: string) => {
    const { reached = [] } = state ?? {};
    const held = findings.filter((finding) => blocksOf(finding, joint, { reached }).includes(stage));
    return {
      blockedBy: held.filter(({ open, blocks: blocked }) => open && blocked.includes(stage)).map(({ id }) => id),
      decidedMs: Math.max(...held.map(({ decision }) => decision?.atMs ?? 0), 0),
    };
  };
  const free = { blockedBy: [], decidedMs: 0 };

  const stages = stagesFor(definition, joint.beadMillimetres).map(({ stage, requiredHours }) =>
    stageView(stage, requiredHours, fold, creditPpm, blocks(stage), nowMs),
  );

  // Silence beyond the gap limit will earn nothing, whatever comes; a joint that is through has nothing more to earn.
  const isDone = stages.every(({ reachedAt }) => reachedAt !== null);
  const silenceMs = state === undefined || isDone ? 0 : nowMs - state.frontierMs;
  const unprovenMs = (state?.unprovenMs ?? 0) + (silenceMs > gapLimitMs ? silenceMs : 0);

  const conditions: Condition[] = [];
  if (state !== undefined) {
    const someSilent = assigned?.probes.some((probe) => isSilent(latest.temperature.get(probe), nowMs, gapLimitMs));
    if (!isDone && governing === null) conditions.push('unproven');
    if (!isDone && creditPpm === 0) conditions.push('cold');
    if (!isDone && governing !== null && someSilent) conditions.push('silent');
    if (state.provisionalPpmMs > 0) conditions.push('provisional');
  }

  const named = assigned === undefined ? [] : assigned.probes.map((probe) => ({ probe, role: 'material' as const }));
  const ambient = assigned?.ambient == null ? [] : [{ probe: assigned.ambient, role: 'ambient' as const }];
  const laidUp = joint.events.findLast(
    ({ kind, withdrawn }) => withdrawn === null && (kind === 'laidUp' || kind === 'furtherPly' || kind === 'relaid'),
  );
  const mix = joint.mixes.at(-1);
  const redone = site.redone.get(joint.joint);
  const redo = redone !== undefined && redone.recordedMs > joint.attemptRecordedMs ? redone : null;
  return {
    joint: joint.joint,
    sump: joint.sump,
    label: joint.label,
    addedSeq: joint.addedSeq,
    part: joint.part,
    schedule: definition.name,
    scheduleDetail: {
      title: definition.title,
      version: definition.version,
      author: definition.author,
      law: law.kind,
      referenceCelsius: definition.referenceCelsius,
      referenceHumidityPercent: law.kind === 'moisture' ? law.referenceHumidityPercent : null,
      floorCelsius: definition.floorCelsius,
      gapLimitMinutes: definition.gapLimitMinutes,
      source: definition.source,
      rateTableSha256,
    },
    phase: phaseOf(joint, stages, redo),
    redo: redo && { seq: redo.seq, by: redo.by.name, role: redo.by.role, at: iso(redo.atMs), reason: redo.reason },
    conditions,
    warmHours: shownHours(state?.creditPpmMs ?? 0),
    provisionalHours: shownHours(state?.provisionalPpmMs ?? 0),
    clockHours: joint.laidUpMs === null ? 0 : Math.max(0, nowMs - joint.laidUpMs) / HOUR_MS,
    coldHours: (state?.coldMs ?? 0) / HOUR_MS,
    unprovenHours: unprovenMs / HOUR_MS,
    reducedHours: state === undefined ? 0 : reducedMs(state, joint.laidUpMs ?? 0) / HOUR_MS,
    creditRate: state === undefined || creditPpm === null ? null : creditPpm / PPM,
    asOf: iso(nowMs),
    attempt: joint.attempt,
    openAt: isoOrNull(joint.openMs),
    prepAt: isoOrNull(joint.preps.at(-1)?.atMs ?? null),
    laidUpAt: isoOrNull(joint.laidUpMs),
    laidUpBy: joint.laidUpMs === null ? null : (laidUp?.by.name ?? null),
    provenUntil: state === undefined || state.frontierMs === joint.laidUpMs ? null : iso(state.frontierMs),
    governing: governing && {
      probe: governing.probe,
      celsius: governing.milliC / 1000,
      guardCelsius: governing.guardMilliC / 1000,
      humidityPercent: law.kind === 'moisture' ? governing.humidityMilliPercent / 1000 : null,
      at: iso(governing.atMs),
    },
    probes: [...named, ...ambient].map((probe) => ({ ...probe, registered: site.probes.has(probe.probe) })),
    stages,
    fromMix:
      mixFold === null || fromMix === undefined || mixTable === null
        ? null
        : {
            startedAt: iso(mixFold.spec.startMs),
            stages: fromMix.stages.map(({ stage, requiredHours }) =>
              stageView(stage, requiredHours, mixFold, rateOf(mixTable), free, nowMs),
            ),
          },
    mix:
      mix === undefined
        ? null
        : {
            at: iso(mix.atMs),
            by: mix.by.name,
            resinLot: mix.resinLot,
            catalystLot: mix.catalystLot,
            resinCelsius: mix.resinCelsius,
            airCelsius: mix.airCelsius,
            working: workingOf(mixRulesOf(site, joint, mix), mix),
          },
    front:
      law.kind !== 'moisture'
        ? null
        : {
            millimetres: Math.floor(frontMillimetres(law, shownHours(state?.creditPpmMs ?? 0)) * 100) / 100,
            beadMillimetres: joint.beadMillimetres ?? law.beadMillimetres,
          },
    dew: dewOf(joint, mixFold, latest, nowMs),
    proofs: joint.proofs.map((proof) => ({
      seq: proof.seq,
      at: iso(proof.atMs),
      by: proof.by.name,
      verdict: proofVerdict(proof),
    })),
    findings: findings.map((finding) => findingView(site, finding)),
    projected:
      projected === null || isDone || redo !== null || joint.laidUpMs === null
        ? null
        : { asOf: projected.asOf, air: projected.air, stages: projected.stages.map((stage) => ({ ...stage })) },
    heating: heatingNow(site, joint, nowMs),
  };
}

function heatingNow(site: SiteState, joint: Joint, nowMs: number): JointView['heating'] {
  const on = heatingAt(heatingOf(site, joint), nowMs);
  const span = on.find(({ what }) => what === 'heater') ?? on[0];
  if (span === undefined) return null;
  const { seq, what, fromMs, holdMilliC, by, sump } = span;
  return { seq, what, since: iso(fromMs), holdCelsius: holdMilliC === null ? null : holdMilliC / 1000, by: by.name, sump };
}

/** A view of a joint with the condition `projectedLate` where a booking of its sump will rather not hold because of it. */
export function withLateness(view: JointView, bookings: readonly BookingView[]): JointView {
  return isLate(view.joint, bookings) ? { ...view, conditions: [...view.conditions, 'projectedLate'] } : view;
}

/** The resin sets when it goes off, and the warmer of resin and air brings it on. */
function workingOf(rules: MixRules | undefined, { resinCelsius, airCelsius }: Mix): TimeEstimate | null {
  return rules === undefined ? null : timeAt(rules.working, Math.max(resinCelsius, airCelsius ?? resinCelsius));
}

/** Settled time that was proven above the floor and yet not credited in full. */
function reducedMs(state: FoldState, startMs: number): number {
  return state.frontierMs - startMs - state.coldMs - state.unprovenMs - state.creditPpmMs / PPM;
}

function phaseOf(joint: Joint, stages: readonly StageView[], redo: Decision | null): Phase {
  if (redo !== null) return 'void';
  if (joint.laidUpMs === null) return joint.openMs === null ? 'planned' : 'open';
  const clear = (name: string) =>
    stages.some((stage) => stage.stage === name && stage.reachedAt !== null && stage.blockedBy.length === 0);
  return clear('hydro') ? 'hydroReady' : clear('stress') ? 'stressReady' : 'curing';
}
