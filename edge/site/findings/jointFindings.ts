import { DEW_MARGIN_MILLI_C, dewPointMilliC } from '../../cure/dewPoint.ts';
import type { StageReached } from '../../cure/fold.ts';
import { DRY_AFTER_START_MS } from '../../cure/inspect/dewRisk.ts';
import type { Episode, EpisodeKind } from '../../cure/inspect/episode.ts';
import { type MixRules, millilitresOf, standingOf } from '../../cure/mix.ts';
import type { Joint, Mix } from '../state/joint.ts';
import type { SiteState } from '../state/site.ts';
import { type FindingCode, RULES } from './catalogue.ts';
import { decided, type Finding, type Found, type Passed } from './finding.ts';
import { hardnessOf, proofVerdict } from './proofs.ts';

/** What the readings say about a joint's present attempt. */
export interface Proven {
  readonly episodes: readonly Episode[];
  readonly reached: readonly StageReached[];
  /** When gel was reached; null: not yet, or its schedule has no such stage. */
  readonly gelMs: number | null;
}

const CODE_OF: Readonly<Record<EpisodeKind, FindingCode>> = {
  gap: 'gap',
  'cold-before-gel': 'cold-before-gel',
  'below-proof': 'below-proof',
  'hot-joint': 'hot-joint',
  frozen: 'probe-frozen',
  jump: 'probe-jump',
  sentinel: 'power-on-value',
  apart: 'probes-apart',
  detached: 'probe-detached',
  'battery-low': 'battery-low',
  'off-curve': 'off-curve',
  'dew-risk': 'dew-risk',
};

/** When work on the present attempt is no longer at the mercy of dew and rain; null: it still is, or has not begun. */
export function watchEndMs(joint: Joint, gelMs: number | null): number | null {
  const hasGel = joint.schedule.definition.fromMix?.stages.some(({ stage }) => stage === 'gel') ?? false;
  if (hasGel) return gelMs;
  return joint.laidUpMs === null ? null : joint.laidUpMs + DRY_AFTER_START_MS;
}

/** Every finding on a joint, oldest first, with what was decided. */
export function jointFindings(site: SiteState, joint: Joint, proven: Proven, nowMs: number): Finding[] {
  const doneMs = doneOf(joint, proven);
  const found = [
    ...proven.episodes.map((episode) => ofEpisode(joint, episode)),
    ...ofProvisional(joint, proven),
    ...ofMixes(site, joint),
    ...ofPreps(joint),
    ...ofProofs(joint),
    ...ofRain(site, joint, proven.gelMs, nowMs),
    ...ofClock(site, joint, doneMs ?? nowMs),
    ...ofCalibrations(site, joint, doneMs ?? nowMs),
    ...ofLost(joint),
  ];
  const passed: Passed[] = joint.proofs.filter((proof) => proofVerdict(proof) === 'pass');
  const findings = found
    .map((each) => decided(site, { ...each, blocks: blocksOf(each, joint, proven) }, passed, joint.attemptRecordedMs))
    .map((finding) => ({ ...finding, blocks: stillBlocked(finding, proven) }))
    .sort((a, b) => a.fromMs - b.fromMs || (a.id < b.id ? -1 : 1));
  // What two sources of the same air show is one thing: that which lasts longest.
  const lasts = ({ toMs }: Finding) => toMs ?? Number.POSITIVE_INFINITY;
  const longest = new Map<string, Finding>();
  for (const finding of findings) {
    const other = longest.get(finding.id);
    if (other === undefined || lasts(finding) > lasts(other)) longest.set(finding.id, finding);
  }
  return [...longest.values()];
}

/** When the last stage was reached; null: not yet. */
export function doneOf(joint: Joint, { reached }: Pick<Proven, 'reached'>): number | null {
  const stages = joint.schedule.definition.stages.length;
  return reached.length < stages ? null : Math.max(...reached.map(({ reachedAtMs }) => reachedAtMs));
}

/** Stages that it blocks until it is decided on: what was reached before it began stays reached. */
export function blocksOf({ code, fromMs, words }: Found, joint: Joint, { reached }: Pick<Proven, 'reached'>): string[] {
  if (RULES[code].severity !== 'stop') return [];
  if (words.stage !== undefined) return [words.stage];
  const stages = joint.schedule.definition.stages.map(({ stage }) => stage);
  // Soft resin was never there, whatever the hours say.
  if (code === 'proof-failed') return stages;
  const proof = (stage: string) => reached.find((one) => one.stage === stage);
  return stages.filter((stage) => {
    const own = proof(stage);
    return own === undefined || own.reachedAtMs > fromMs;
  });
}

/** What went on after it was accepted does not take back the stages that it was accepted for. */
function stillBlocked({ blocks, decision }: Finding, { reached }: Proven): readonly string[] {
  if (decision?.decision !== 'accept') return blocks;
  return blocks.filter((stage) => !reached.some((own) => own.stage === stage && own.reachedAtMs <= decision.atMs));
}

function about(joint: Joint, code: FindingCode, anchor: string, fromMs: number, toMs: number | null): Found {
  const { sump, joint: name } = joint;
  return { code, anchor, sump, joint: name, probes: [], fromMs, toMs, numbers: {}, words: {}, blocks: [] };
}

function ofEpisode(joint: Joint, { kind, probes, fromMs, toMs, numbers }: Episode): Found {
  const anchor = [...probes, `t${fromMs.toString(36)}`].join('+');
  return { ...about(joint, CODE_OF[kind], anchor, fromMs, toMs), probes, numbers };
}

/** Each stage that rests on hours for which only the air stood in has to be decided on by itself. */
function ofProvisional(joint: Joint, { reached }: Proven): Found[] {
  return reached.flatMap(({ stage, reachedAtMs, provisionalPpmMs }) =>
    provisionalPpmMs === 0
      ? []
      : [
          {
            ...about(joint, 'provisional', `${stage}-a${joint.attempt}`, reachedAtMs, reachedAtMs),
            numbers: { provisionalPpmMs },
            words: { stage },
          },
        ],
  );
}

function ofMixes(site: SiteState, joint: Joint): Found[] {
  return joint.mixes.flatMap((mix) => [...outsideBand(site, joint, mix), ...outOfRange(joint, mix)]);
}

/** The lot's own sheet wins over the schedule; undefined where neither says anything. */
export function mixRulesOf(site: SiteState, joint: Joint, { resinLot }: Pick<Mix, 'resinLot'>): MixRules | undefined {
  return (resinLot === null ? undefined : site.lots.get(resinLot)?.sheet) ?? joint.schedule.definition.mix;
}

function outsideBand(site: SiteState, joint: Joint, mix: Mix): Found[] {
  const { seq, atMs, resin, catalystMillilitres } = mix;
  const rules = mixRulesOf(site, joint, mix);
  if (rules === undefined || resin === null || catalystMillilitres === null) return [];
  const { percentByMass, standing } = standingOf(rules, millilitresOf(resin, rules.resinKgPerLitre), catalystMillilitres);
  if (standing === 'inside' || standing === 'preferred') return [];
  const milliPercent = (percent: number) => Math.round(percent * 1000);
  const numbers = {
    milliPercentByMass: milliPercent(percentByMass),
    milliPercentLeast: milliPercent(rules.bandPercent.min),
    milliPercentMost: milliPercent(rules.bandPercent.max),
  };
  return [{ ...about(joint, 'mix-outside-band', `e${seq}`, atMs, atMs), numbers, words: { standing } }];
}

function outOfRange(joint: Joint, { seq, atMs, resinCelsius }: Mix): Found[] {
  const { use } = joint.schedule.definition;
  if (use === undefined) return [];
  const milli = (celsius: number) => Math.round(celsius * 1000);
  const numbers = { milliC: milli(resinCelsius), leastMilliC: milli(use.minCelsius), mostMilliC: milli(use.maxCelsius) };
  if (numbers.milliC >= numbers.leastMilliC && numbers.milliC <= numbers.mostMilliC) return [];
  return [{ ...about(joint, 'material-out-of-range', `e${seq}`, atMs, atMs), numbers }];
}

function ofPreps(joint: Joint): Found[] {
  const { laidUpMs, preps } = joint;
  const wet = preps.flatMap(({ seq, atMs, surfaceMilliC, airMilliC, humidityMilliPercent }) => {
    if (surfaceMilliC === null || airMilliC === null || humidityMilliPercent === null) return [];
    const dewMilliC = dewPointMilliC(airMilliC, humidityMilliPercent);
    if (dewMilliC === null || surfaceMilliC - dewMilliC >= DEW_MARGIN_MILLI_C) return [];
    const numbers = { surfaceMilliC, dewPointMilliC: dewMilliC, leastMarginMilliC: surfaceMilliC - dewMilliC };
    return [{ ...about(joint, 'dew-risk', `e${seq}`, atMs, atMs), numbers }];
  });
  if (laidUpMs === null || preps.some(({ atMs }) => atMs <= laidUpMs)) return wet;
  return [...wet, about(joint, 'prep-missing', `t${laidUpMs.toString(36)}`, laidUpMs, laidUpMs)];
}

function ofProofs(joint: Joint): Found[] {
  return joint.proofs.flatMap((proof) => {
    if (proofVerdict(proof) !== 'fail') return [];
    const { seq, atMs, surface } = proof;
    const words = surface === null ? {} : { surface };
    return [{ ...about(joint, 'proof-failed', `e${seq}`, atMs, atMs), numbers: hardnessOf(proof) ?? {}, words }];
  });
}

function ofRain(site: SiteState, joint: Joint, gelMs: number | null, nowMs: number): Found[] {
  const { openMs } = joint;
  if (openMs === null) return [];
  const endMs = watchEndMs(joint, gelMs);
  return site.rains.flatMap(({ seq, atMs, untilMs, sump }) => {
    if (sump !== null && sump !== joint.sump) return [];
    if (atMs > Math.min(endMs ?? nowMs, nowMs) || (untilMs !== null && untilMs < openMs)) return [];
    const toMs = untilMs === null ? endMs : Math.min(untilMs, endMs ?? untilMs);
    return [about(joint, 'rain', `e${seq}-a${joint.attempt}`, Math.max(atMs, openMs), toMs)];
  });
}

function ofClock(site: SiteState, joint: Joint, untilMs: number): Found[] {
  const { openMs } = joint;
  if (openMs === null) return [];
  return site.clockSteps.flatMap(({ boot, monoMs, fromMs, toMs }) => {
    const [earlier, later] = fromMs < toMs ? [fromMs, toMs] : [toMs, fromMs];
    if (later < openMs || earlier > untilMs) return [];
    return [{ ...about(joint, 'clock-step', `b${boot}-${monoMs}`, earlier, earlier), numbers: { stepMs: toMs - fromMs } }];
  });
}

function ofCalibrations(site: SiteState, joint: Joint, untilMs: number): Found[] {
  const { openMs, assignments } = joint;
  if (openMs === null) return [];
  return assignments.flatMap(({ fromMs, probes, ambient }, index) => {
    // A probe that has moved on since has still proven what it proved.
    const sinceMs = Math.max(openMs, fromMs);
    const endMs = Math.min(untilMs, assignments[index + 1]?.fromMs ?? untilMs);
    if (sinceMs > endMs) return [];
    const named = [...probes, ...(ambient === null ? [] : [ambient])];
    return named.flatMap((probe) => overdue(site, joint, probe, sinceMs, endMs));
  });
}

function overdue(site: SiteState, joint: Joint, probe: string, openMs: number, untilMs: number): Found[] {
  const calibrations = [...(site.probes.get(probe)?.calibrations ?? [])].sort((a, b) => a.atMs - b.atMs);
  return calibrations.flatMap(({ dueMs }, index) => {
    const nextMs = calibrations[index + 1]?.atMs ?? null;
    const endMs = nextMs ?? untilMs;
    if (dueMs === null || dueMs > Math.min(endMs, untilMs) || endMs < openMs) return [];
    const fromMs = Math.max(dueMs, openMs);
    const found = about(joint, 'calibration-overdue', `${probe}+t${dueMs.toString(36)}`, fromMs, nextMs);
    return [{ ...found, probes: [probe] }];
  });
}

function ofLost(joint: Joint): Found[] {
  return joint.lost.map(({ seq, atMs, stages }) => ({
    ...about(joint, 'stage-lost', `e${seq}`, atMs, atMs),
    words: { stages: stages.join(', ') },
  }));
}
