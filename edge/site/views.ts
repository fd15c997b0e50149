import { z } from 'zod';
import type { Fold, FoldState } from '../cure/fold.ts';
import { clockMsAtRate } from '../cure/outlook.ts';
import { ratePpmAt } from '../cure/rateTable.ts';
import { HOUR_MS, PPM } from '../cure/schedule.ts';
import { ProbeRole } from './entries.ts';
import { AHEAD_LIMIT_MS } from './mistimed.ts';
import type { Joint, Probe, SiteState, Sump } from './state.ts';

/** Newest temperature of a probe, as it came: no guard band taken off. */
export interface Latest {
  readonly atMs: number;
  readonly milliC: number;
}

const nullableInstant = z.string().nullable();

export const StageView = z.strictObject({
  stage: z.string(),
  requiredHours: z.number(),
  reachedAt: nullableInstant,
  /** Which reading proved it. */
  provenBy: z.strictObject({ probe: z.string(), at: z.string() }).nullable(),
  remainingHours: z.number(),
  /** When it would be reached if the present temperature held from now on. Null: nothing is being credited. */
  ifHeldAt: nullableInstant,
  blockedBy: z.array(z.string()),
});
export type StageView = z.infer<typeof StageView>;

export const Phase = z.enum(['planned', 'open', 'curing', 'stressReady', 'hydroReady', 'void']);
export type Phase = z.infer<typeof Phase>;

/** `silent`: a material probe of the joint has not been heard within the gap limit, though another has. */
export const Condition = z.enum(['cold', 'unproven', 'silent', 'projectedLate', 'provisional']);
export type Condition = z.infer<typeof Condition>;

export const JointView = z.strictObject({
  joint: z.string(),
  sump: z.string(),
  label: z.string(),
  schedule: z.string(),
  scheduleDetail: z.strictObject({
    title: z.string(),
    version: z.int(),
    referenceCelsius: z.number(),
    floorCelsius: z.number(),
    gapLimitMinutes: z.number(),
    source: z.string(),
    rateTableSha256: z.string(),
  }),
  phase: Phase,
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
  laidUpAt: nullableInstant,
  /** Warm hours are settled up to here. */
  provenUntil: nullableInstant,
  governing: z
    .strictObject({
      probe: z.string(),
      /** As measured. */
      celsius: z.number(),
      /** Taken off before the law is applied. */
      guardCelsius: z.number(),
      at: z.string(),
    })
    .nullable(),
  probes: z.array(z.strictObject({ probe: z.string(), role: ProbeRole, registered: z.boolean() })),
  stages: z.array(StageView),
  findings: z.array(z.never()),
});
export type JointView = z.infer<typeof JointView>;

export const ProbeView = z.strictObject({
  probe: z.string(),
  label: z.string(),
  role: ProbeRole.nullable(),
  registered: z.boolean(),
  uncertaintyCelsius: z.number().nullable(),
  joints: z.array(z.string()),
  latest: z.strictObject({ celsius: z.number(), at: z.string() }).nullable(),
  online: z.boolean().nullable(),
});
export type ProbeView = z.infer<typeof ProbeView>;

export const SumpView = z.strictObject({
  sump: z.string(),
  label: z.string(),
  serial: z.string().nullable(),
  joints: z.array(z.string()),
  /** The least advanced phase among its joints: the slowest joint releases the sump. Null: it has no joint yet. */
  phase: Phase.nullable(),
  /** The joint that holds it back. */
  slowestJoint: z.string().nullable(),
});
export type SumpView = z.infer<typeof SumpView>;

export const SiteView = z.strictObject({
  site: z.string(),
  name: z.string().nullable(),
  timeZone: z.string(),
  asOf: z.string(),
  recording: z.boolean(),
  sumps: z.array(SumpView),
  joints: z.array(JointView),
  probes: z.array(ProbeView),
});
export type SiteView = z.infer<typeof SiteView>;

export function iso(ms: number): string {
  return new Date(ms).toISOString();
}

/** One millionth of a warm hour, ppm·ms: what is shown is a whole number of them. */
const SHOWN_PPM_MS = (HOUR_MS * PPM) / 1e6;

/** Warm hours to six decimals (3.6 ms), rounded down in whole numbers: what is shown never exceeds what was earned. */
function shownHours(creditPpmMs: number): number {
  return (creditPpmMs - (creditPpmMs % SHOWN_PPM_MS)) / SHOWN_PPM_MS / 1e6;
}

/** A joint as everybody sees it at `nowMs`. `fold` is null before lay-up. */
export function jointView(
  site: SiteState,
  joint: Joint,
  fold: Fold | null,
  latest: ReadonlyMap<string, Latest>,
  nowMs: number,
): JointView {
  const { definition, rateTableSha256, table } = joint.schedule;
  const assigned = joint.assignments.at(-1);
  const gapLimitMs = definition.gapLimitMinutes * 60_000;
  const governing = governingOf(site, joint, latest, nowMs, gapLimitMs);
  const creditPpm = governing === null ? null : ratePpmAt(table, governing.milliC - governing.guardMilliC);
  const state = fold?.state;

  const stages = definition.stages.map(({ stage, requiredHours }, index): StageView => {
    const reached = state?.reached.find((done) => done.stage === stage);
    const missingPpmMs = Math.max(
      0,
      (fold?.spec.stages[index]?.requiredPpmMs ?? requiredHours * HOUR_MS * PPM) - (state?.creditPpmMs ?? 0),
    );
    const waitMs = reached || state === undefined || creditPpm === null ? null : clockMsAtRate(missingPpmMs, creditPpm);
    return {
      stage,
      requiredHours,
      reachedAt: reached ? iso(reached.reachedAtMs) : null,
      provenBy: reached ? { probe: reached.provenBy.probe, at: iso(reached.provenBy.atMs) } : null,
      remainingHours: reached ? 0 : shownHours(missingPpmMs + SHOWN_PPM_MS - 1),
      ifHeldAt: waitMs === null || state === undefined ? null : iso(Math.max(state.frontierMs + waitMs, nowMs)),
      blockedBy: reached && reached.provisionalPpmMs > 0 ? ['provisional'] : [],
    };
  });

  // Silence beyond the gap limit will earn nothing, whatever comes.
  const silenceMs = state === undefined ? 0 : nowMs - state.frontierMs;
  const unprovenMs = (state?.unprovenMs ?? 0) + (silenceMs > gapLimitMs ? silenceMs : 0);

  const conditions: Condition[] = [];
  if (state !== undefined) {
    if (governing === null) conditions.push('unproven');
    else if (creditPpm === 0) conditions.push('cold');
    if (governing !== null && assigned?.probes.some((probe) => isSilent(latest.get(probe), nowMs, gapLimitMs)))
      conditions.push('silent');
    if (state.provisionalPpmMs > 0) conditions.push('provisional');
  }

  const named = assigned === undefined ? [] : assigned.probes.map((probe) => ({ probe, role: 'material' as const }));
  const ambient = assigned?.ambient == null ? [] : [{ probe: assigned.ambient, role: 'ambient' as const }];
  return {
    joint: joint.joint,
    sump: joint.sump,
    label: joint.label,
    schedule: definition.name,
    scheduleDetail: {
      title: definition.title,
      version: definition.version,
      referenceCelsius: definition.referenceCelsius,
      floorCelsius: definition.floorCelsius,
      gapLimitMinutes: definition.gapLimitMinutes,
      source: definition.source,
      rateTableSha256,
    },
    phase: phaseOf(stages, state !== undefined),
    conditions,
    warmHours: shownHours(state?.creditPpmMs ?? 0),
    provisionalHours: shownHours(state?.provisionalPpmMs ?? 0),
    clockHours: joint.laidUpMs === null ? 0 : Math.max(0, nowMs - joint.laidUpMs) / HOUR_MS,
    coldHours: (state?.coldMs ?? 0) / HOUR_MS,
    unprovenHours: unprovenMs / HOUR_MS,
    reducedHours: state === undefined ? 0 : reducedMs(state, joint.laidUpMs ?? 0) / HOUR_MS,
    creditRate: state === undefined || creditPpm === null ? null : creditPpm / PPM,
    asOf: iso(nowMs),
    laidUpAt: joint.laidUpMs === null ? null : iso(joint.laidUpMs),
    provenUntil: state === undefined || state.frontierMs === joint.laidUpMs ? null : iso(state.frontierMs),
    governing: governing && {
      probe: governing.probe,
      celsius: governing.milliC / 1000,
      guardCelsius: governing.guardMilliC / 1000,
      at: iso(governing.atMs),
    },
    probes: [...named, ...ambient].map((probe) => ({ ...probe, registered: site.probes.has(probe.probe) })),
    stages,
    findings: [],
  };
}

function isSilent(newest: Latest | undefined, nowMs: number, gapLimitMs: number): boolean {
  return newest === undefined || nowMs - newest.atMs > gapLimitMs || newest.atMs - nowMs > AHEAD_LIMIT_MS;
}

/** Settled time that was proven above the floor and yet not credited in full. */
function reducedMs(state: FoldState, startMs: number): number {
  return state.frontierMs - startMs - state.coldMs - state.unprovenMs - state.creditPpmMs / PPM;
}

interface Governing extends Latest {
  readonly probe: string;
  readonly guardMilliC: number;
}

/** The probe that would govern now: the coldest, guard band taken off, of those heard within the gap limit. */
function governingOf(
  site: SiteState,
  joint: Joint,
  latest: ReadonlyMap<string, Latest>,
  nowMs: number,
  gapLimitMs: number,
): Governing | null {
  const assigned = joint.assignments.at(-1);
  if (assigned === undefined) return null;
  const live = (names: readonly string[]) =>
    names
      .flatMap((name): Governing[] => {
        const guardMilliC = site.probes.get(name)?.settings.at(-1)?.uncertaintyMilliC;
        const newest = latest.get(name);
        if (guardMilliC === undefined || newest === undefined || isSilent(newest, nowMs, gapLimitMs)) return [];
        return [{ ...newest, probe: name, guardMilliC }];
      })
      .sort((a, b) => a.milliC - a.guardMilliC - (b.milliC - b.guardMilliC))[0] ?? null;
  return (
    live(assigned.probes) ??
    (joint.schedule.definition.ambientStandIn && assigned.ambient !== null ? live([assigned.ambient]) : null)
  );
}

function phaseOf(stages: readonly StageView[], laidUp: boolean): Phase {
  if (!laidUp) return 'planned';
  const clear = (name: string) =>
    stages.some((stage) => stage.stage === name && stage.reachedAt !== null && stage.blockedBy.length === 0);
  return clear('hydro') ? 'hydroReady' : clear('stress') ? 'stressReady' : 'curing';
}

const PHASE_ORDER: readonly Phase[] = ['void', 'planned', 'open', 'curing', 'stressReady', 'hydroReady'];

/** A sump from its joints' views, which come in any order. */
export function sumpView(sump: Sump, joints: ReadonlyMap<string, JointView>): SumpView {
  const views = sump.joints.flatMap((name) => joints.get(name) ?? []);
  const slowest = views.reduce<JointView | null>((slow, view) => {
    if (slow === null) return view;
    const order = PHASE_ORDER.indexOf(view.phase) - PHASE_ORDER.indexOf(slow.phase);
    return order < 0 || (order === 0 && remaining(view) > remaining(slow)) ? view : slow;
  }, null);
  return {
    sump: sump.sump,
    label: sump.label,
    serial: sump.serial,
    joints: sump.joints,
    phase: slowest?.phase ?? null,
    slowestJoint: slowest?.joint ?? null,
  };
}

function remaining(view: JointView): number {
  return Math.max(0, ...view.stages.map((stage) => stage.remainingHours));
}

/** A probe, or a stranger heard on the site's topics that nobody has registered yet (`probe` null). */
export function probeView(
  site: SiteState,
  name: string,
  probe: Probe | null,
  latest: Latest | undefined,
  online: boolean | null,
): ProbeView {
  const joints = [...site.joints.values()].filter((joint) => {
    const assigned = joint.assignments.at(-1);
    return assigned?.probes.includes(name) || assigned?.ambient === name;
  });
  const uncertaintyMilliC = probe?.settings.at(-1)?.uncertaintyMilliC;
  return {
    probe: name,
    label: probe?.label ?? name,
    role: probe?.role ?? null,
    registered: probe !== null,
    uncertaintyCelsius: uncertaintyMilliC === undefined ? null : uncertaintyMilliC / 1000,
    joints: joints.map((joint) => joint.joint),
    latest: latest === undefined ? null : { celsius: latest.milliC / 1000, at: iso(latest.atMs) },
    online,
  };
}
