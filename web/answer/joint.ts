import type { JointView } from '../../edge/site/views/joint.ts';
import type { ProbeView } from '../../edge/site/views/probe.ts';
import type { StageView } from '../../edge/site/views/stage.ts';

/** Why a joint earns nothing at this moment. */
export type WhyNot =
  | 'planned'
  | 'void'
  | 'lost'
  | 'notRecording'
  | 'noProbe'
  | 'unregistered'
  | 'noReadingYet'
  | 'noReading'
  | 'cold';

export interface Reading {
  readonly probe: string;
  readonly celsius: number;
  readonly atMs: number;
  /** Too old to prove anything now, or shown while nobody answers. */
  readonly old: boolean;
}

/** A material probe that has not been heard within the gap limit; `lastMs` null: never. */
export interface Silent {
  readonly probe: string;
  readonly lastMs: number | null;
}

/** What a joint's card says beside the server's own numbers: how far they can be trusted at this moment. */
export interface JointFacts {
  /** The reading that governs, or else the newest that came. */
  readonly reading: Reading | null;
  /** Null: hours are being credited, or none are missing. */
  readonly whyNot: WhyNot | null;
  /** Probes of the joint that are silent while another one counts. */
  readonly silent: readonly Silent[];
  /** Every stage is reached. */
  readonly done: boolean;
  /** The live link is down: nothing here is of now. */
  readonly lost: boolean;
  /** The temperature and what follows from it are not of now. */
  readonly stale: boolean;
}

/** What holds for the whole page at this moment. */
export interface Moment {
  /** The live link is down. */
  readonly lost: boolean;
  /** Readings are being written down. */
  readonly recording: boolean;
  /** The server's time, UTC ms. */
  readonly nowMs: number;
  readonly probeOf: (name: string) => ProbeView | undefined;
}

/** A reading older than the gap limit is old even if the server has not said so yet. */
export function jointFacts(view: JointView, moment: Moment): JointFacts {
  const { lost } = moment;
  const reading = readingOf(view, moment);
  const done = view.stages.length > 0 && view.stages.every((stage) => stage.reachedAt !== null);
  const whyNot = done ? null : whyNotOf(view, reading, moment);
  const counts = view.laidUpAt !== null && !done && (whyNot === null || whyNot === 'cold');
  const silent = counts ? silentOf(view, moment) : [];
  return { reading, whyNot, silent, done, lost, stale: lost || whyNot === 'noReading' };
}

function silentOf(view: JointView, { nowMs, probeOf }: Moment): Silent[] {
  return view.probes.flatMap(({ probe, role }) => {
    const at = probeOf(probe)?.latest?.at;
    const lastMs = at === undefined ? null : Date.parse(at);
    const isHeard = lastMs !== null && nowMs - lastMs <= view.scheduleDetail.gapLimitMinutes * 60_000;
    return role === 'ambient' || isHeard ? [] : [{ probe, lastMs }];
  });
}

function readingOf(view: JointView, { lost, nowMs, probeOf }: Moment): Reading | null {
  const isOld = (atMs: number) => lost || nowMs - atMs > view.scheduleDetail.gapLimitMinutes * 60_000;
  if (view.governing !== null) {
    const atMs = Date.parse(view.governing.at);
    return { probe: view.governing.probe, celsius: view.governing.celsius, atMs, old: isOld(atMs) };
  }
  let newest: Reading | null = null;
  for (const { probe, role } of view.probes) {
    const latest = role === 'material' ? probeOf(probe)?.latest : null;
    if (latest == null) continue;
    const atMs = Date.parse(latest.at);
    // Nothing governs, so whatever came before does not count, however new it is.
    if (newest === null || atMs > newest.atMs) newest = { probe, celsius: latest.celsius, atMs, old: true };
  }
  return newest;
}

function whyNotOf(view: JointView, reading: Reading | null, { lost, recording }: Moment): WhyNot | null {
  if (view.phase === 'void') return 'void';
  if (view.laidUpAt === null) return 'planned';
  if (lost) return 'lost';
  if (!recording) return 'notRecording';
  const material = view.probes.filter((probe) => probe.role === 'material');
  if (view.governing === null) {
    if (material.length === 0) return 'noProbe';
    if (material.every((probe) => !probe.registered)) return 'unregistered';
  }
  if (reading === null) return 'noReadingYet';
  if (reading.old) return 'noReading';
  return view.creditRate === 0 || view.conditions.includes('cold') ? 'cold' : null;
}

/** The stage that lets a sump be filled: a schedule that does not name one is asked for its last. */
export function hydroStage(view: JointView): StageView | undefined {
  return view.stages.find((stage) => stage.stage === 'hydro') ?? view.stages.at(-1);
}

/** How a stage stands: `reached` and clear, `blocked` although its hours are there, or still `open`. */
export function standing(stage: StageView): 'reached' | 'blocked' | 'open' {
  if (stage.reachedAt === null) return 'open';
  return stage.blockedBy.length === 0 ? 'reached' : 'blocked';
}
