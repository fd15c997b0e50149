import type { Entry } from '../entries.ts';
import { testAndBackfill } from '../sequence.ts';
import { giveForecast } from './forecast.ts';
import { type AboutJoint, deriveJoint, newJoint } from './joint.ts';
import { type AboutProbe, deriveProbe, newProbe } from './probe.ts';
import { sealOf } from './seal.ts';
import { deriveSite, type SiteState, type Subject } from './site.ts';
import { type AboutSump, deriveSump, newSump } from './sump.ts';
import { type AboutWarning, deriveWarning, endWarning, newWarning } from './warning.ts';

/**
 * Adds one entry, which stands at `seq` in the ledger, to the state. Entries come in ledger order and have passed `faultsOf` before
 * they were taken, so an entry that names something unknown is a damaged ledger and throws.
 */
export function applyEntry(site: SiteState, entry: Entry, seq: number): void {
  switch (entry.kind) {
    case 'site.described':
      site.name = entry.name;
      site.timeZone = entry.timeZone;
      return;
    case 'schedule.recorded': {
      const { definition, table, rateTableSha256, mixTable = null } = entry;
      site.schedules.set(definition.name, { definition, table, rateTableSha256, mixTable });
      return;
    }
    case 'schedule.given':
      // The program puts it on record with its tables, in the entry that follows.
      return;
    case 'sequence.given':
    case 'sequence.recorded':
      site.recordedSequences.add(entry.definition.name);
      site.sequences.set(entry.definition.name, entry.definition);
      return;
    case 'lot.added':
      site.lots.set(entry.lot, { ...entry, seq });
      added(site, entry, seq, () => site.lots.delete(entry.lot));
      return;
    case 'sump.added': {
      const name = entry.sequence ?? testAndBackfill.name;
      site.sumps.set(entry.sump, newSump(entry, known(site.sequences.get(name), 'sequence', name), seq));
      added(site, entry, seq, () => site.sumps.delete(entry.sump));
      return;
    }
    case 'joint.added': {
      const schedule = known(site.schedules.get(entry.schedule), 'schedule', entry.schedule);
      const sump = known(site.sumps.get(entry.sump), 'sump', entry.sump);
      site.joints.set(entry.joint, newJoint(entry, schedule, seq));
      sump.joints.push(entry.joint);
      added(site, entry, seq, () => {
        site.joints.delete(entry.joint);
        sump.joints = sump.joints.filter((joint) => joint !== entry.joint);
      });
      return;
    }
    case 'joint.assigned':
    case 'joint.laidUp':
    case 'joint.relaid':
    case 'prep.signed':
    case 'mix.recorded':
    case 'proof.recorded':
      aboutJoint(site, entry.joint, entry, seq);
      return;
    case 'joint.sealed':
      known(site.joints.get(entry.joint), 'joint', entry.joint).seals.push(sealOf(entry, seq));
      return;
    case 'probe.registered':
      if (!site.probes.has(entry.probe)) site.probes.set(entry.probe, newProbe(entry));
      aboutProbe(site, entry.probe, entry, seq);
      return;
    case 'calibration.recorded':
    case 'probe.mapped':
    case 'readings.imported':
      aboutProbe(site, entry.probe, entry, seq);
      return;
    case 'hold.signed':
    case 'activity.started':
    case 'activity.done':
    case 'hydrotest.recorded':
    case 'booking.made':
    case 'booking.cancelled':
      aboutSump(site, entry.sump, entry, seq);
      return;
    case 'rain.noted':
    case 'rain.ended':
    case 'finding.decided':
      about(site, site, entry, seq, () => deriveSite(site));
      return;
    case 'note.added':
      if (entry.joint !== undefined) aboutJoint(site, entry.joint, entry, seq);
      else if (entry.sump !== undefined) aboutSump(site, entry.sump, entry, seq);
      else if (entry.probe !== undefined && site.probes.has(entry.probe)) aboutProbe(site, entry.probe, entry, seq);
      else about(site, site, entry, seq, () => deriveSite(site));
      return;
    case 'heating.changed':
      if (entry.joint !== undefined) aboutJoint(site, entry.joint, entry, seq);
      else aboutSump(site, entry.sump ?? '', entry, seq);
      return;
    case 'forecast.given':
      giveForecast(site, entry, seq);
      return;
    case 'warning.raised':
      site.warnings.set(entry.warning, newWarning(entry));
      return;
    case 'warning.acknowledged':
    case 'warning.snoozed':
      aboutWarning(site, entry, seq);
      return;
    case 'warning.ended':
      endWarning(site, entry.warning);
      return;
    case 'entry.withdrawn': {
      const { subject, derive } = known(site.rederive.get(entry.seq), 'entry', String(entry.seq));
      subject.withdrawals.set(entry.seq, { by: entry.by, atMs: Date.parse(entry.recordedAt), reason: entry.reason });
      derive();
      return;
    }
    case 'boot.started':
      return;
    case 'clock.stepped': {
      const { boot, monoMs, from, to } = entry;
      site.clockSteps.push({ boot, monoMs, fromMs: Date.parse(from), toMs: Date.parse(to) });
      return;
    }
  }
}

/** What was added by mistake goes when its entry is taken back; what rests on it keeps that from happening. */
function added(site: SiteState, entry: Entry, seq: number, remove: () => void): void {
  site.added.said.set(seq, entry);
  site.rederive.set(seq, { subject: site.added, derive: remove });
}

function about<E extends Entry>(site: SiteState, subject: Subject<E>, entry: E, seq: number, derive: () => void): void {
  subject.said.set(seq, entry);
  site.rederive.set(seq, { subject: subject as unknown as Subject<Entry>, derive });
  derive();
}

function aboutJoint(site: SiteState, name: string, entry: AboutJoint, seq: number): void {
  const joint = known(site.joints.get(name), 'joint', name);
  about(site, joint, entry, seq, () => deriveJoint(joint));
}

function aboutSump(site: SiteState, name: string, entry: AboutSump, seq: number): void {
  const sump = known(site.sumps.get(name), 'sump', name);
  about(site, sump, entry, seq, () => deriveSump(sump));
}

function aboutProbe(site: SiteState, name: string, entry: AboutProbe, seq: number): void {
  const probe = known(site.probes.get(name), 'probe', name);
  about(site, probe, entry, seq, () => {
    deriveProbe(probe);
    deriveMappings(site);
  });
}

function aboutWarning(site: SiteState, entry: AboutWarning, seq: number): void {
  const warning = known(site.warnings.get(entry.warning), 'warning', entry.warning);
  about(site, warning, entry, seq, () => deriveWarning(warning));
}

/** One topic may serve several probes, each with fields of its own. */
function deriveMappings(site: SiteState): void {
  site.mappings = new Map();
  for (const { said, withdrawals } of site.probes.values())
    for (const [seq, entry] of said) {
      if (entry.kind !== 'probe.mapped' || withdrawals.has(seq)) continue;
      const { probe, topic, fields, time } = entry;
      const mapping = { probe, topic, fields, ...(time === undefined ? {} : { time }) };
      const others = (site.mappings.get(topic) ?? []).filter((other) => other.probe !== probe);
      site.mappings.set(topic, [...others, mapping]);
    }
}

function known<T>(found: T | undefined, what: string, id: string): T {
  if (found === undefined) throw new Error(`the ledger names ${what} "${id}" before it was added`);
  return found;
}
