import type { RateTable } from '../cure/rateTable.ts';
import type { Schedule } from '../cure/schedule.ts';
import { type By, type Entry, msOf } from './entries.ts';

/** A schedule as it was put on record, with the table that its joints are folded with. */
export interface RecordedSchedule {
  readonly definition: Schedule;
  readonly table: RateTable;
  readonly rateTableSha256: string;
}

/** A probe's settings, in force from `fromMs` on. The first registration counts for all earlier readings too. */
export interface ProbeSettings {
  readonly fromMs: number;
  readonly uncertaintyMilliC: number;
}

export interface Probe {
  readonly probe: string;
  label: string;
  readonly role: 'material' | 'ambient';
  settings: ProbeSettings[];
}

/** Which probes a joint has, in force from `fromMs` on. */
export interface Assignment {
  readonly fromMs: number;
  readonly probes: readonly string[];
  readonly ambient: string | null;
}

export interface JointEvent {
  readonly atMs: number;
  readonly kind: 'laidUp' | 'relaid' | 'assigned' | 'note';
  readonly text: string;
  readonly by: By;
}

export interface Joint {
  readonly joint: string;
  readonly sump: string;
  readonly label: string;
  readonly schedule: RecordedSchedule;
  assignments: Assignment[];
  /** When the last ply or pour went down; null before. */
  laidUpMs: number | null;
  events: JointEvent[];
}

export interface Sump {
  readonly sump: string;
  readonly label: string;
  readonly serial: string | null;
  /** In the order they were added. */
  joints: string[];
}

/** What the ledger's entries add up to: everything people have said about a site. Readings are folded elsewhere. */
export interface SiteState {
  name: string | null;
  timeZone: string;
  /** Newest version of each schedule on record, by name. */
  schedules: Map<string, RecordedSchedule>;
  probes: Map<string, Probe>;
  sumps: Map<string, Sump>;
  joints: Map<string, Joint>;
}

export function emptySite(): SiteState {
  return { name: null, timeZone: 'UTC', schedules: new Map(), probes: new Map(), sumps: new Map(), joints: new Map() };
}

/**
 * Adds one entry to the state. Entries come in ledger order and have passed `faultsOf` before they were taken, so an entry that
 * names something unknown is a damaged ledger and throws.
 */
export function applyEntry(site: SiteState, entry: Entry): void {
  const recordedMs = msOf(entry.recordedAt);
  switch (entry.kind) {
    case 'site.described':
      site.name = entry.name;
      site.timeZone = entry.timeZone;
      return;
    case 'schedule.recorded':
      site.schedules.set(entry.definition.name, {
        definition: entry.definition,
        table: entry.table,
        rateTableSha256: entry.rateTableSha256,
      });
      return;
    case 'probe.registered': {
      const known = site.probes.get(entry.probe);
      const uncertaintyMilliC = Math.round(entry.uncertaintyCelsius * 1000);
      if (known === undefined) {
        site.probes.set(entry.probe, {
          probe: entry.probe,
          label: entry.label ?? entry.probe,
          role: entry.role,
          settings: [{ fromMs: Number.NEGATIVE_INFINITY, uncertaintyMilliC }],
        });
        return;
      }
      known.label = entry.label ?? known.label;
      if (known.settings.at(-1)?.uncertaintyMilliC !== uncertaintyMilliC)
        known.settings.push({ fromMs: recordedMs, uncertaintyMilliC });
      return;
    }
    case 'sump.added':
      site.sumps.set(entry.sump, { sump: entry.sump, label: entry.label, serial: entry.serial ?? null, joints: [] });
      return;
    case 'joint.added': {
      site.joints.set(entry.joint, {
        joint: entry.joint,
        sump: entry.sump,
        label: entry.label,
        schedule: known(site.schedules.get(entry.schedule), 'schedule', entry.schedule),
        assignments: [{ fromMs: Number.NEGATIVE_INFINITY, probes: entry.probes, ambient: entry.ambient ?? null }],
        laidUpMs: null,
        events: [],
      });
      known(site.sumps.get(entry.sump), 'sump', entry.sump).joints.push(entry.joint);
      return;
    }
    case 'joint.assigned': {
      const joint = known(site.joints.get(entry.joint), 'joint', entry.joint);
      const fromMs = entry.at === undefined ? recordedMs : msOf(entry.at);
      assign(joint, { fromMs, probes: entry.probes, ambient: entry.ambient ?? null });
      joint.events.push({ atMs: fromMs, kind: 'assigned', text: entry.probes.join(', '), by: entry.by });
      return;
    }
    case 'joint.laidUp': {
      const joint = known(site.joints.get(entry.joint), 'joint', entry.joint);
      const atMs = msOf(entry.at);
      // Each further ply moves the start, never back.
      joint.laidUpMs = joint.laidUpMs === null ? atMs : Math.max(joint.laidUpMs, atMs);
      joint.events.push({ atMs, kind: 'laidUp', text: entry.note ?? '', by: entry.by });
      return;
    }
    case 'joint.relaid': {
      const joint = known(site.joints.get(entry.joint), 'joint', entry.joint);
      joint.laidUpMs = msOf(entry.at);
      joint.events.push({ atMs: joint.laidUpMs, kind: 'relaid', text: entry.reason ?? '', by: entry.by });
      return;
    }
    case 'note.added': {
      // A note on a sump, a probe or the site stays in the ledger; no view shows it yet.
      if (entry.joint === undefined) return;
      const atMs = entry.at === undefined ? recordedMs : msOf(entry.at);
      known(site.joints.get(entry.joint), 'joint', entry.joint).events.push({
        atMs,
        kind: 'note',
        text: entry.text,
        by: entry.by,
      });
      return;
    }
    case 'boot.started':
      return;
  }
}

/** Before lay-up a joint has no history to protect, so the newest assignment counts for all of it. */
function assign(joint: Joint, next: Assignment): void {
  if (joint.laidUpMs === null) joint.assignments = [{ ...next, fromMs: Number.NEGATIVE_INFINITY }];
  else joint.assignments.push(next);
}

function known<T>(found: T | undefined, what: string, id: string): T {
  if (found === undefined) throw new Error(`the ledger names ${what} "${id}" before it was added`);
  return found;
}
