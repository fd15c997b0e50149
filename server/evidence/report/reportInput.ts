import { HOUR_MS } from '../../../edge/cure/schedule.ts';
import { bearsOnSubject, probesOf } from '../../../edge/evidence/bearing.ts';
import type { By, Entry } from '../../../edge/site/entries.ts';
import { ownerOf } from '../../../edge/site/findings/id.ts';
import { probeOfSource } from '../../../edge/site/sources.ts';
import type { Joint } from '../../../edge/site/state/joint.ts';
import type { SiteState } from '../../../edge/site/state/site.ts';
import { iso } from '../../../edge/site/views/iso.ts';
import type { JointView } from '../../../edge/site/views/joint.ts';
import { historyOf } from '../../../edge/tally/history.ts';
import type { LiveSite } from '../../../edge/tally/liveSite.ts';
import { temperaturesOf } from '../../../edge/tally/values.ts';
import type { EntryOnRecord, JointInput, LotUsed, ReportInput, SealedAs } from './input.ts';

/** Points of a line in the chart: more than a printer tells apart. */
const CHART_POINTS = 700;
/** The chart goes on for so long after the last stage was reached … */
const AFTER_STAGES_MS = HOUR_MS;
/** … or after the last reading of a joint that waits for more. */
const AFTER_READINGS_MS = 24 * HOUR_MS;

/** All that a report about some joints says, as the site is seen now. @throws CodedError `not-found`. */
export function reportInputOf(live: LiveSite, joints: readonly string[], sealed: SealedAs): ReportInput {
  const { state, views } = live;
  const subject = { joints, sump: null };
  const inputs = joints.map((name) => jointInput(live, views.jointState(name)));
  const sumps = [...new Set(inputs.map(({ view }) => view.sump))];
  return {
    site: live.site,
    siteName: state.name,
    timeZone: state.timeZone,
    sealed,
    sumps: sumps.map((sump) => views.sump(sump)),
    joints: inputs,
    probes: [...probesOf(state, subject)].map((probe) => views.probe(probe)),
    entries: bearing(live, subject),
  };
}

function bearing({ state, ledger }: LiveSite, subject: Parameters<typeof bearsOnSubject>[1]): EntryOnRecord[] {
  const bears = bearsOnSubject(state, subject);
  const entries = [...ledger.entries()].filter(({ entry, seq }) => bears(entry, seq));
  const withdrawals = new Map<number, EntryOnRecord['withdrawn']>();
  for (const { seq, entry } of entries)
    if (entry.kind === 'entry.withdrawn')
      withdrawals.set(entry.seq, { seq, by: entry.by.name, at: entry.recordedAt, reason: entry.reason });
  return entries.map(({ seq, entry }) => ({ seq, entry, withdrawn: withdrawals.get(seq) ?? null }));
}

function jointInput(live: LiveSite, joint: Joint): JointInput {
  const { state, tally, views } = live;
  const view = views.joint(joint.joint);
  const fold = tally.fold(joint.joint)?.state ?? null;
  const laidUpMs = joint.laidUpMs;
  const guards = view.probes.flatMap(({ probe }) => state.probes.get(probe)?.settings.at(-1)?.uncertaintyMilliC ?? []);
  const whole = laidUpMs === null ? null : historyOf(live, joint.joint, { from: iso(laidUpMs), points: 1 });
  return {
    view,
    definition: joint.schedule.definition,
    guardCelsius: guards.length === 0 ? null : Math.max(...guards) / 1000,
    hours:
      fold === null || laidUpMs === null
        ? null
        : {
            settledMs: fold.frontierMs - laidUpMs,
            creditPpmMs: fold.creditPpmMs,
            provisionalPpmMs: fold.provisionalPpmMs,
            coldMs: fold.coldMs,
            unprovenMs: fold.unprovenMs,
          },
    provenCelsius: provenCelsius(live, view),
    history:
      laidUpMs === null
        ? null
        : historyOf(live, joint.joint, {
            to: iso(chartEndMs(view, fold?.frontierMs ?? laidUpMs, live.nowMs)),
            points: CHART_POINTS,
          }),
    uncredited: whole?.uncredited ?? [],
    preps: [...joint.preps],
    mixes: [...joint.mixes],
    proofs: [...joint.proofs],
    lots: lotsOf(state, joint),
    people: peopleOf(state, joint),
    seals: [...joint.seals],
  };
}

function chartEndMs({ stages }: JointView, frontierMs: number, nowMs: number): number {
  const reached = stages.flatMap(({ reachedAt }) => (reachedAt === null ? [] : [Date.parse(reachedAt)]));
  const isThrough = reached.length === stages.length;
  return Math.min(nowMs, isThrough ? Math.max(...reached) + AFTER_STAGES_MS : frontierMs + AFTER_READINGS_MS);
}

function provenCelsius({ state, ledger, tally }: LiveSite, { stages }: JointView): JointInput['provenCelsius'] {
  const proven: Record<string, number | null> = {};
  for (const { stage, provenBy } of stages) {
    if (provenBy === null) continue;
    const atMs = Date.parse(provenBy.at);
    const probe = state.probes.get(probeOfSource(provenBy.probe));
    const { milliC } = temperaturesOf(ledger.readings, provenBy.probe, probe, atMs, atMs + 1, tally.counts);
    const [value] = milliC;
    proven[stage] = value === undefined ? null : value / 1000;
  }
  return proven;
}

function lotsOf(state: SiteState, { mixes }: Joint): LotUsed[] {
  const used = new Set(mixes.flatMap(({ resinLot, catalystLot }) => [resinLot, catalystLot].filter((lot) => lot !== null)));
  return [...used].map((lot) => {
    const known = state.lots.get(lot);
    return {
      lot,
      material: known?.material ?? null,
      label: known?.label ?? null,
      hasSheet: known?.sheet !== undefined,
    };
  });
}

function peopleOf(state: SiteState, joint: Joint): JointInput['people'] {
  const { sump, joint: name } = joint;
  const spoken: { readonly seq: number; readonly by: By }[] = [];
  const add = (said: ReadonlyMap<number, Entry>, counts: (entry: Entry) => boolean) => {
    for (const [seq, entry] of said) if (counts(entry)) spoken.push({ seq, by: entry.by });
  };
  add(joint.said, () => true);
  add(state.sumps.get(sump)?.said ?? new Map(), () => true);
  add(state.said, (entry) => entry.kind === 'finding.decided' && [name, sump].includes(ownerOf(entry.finding)));
  const roles = new Map<string, Set<string>>();
  for (const { by } of spoken.sort((a, b) => a.seq - b.seq))
    roles.set(by.name, (roles.get(by.name) ?? new Set<string>()).add(by.role));
  return [...roles].map(([person, own]) => ({ name: person, roles: [...own] }));
}
