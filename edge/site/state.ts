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

/** Who took an entry back, when and why. */
export interface Withdrawal {
  readonly by: By;
  readonly atMs: number;
  readonly reason: string;
}

export interface JointEvent {
  /** Place of the entry in the ledger. */
  readonly seq: number;
  readonly atMs: number;
  readonly kind: 'laidUp' | 'furtherPly' | 'relaid' | 'assigned' | 'note';
  readonly text: string;
  /** When the ledger took it; `atMs` is when it is said to have happened. */
  readonly recordedMs: number;
  readonly by: By;
  /** Not null: it counts for nothing any more. */
  readonly withdrawn: Withdrawal | null;
}

/** What may be said about a joint after it was added, and taken back. */
type AboutJoint = Extract<Entry, { kind: 'joint.assigned' | 'joint.laidUp' | 'joint.relaid' | 'note.added' }>;

export interface Joint {
  readonly joint: string;
  readonly sump: string;
  readonly label: string;
  readonly schedule: RecordedSchedule;
  /** As it was added with. */
  readonly firstAssignment: Assignment;
  /** All that was said about it since, by place in the ledger; the rest of the joint follows from it. */
  readonly said: Map<number, AboutJoint>;
  readonly withdrawals: Map<number, Withdrawal>;
  assignments: Assignment[];
  /** When the last ply or pour went down; null before. */
  laidUpMs: number | null;
  events: JointEvent[];
}

/** A step of the wall clock; see the entry `clock.stepped`. */
export interface ClockStep {
  readonly boot: number;
  readonly monoMs: number;
  readonly toMs: number;
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
  clockSteps: ClockStep[];
}

export function emptySite(): SiteState {
  return {
    name: null,
    timeZone: 'UTC',
    schedules: new Map(),
    probes: new Map(),
    sumps: new Map(),
    joints: new Map(),
    clockSteps: [],
  };
}

/**
 * Adds one entry, which stands at `seq` in the ledger, to the state. Entries come in ledger order and have passed `faultsOf` before
 * they were taken, so an entry that names something unknown is a damaged ledger and throws.
 */
export function applyEntry(site: SiteState, entry: Entry, seq: number): void {
  const recordedMs = msOf(entry.recordedAt);
  switch (entry.kind) {
    case 'site.described':
      site.name = entry.name;
      site.timeZone = entry.timeZone;
      return;
    case 'schedule.recorded': {
      const { definition, table, rateTableSha256 } = entry;
      site.schedules.set(definition.name, { definition, table, rateTableSha256 });
      return;
    }
    case 'probe.registered':
      register(site, entry, recordedMs);
      return;
    case 'sump.added':
      site.sumps.set(entry.sump, { sump: entry.sump, label: entry.label, serial: entry.serial ?? null, joints: [] });
      return;
    case 'joint.added': {
      const firstAssignment = { fromMs: Number.NEGATIVE_INFINITY, probes: entry.probes, ambient: entry.ambient ?? null };
      site.joints.set(entry.joint, {
        joint: entry.joint,
        sump: entry.sump,
        label: entry.label,
        schedule: known(site.schedules.get(entry.schedule), 'schedule', entry.schedule),
        firstAssignment,
        said: new Map(),
        withdrawals: new Map(),
        assignments: [firstAssignment],
        laidUpMs: null,
        events: [],
      });
      known(site.sumps.get(entry.sump), 'sump', entry.sump).joints.push(entry.joint);
      return;
    }
    case 'joint.assigned':
    case 'joint.laidUp':
    case 'joint.relaid':
    case 'note.added': {
      // A note on a sump, a probe or the site stays in the ledger; no view shows it yet.
      if (entry.joint === undefined) return;
      const joint = known(site.joints.get(entry.joint), 'joint', entry.joint);
      joint.said.set(seq, entry);
      derive(joint);
      return;
    }
    case 'entry.withdrawn': {
      const joint = known(jointOf(site, entry.seq), 'entry', String(entry.seq));
      joint.withdrawals.set(entry.seq, { by: entry.by, atMs: recordedMs, reason: entry.reason });
      derive(joint);
      return;
    }
    case 'boot.started':
      return;
    case 'clock.stepped':
      site.clockSteps.push({ boot: entry.boot, monoMs: entry.monoMs, toMs: msOf(entry.to) });
      return;
  }
}

/** The joint that the entry at `seq` speaks about, if it is one that can be taken back. */
export function jointOf(site: SiteState, seq: number): Joint | undefined {
  return [...site.joints.values()].find((joint) => joint.said.has(seq));
}

function register(site: SiteState, entry: Extract<Entry, { kind: 'probe.registered' }>, recordedMs: number): void {
  const registered = site.probes.get(entry.probe);
  const uncertaintyMilliC = Math.round(entry.uncertaintyCelsius * 1000);
  if (registered === undefined) {
    const settings = [{ fromMs: Number.NEGATIVE_INFINITY, uncertaintyMilliC }];
    site.probes.set(entry.probe, { probe: entry.probe, label: entry.label ?? entry.probe, role: entry.role, settings });
    return;
  }
  registered.label = entry.label ?? registered.label;
  if (registered.settings.at(-1)?.uncertaintyMilliC !== uncertaintyMilliC)
    registered.settings.push({ fromMs: recordedMs, uncertaintyMilliC });
}

/** Works out a joint anew from all that was said about it and not taken back. */
function derive(joint: Joint): void {
  joint.assignments = [joint.firstAssignment];
  joint.laidUpMs = null;
  joint.events = [];
  let everLaidUp = false;
  for (const [seq, entry] of joint.said) {
    const withdrawn = joint.withdrawals.get(seq) ?? null;
    const recordedMs = msOf(entry.recordedAt);
    const atMs = entry.at === undefined ? recordedMs : msOf(entry.at);
    joint.events.push({ seq, atMs, recordedMs, ...told(entry, joint.laidUpMs !== null), by: entry.by, withdrawn });
    if (entry.kind === 'joint.laidUp') everLaidUp = true;
    if (withdrawn === null) take(joint, entry, atMs, everLaidUp);
  }
}

function told(entry: AboutJoint, laidUpBefore: boolean): Pick<JointEvent, 'kind' | 'text'> {
  switch (entry.kind) {
    case 'joint.assigned':
      return { kind: 'assigned', text: [...entry.probes, ...(entry.ambient === undefined ? [] : [entry.ambient])].join(', ') };
    case 'joint.laidUp':
      return { kind: laidUpBefore ? 'furtherPly' : 'laidUp', text: entry.note ?? '' };
    case 'joint.relaid':
      return { kind: 'relaid', text: entry.reason ?? '' };
    case 'note.added':
      return { kind: 'note', text: entry.text };
  }
}

function take(joint: Joint, entry: AboutJoint, atMs: number, everLaidUp: boolean): void {
  switch (entry.kind) {
    case 'joint.assigned': {
      const next = { fromMs: atMs, probes: entry.probes, ambient: entry.ambient ?? null };
      // Until somebody speaks of a lay-up there is no history to protect, and the newest assignment counts for all of it, unless
      // it says since when it holds.
      if (!everLaidUp && entry.at === undefined) joint.assignments = [{ ...next, fromMs: Number.NEGATIVE_INFINITY }];
      else joint.assignments.push(next);
      return;
    }
    case 'joint.laidUp':
      // Each further ply moves the start, never back.
      joint.laidUpMs = joint.laidUpMs === null ? atMs : Math.max(joint.laidUpMs, atMs);
      return;
    case 'joint.relaid':
      joint.laidUpMs = atMs;
      return;
    case 'note.added':
      return;
  }
}

function known<T>(found: T | undefined, what: string, id: string): T {
  if (found === undefined) throw new Error(`the ledger names ${what} "${id}" before it was added`);
  return found;
}
