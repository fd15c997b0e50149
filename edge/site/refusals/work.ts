import { millilitresOf } from '../../cure/mix.ts';
import { WaterTest } from '../../cure/waterTest.ts';
import type { Entry, Statement } from '../entries.ts';
import { proofVerdict } from '../findings/proofs.ts';
import { msOf } from '../said/words.ts';
import type { SiteState } from '../state/site.ts';
import type { ActivityView, NeedView } from '../views/activity.ts';
import { type Context, type Faults, listed } from './context.ts';

type Of<K extends Statement['kind']> = Extract<Statement, { kind: K }>;

/** More catalyst than this share of the resin is no mix but a slip of the unit. */
const CATALYST_MOST_PERCENT = 20;

/** Work on a joint may not begin before what its activity needs is there, unless somebody has started it with a reason. */
export function orderFaults(faults: Faults, { site, seen }: Context, name: string, at: string): void {
  const joint = site.joints.get(name);
  if (joint === undefined || joint.part === null) return;
  const activity = seen.activities(joint.sump).find(({ part }) => part === joint.part);
  if (activity === undefined || activity.startedAt !== null) return;
  const missing = missingAt(activity, msOf(at));
  if (missing.length === 0) return;
  faults.add(
    'joint',
    `"${activity.label}" may not start yet: ${missing.map(needInWords).join('; ')}. To start all the same, record the start of activity "${activity.activity}" with your reason first`,
  );
}

/** What an activity still needed at an instant: work that is put on record later is judged by its own time, not by the present. */
export function missingAt({ needs }: ActivityView, atMs: number): NeedView[] {
  return needs.filter(({ met, metAt }) => !met || (metAt !== null && msOf(metAt) > atMs));
}

/** A need that is not met, in words for a refusal. */
export function needInWords(view: NeedView): string {
  const { need, met, metAt, joint, part, stage, activity, hold, findings } = view;
  if (met && metAt !== null) return `${needInWords({ ...view, met: false })} until ${metAt}`;
  switch (need) {
    case 'stage':
    case 'allJoints':
      if (joint === null) return part === null ? 'the sump has no joint yet' : `the sump has no joint "${part}" yet`;
      return `joint "${joint}" is not clear for ${stage}`;
    case 'prep':
      return `the surface of joint "${joint ?? part}" is not signed for`;
    case 'done':
      return `"${activity}" is not done`;
    case 'hold':
      return `hold point "${hold?.label}" is not signed`;
    case 'decided':
      return `${findings.length} ${findings.length === 1 ? 'finding waits' : 'findings wait'} for a decision`;
    case 'passed':
      return 'no water test is passed';
  }
}

export function mixFaults(faults: Faults, { site }: Context, statement: Of<'mix.recorded'>): void {
  const { joint, resin, catalystMillilitres, resinLot, catalystLot } = statement;
  const definition = site.joints.get(joint)?.schedule.definition;
  const lot = (path: string, name: string | undefined, materials: readonly string[]) => {
    if (name === undefined) return;
    const known = site.lots.get(name);
    if (known === undefined) faults.mustKnow(path, 'lot', site.lots, name);
    else if (!materials.includes(known.material))
      faults.add(path, `lot "${name}" is ${known.material}, not ${materials.join(' or ')}`);
  };
  lot('resinLot', resinLot, ['resin', 'epoxy', 'sealant']);
  lot('catalystLot', catalystLot, ['catalyst']);
  if (definition === undefined) return;
  if (definition.mix === undefined) {
    if (catalystMillilitres !== undefined)
      faults.add('catalystMillilitres', `"${definition.title}" comes in measured kits; leave the catalyst out`);
    return;
  }
  if (resin === undefined) faults.add('resin', `"${definition.title}" is mixed from resin and catalyst; say how much resin`);
  if (catalystMillilitres === undefined)
    faults.add('catalystMillilitres', `"${definition.title}" is mixed from resin and catalyst; say how much catalyst`);
  if (resin === undefined || catalystMillilitres === undefined) return;
  const percent = (catalystMillilitres / millilitresOf(resin, definition.mix.resinKgPerLitre)) * 100;
  if (percent > CATALYST_MOST_PERCENT)
    faults.add(
      'catalystMillilitres',
      `${catalystMillilitres} mL in ${resin.value} ${resin.unit} is ${percent.toFixed(0)} %; check the amounts and their units`,
    );
}

export function decisionFaults(faults: Faults, { site, by, nowMs, seen }: Context, statement: Of<'finding.decided'>): void {
  const finding = seen.finding(statement.finding);
  if (finding === undefined) {
    faults.add(
      'finding',
      `no finding "${statement.finding}" stands on this site; it may have gone with a late reading or a new lay-up`,
    );
    return;
  }
  if (!finding.mayDecide.includes(by.role))
    faults.add('finding', `${listed(finding.mayDecide)} may decide on "${finding.code}"; you are signed in as ${by.role}`);
  if (by.role === 'crew' && (finding.decision?.role === 'quality' || finding.decision?.role === 'admin'))
    faults.add(
      'finding',
      `${finding.decision.by} (${finding.decision.role}) has decided on it; quality or admin may decide anew`,
    );
  const goesOn = finding.to === null && finding.severity === 'stop';
  // A decision on record later counts from its own time, and nobody decides on what has not shown yet.
  const decidedMs = statement.at === undefined ? nowMs : msOf(statement.at);
  const shownAt = finding.severity === 'stop' && statement.decision === 'accept' ? (finding.to ?? finding.from) : finding.from;
  if (decidedMs < msOf(shownAt)) faults.add('at', `lies before what it decides on, ${shownAt}`);
  switch (statement.decision) {
    case 'accept':
      if (goesOn) faults.add('decision', 'it is still going on; accept it when it has ended, or have the joint done again');
      return;
    case 'redo':
      if (finding.joint === null) faults.add('decision', 'it concerns no single joint; accept it with a reason');
      else if (site.joints.get(finding.joint)?.laidUpMs === null)
        faults.add('decision', 'nothing is laid up yet; throw the mix away and take its entry back');
      return;
    case 'proof': {
      if (!finding.provable) {
        faults.add('decision', `no proof can settle "${finding.code}"; accept it with a reason, or have the joint done again`);
        return;
      }
      const proofs = finding.joint === null ? [] : (site.joints.get(finding.joint)?.proofs ?? []);
      const since = finding.to === null ? null : msOf(finding.to);
      if (since === null) faults.add('decision', 'it is still going on; a proof counts when it was taken afterwards');
      else if (!proofs.some((proof) => proof.atMs >= since && proof.atMs <= decidedMs && proofVerdict(proof) === 'pass'))
        faults.add(
          'decision',
          'no proof on record since then passes: the mean hardness must reach 90 % of the maker’s minimum and the wiped surface be firm',
        );
      return;
    }
  }
}

/** The activity of a sump's sequence; what is not there is a fault. */
export function activityOf(faults: Faults, { site, seen }: Context, sump: string, name: string): ActivityView | undefined {
  faults.mustKnow('sump', 'sump', site.sumps, sump);
  if (!site.sumps.has(sump)) return undefined;
  const activities = seen.activities(sump);
  const activity = activities.find((one) => one.activity === name);
  if (activity === undefined)
    faults.add(
      'activity',
      `the sequence of sump "${sump}" has no activity "${name}"; it has ${listed(activities.map((one) => one.activity))}`,
    );
  return activity;
}

export function startFaults(faults: Faults, context: Context, statement: Of<'activity.started'>): void {
  const activity = activityOf(faults, context, statement.sump, statement.activity);
  if (activity === undefined) return;
  if (activity.state === 'done') faults.add('activity', `"${activity.label}" is done already`);
  else if (isUnderWay(context, statement.sump, statement.activity))
    faults.add('activity', `"${activity.label}" was started already, ${activity.startedAt}`);
  const missing = missingAt(activity, msOf(statement.at));
  if (missing.some(({ need }) => need === 'passed')) {
    faults.add('activity', `"${activity.label}" opens only after a passed water test; there is no starting it before`);
    return;
  }
  if (missing.length > 0 && statement.reason === undefined)
    faults.add(
      'reason',
      `"${activity.label}" may not start yet: ${missing.map(needInWords).join('; ')}. Give a reason to start it all the same; it stays on record as a finding`,
    );
}

/** It was started; a water test that was recorded since then has used that start up. */
function isUnderWay({ site }: Context, name: string, activity: string): boolean {
  const sump = site.sumps.get(name);
  const started = sump?.started.get(activity);
  if (sump === undefined || started === undefined) return false;
  const isWaterTest = sump.sequence.activities.some((one) => one.waterTest && one.activity === activity);
  return !isWaterTest || !sump.tests.some(({ seq }) => seq > started.seq);
}

export function doneFaults(faults: Faults, context: Context, statement: Of<'activity.done'>): void {
  const activity = activityOf(faults, context, statement.sump, statement.activity);
  if (activity === undefined) return;
  if (activity.part !== null) faults.add('activity', `"${activity.label}" is done when its joint is laid up; record that`);
  else if (activity.waterTest) faults.add('activity', `"${activity.label}" is done when a water test is passed; record that`);
  else if (activity.state === 'done') faults.add('activity', `"${activity.label}" is done already`);
  else if (activity.startedAt === null) faults.add('activity', `"${activity.label}" has not been started; record that first`);
  else faults.mustFollow('at', statement.at, activity.startedAt, 'its start');
}

export function holdFaults(faults: Faults, { site }: Context, { sump, hold }: Of<'hold.signed'>): void {
  faults.mustKnow('sump', 'sump', site.sumps, sump);
  const sequence = site.sumps.get(sump)?.sequence;
  if (sequence === undefined) return;
  const holds = sequence.activities.flatMap(({ needs }) => needs.flatMap((need) => (need.need === 'hold' ? [need.hold] : [])));
  if (!holds.includes(hold))
    faults.add('hold', `the sequence of sump "${sump}" has no hold point "${hold}"; it has ${listed(holds)}`);
}

export function waterTestFaults(faults: Faults, context: Context, statement: Of<'hydrotest.recorded'>): void {
  const { site, seen } = context;
  const { sump, filledAt, startedAt, endedAt, byHand, probe } = statement;
  faults.mustKnow('sump', 'sump', site.sumps, sump);
  const activity = seen.activities(sump).find(({ waterTest }) => waterTest);
  if (activity !== undefined && activity.startedAt === null)
    faults.add(
      'sump',
      `the start of "${activity.label}" is not on record; record it first, with a reason if it is before its time`,
    );
  if (activity?.startedAt != null && (activity.early === null || !isUnderWay(context, sump, activity.activity))) {
    // What came up during the test keeps nobody from writing down how it ended; a joint that is open again does.
    const missing = activity.needs.filter(({ need, met }) => !met && need !== 'decided');
    if (missing.length > 0)
      faults.add(
        'sump',
        `"${activity.label}" may not go on: ${missing.map(needInWords).join('; ')}. To test all the same, record its start anew with your reason`,
      );
  }
  if (activity?.startedAt != null) faults.mustFollow('filledAt', filledAt, activity.startedAt, 'the start of filling');
  faults.mustFollow('startedAt', startedAt, filledAt, 'the end of filling');
  if (msOf(endedAt) <= msOf(startedAt)) faults.add('endedAt', 'must lie after startedAt');
  if (byHand === undefined && probe === undefined) faults.add('byHand', 'give two levels read by hand, a level probe, or both');
  if (probe !== undefined) {
    faults.mustKnow('probe', 'probe', site.probes, probe);
    const role = site.probes.get(probe)?.role;
    if (role !== undefined && role !== 'level') faults.add('probe', `probe "${probe}" is registered as ${role}, not for a level`);
  }
  const { method, fillAboveHighest, waterDepth } = statement;
  const level = byHand ?? { start: fillAboveHighest, end: fillAboveHighest, resolution: { value: 1, unit: 'mm' as const } };
  const judged = WaterTest.safeParse({
    method,
    fillAboveHighest,
    startLevel: level.start,
    endLevel: level.end,
    resolution: level.resolution,
    settleMinutes: Math.max(0, (msOf(startedAt) - msOf(filledAt)) / 60_000),
    durationMinutes: Math.max(0, (msOf(endedAt) - msOf(startedAt)) / 60_000),
    ...(waterDepth === undefined ? {} : { waterDepth }),
  });
  if (judged.success) return;
  for (const { path, message } of judged.error.issues) faults.add(WHERE[String(path[0])] ?? String(path[0]), message);
}

/** Fields of the judged test, as the statement calls them. */
const WHERE: Readonly<Record<string, string>> = {
  startLevel: 'byHand.start',
  endLevel: 'byHand.end',
  resolution: 'byHand.resolution',
  settleMinutes: 'startedAt',
  durationMinutes: 'endedAt',
};

/** What was added can go while nothing rests on it. */
function restsOnFaults(faults: Faults, site: SiteState, entry: Entry): void {
  if (entry.kind === 'sump.added' && (site.sumps.get(entry.sump)?.joints.length ?? 0) > 0)
    faults.add('seq', `sump "${entry.sump}" has joints; take those back first`);
  const joint = entry.kind === 'joint.added' ? site.joints.get(entry.joint) : undefined;
  if (joint !== undefined && (joint.openMs !== null || joint.attempt > 0))
    faults.add('seq', `work on joint "${joint.joint}" is on record; take that back first`);
  const lot = entry.kind === 'lot.added' ? entry.lot : undefined;
  const user = [...site.joints.values()].find(({ mixes }) =>
    mixes.some(({ resinLot, catalystLot }) => lot !== undefined && (resinLot === lot || catalystLot === lot)),
  );
  if (user !== undefined) faults.add('seq', `joint "${user.joint}" was made with lot "${lot}"`);
}

/** What others rest on: crew may take back only their own. */
const VERDICTS: ReadonlySet<Entry['kind']> = new Set([
  'finding.decided',
  'calibration.recorded',
  'proof.recorded',
  'hydrotest.recorded',
  'probe.mapped',
  'probe.registered',
]);

export function withdrawalFaults(faults: Faults, { site, by }: Context, { seq }: Of<'entry.withdrawn'>): void {
  const subject = site.rederive.get(seq)?.subject;
  const entry = subject?.said.get(seq);
  if (subject === undefined || entry === undefined) {
    faults.add('seq', `entry ${seq} cannot be taken back; what was said about joints, sumps, probes and lots can`);
    return;
  }
  if (subject.withdrawals.has(seq)) faults.add('seq', `entry ${seq} has been taken back already`);
  else restsOnFaults(faults, site, entry);
  if (entry.kind === 'probe.registered' && [...subject.said.values()].find(({ kind }) => kind === entry.kind) === entry)
    faults.add('seq', 'the first registration of a probe cannot be taken back; register it anew with what is right');
  if (entry.kind === 'activity.started' && (entry.early ?? []).length > 0)
    faults.add('seq', 'an activity that was started before its time stays on record');
  const isOwn = entry.by.name === by.name && entry.by.role === by.role;
  if (VERDICTS.has(entry.kind) && by.role === 'crew' && !isOwn)
    faults.add('seq', `what ${entry.by.name} (${entry.by.role}) found or decided, quality or admin may take back`);
}
