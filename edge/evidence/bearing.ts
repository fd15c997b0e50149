import type { Entry } from '../site/entries.ts';
import { ownerOf } from '../site/findings/id.ts';
import { testAndBackfill } from '../site/sequence.ts';
import type { SiteState } from '../site/state/site.ts';

/** Whether an entry, which stands at `seq` in the ledger, bears on something. */
export type Bears = (entry: Entry, seq: number) => boolean;

/** What a record is about: joints, and a sump of its own right where it is about a whole one. */
export interface Subject {
  readonly joints: readonly string[];
  readonly sump: string | null;
}

/** Everything that the entries about some joints name. */
interface Named {
  readonly joints: ReadonlySet<string>;
  readonly sumps: ReadonlySet<string>;
  readonly probes: ReadonlySet<string>;
  readonly lots: ReadonlySet<string>;
  readonly schedules: ReadonlySet<string>;
  readonly sequences: ReadonlySet<string>;
}

/**
 * Which entries bear on a joint, as far as the ledger has come: on them its warm hours, stages, findings and decisions rest.
 *
 * They are all that was said of the joint, of its sump as a whole, of every probe that it ever had, of the lots mixed for it, the
 * schedule and the sequence it follows (in all their versions); rain on its sump or the site; what concerns the site as a whole;
 * decisions on findings of joint or sump; and whatever takes one of these back. What was taken back bears too: it is part of the
 * story. Not what was said of the sump's other joints, and neither forecasts nor warnings: what was feared proves nothing.
 *
 * The answer goes by names alone and by all that was ever said, so that it only grows: an entry that bears on a joint does so for
 * ever. It is closed: applied to an empty site in their order, the entries that bear on a joint name nothing that is not among
 * them, and from the state that they come to the same answer follows as from the whole ledger's.
 */
export function bearsOn(site: SiteState, joint: string): Bears {
  return bearsOnSubject(site, { joints: [joint], sump: null });
}

/** The same of several joints, and of a sump as a whole: what bears on any of them. */
export function bearsOnSubject(site: SiteState, subject: Subject): Bears {
  const named = namedBy(site, subject);
  const bears: Bears = (entry, seq) => {
    if (entry.kind !== 'entry.withdrawn') return speaksOf(named, entry);
    const taken = saidAt(site, entry.seq);
    return taken !== undefined && entry.seq < seq && bears(taken, entry.seq);
  };
  return bears;
}

/** The probes that any of the joints ever had, and those that levels in their sumps were read from. */
export function probesOf(site: SiteState, subject: Subject): ReadonlySet<string> {
  return namedBy(site, subject).probes;
}

/** What was said at this place of the ledger, if it can be taken back or was. */
function saidAt({ rederive }: SiteState, seq: number): Entry | undefined {
  return rederive.get(seq)?.subject.said.get(seq);
}

function namedBy(site: SiteState, { joints, sump }: Subject): Named {
  const named = {
    joints: new Set(joints),
    sumps: new Set(sump === null ? [] : [sump]),
    probes: new Set<string>(),
    lots: new Set<string>(),
    schedules: new Set<string>(),
    sequences: new Set<string>(),
  };
  // What was said of a joint that was taken back, and added anew under the same name, is part of its story.
  const said = [...site.rederive.keys()].flatMap((seq) => saidAt(site, seq) ?? []);
  for (const entry of said) {
    if (!('joint' in entry) || entry.joint === undefined || !named.joints.has(entry.joint)) continue;
    if (entry.kind === 'joint.added') {
      named.sumps.add(entry.sump);
      named.schedules.add(entry.schedule);
    }
    if (entry.kind === 'joint.added' || entry.kind === 'joint.assigned') {
      for (const probe of entry.probes) named.probes.add(probe);
      if (entry.ambient !== undefined) named.probes.add(entry.ambient);
    }
    if (entry.kind === 'mix.recorded') {
      if (entry.resinLot !== undefined) named.lots.add(entry.resinLot);
      if (entry.catalystLot !== undefined) named.lots.add(entry.catalystLot);
    }
  }
  for (const entry of said) {
    if (entry.kind === 'sump.added' && named.sumps.has(entry.sump)) named.sequences.add(entry.sequence ?? testAndBackfill.name);
    if (entry.kind === 'hydrotest.recorded' && named.sumps.has(entry.sump) && entry.probe !== undefined)
      named.probes.add(entry.probe);
  }
  return named;
}

function speaksOf(named: Named, entry: Exclude<Entry, { kind: 'entry.withdrawn' }>): boolean {
  const { joints, sumps, probes, lots, schedules, sequences } = named;
  switch (entry.kind) {
    case 'site.described':
    case 'boot.started':
    case 'clock.stepped':
      return true;
    case 'schedule.given':
    case 'schedule.recorded':
      return schedules.has(entry.definition.name);
    case 'sequence.given':
    case 'sequence.recorded':
      return sequences.has(entry.definition.name);
    case 'lot.added':
      return lots.has(entry.lot);
    case 'joint.added':
    case 'joint.assigned':
    case 'joint.laidUp':
    case 'joint.relaid':
    case 'joint.sealed':
    case 'prep.signed':
    case 'mix.recorded':
    case 'proof.recorded':
      return joints.has(entry.joint);
    case 'probe.registered':
    case 'probe.mapped':
    case 'calibration.recorded':
    case 'readings.imported':
      return probes.has(entry.probe);
    case 'sump.added':
    case 'hold.signed':
    case 'activity.started':
    case 'activity.done':
    case 'hydrotest.recorded':
    case 'booking.made':
    case 'booking.cancelled':
      return sumps.has(entry.sump);
    case 'rain.noted':
    case 'rain.ended':
      return entry.sump === undefined || sumps.has(entry.sump);
    case 'finding.decided': {
      const owner = ownerOf(entry.finding);
      return joints.has(owner) || sumps.has(owner);
    }
    case 'heating.changed':
      return entry.joint === undefined ? sumps.has(entry.sump ?? '') : joints.has(entry.joint);
    case 'note.added':
      // The state takes a note as said of the first of these that it names.
      if (entry.joint !== undefined) return joints.has(entry.joint);
      if (entry.sump !== undefined) return sumps.has(entry.sump);
      return entry.probe === undefined || probes.has(entry.probe);
    case 'forecast.given':
    case 'warning.raised':
    case 'warning.ended':
    case 'warning.acknowledged':
    case 'warning.snoozed':
      return false;
  }
}
