import type { Amount } from '../../cure/mix.ts';
import type { Entry } from '../entries.ts';
import { type HeatingChange, heatingChange } from './heating.ts';
import type { Seal } from './seal.ts';
import { type RecordedSchedule, type Subject, type Told, toldOf, type Withdrawal } from './site.ts';

/** Which probes a joint has, in force from `fromMs` on. */
export interface Assignment {
  readonly fromMs: number;
  readonly probes: readonly string[];
  readonly ambient: string | null;
}

export interface JointEvent extends Told {
  readonly kind: 'laidUp' | 'furtherPly' | 'relaid' | 'assigned' | 'prep' | 'mix' | 'proof' | 'heating' | 'note';
  readonly text: string;
  /** Not null: it counts for nothing any more. */
  readonly withdrawn: Withdrawal | null;
}

/** The surface was signed for. */
export interface Prep extends Told {
  readonly surfaceMilliC: number | null;
  readonly airMilliC: number | null;
  readonly humidityMilliPercent: number | null;
}

export interface Mix extends Told {
  readonly resin: Amount | null;
  readonly catalystMillilitres: number | null;
  readonly resinCelsius: number;
  readonly airCelsius: number | null;
  readonly resinLot: string | null;
  readonly catalystLot: string | null;
}

export interface Proof extends Told {
  readonly hardness: { readonly readings: readonly number[]; readonly makerMinimum: number } | null;
  readonly surface: 'firm' | 'tacky' | null;
}

/** Stages that were lost when the joint was laid up anew. */
export interface Lost extends Told {
  readonly stages: readonly string[];
}

/** What may be said about a joint after it was added, and taken back. */
export type AboutJoint = Extract<
  Entry,
  {
    kind:
      | 'joint.assigned'
      | 'joint.laidUp'
      | 'joint.relaid'
      | 'prep.signed'
      | 'mix.recorded'
      | 'proof.recorded'
      | 'heating.changed'
      | 'note.added';
  }
>;

export interface Joint extends Subject<AboutJoint> {
  readonly joint: string;
  readonly sump: string;
  readonly label: string;
  /** Place in the ledger of the entry that added it. */
  readonly addedSeq: number;
  /** Which joint of its sump's sequence it is. */
  readonly part: string | null;
  readonly schedule: RecordedSchedule;
  readonly beadMillimetres: number | null;
  /** As it was added with. */
  readonly firstAssignment: Assignment;
  assignments: Assignment[];
  /** When work on it began: the first prep, mix or ply. Null before. Of the present attempt, as all below. */
  openMs: number | null;
  /** When the last ply or pour went down; null before. */
  laidUpMs: number | null;
  preps: Prep[];
  mixes: Mix[];
  proofs: Proof[];
  /** How often it was laid up from the start: 0 before, 1 for most joints. */
  attempt: number;
  /** When the present attempt was put on record; 0 before the second. */
  attemptRecordedMs: number;
  lost: Lost[];
  /** Said of the joint alone, in the order it was said; heat stays on when the joint is laid up anew. */
  heating: HeatingChange[];
  events: JointEvent[];
  /** What the program sealed of it, oldest first, of every attempt. */
  readonly seals: Seal[];
}

export function newJoint(entry: Extract<Entry, { kind: 'joint.added' }>, schedule: RecordedSchedule, addedSeq: number): Joint {
  const firstAssignment = { fromMs: Number.NEGATIVE_INFINITY, probes: entry.probes, ambient: entry.ambient ?? null };
  const joint: Joint = {
    said: new Map(),
    withdrawals: new Map(),
    joint: entry.joint,
    sump: entry.sump,
    label: entry.label,
    addedSeq,
    part: entry.part ?? null,
    schedule,
    beadMillimetres: entry.beadMillimetres ?? null,
    firstAssignment,
    ...nothingDone(),
    assignments: [firstAssignment],
    lost: [],
    heating: [],
    events: [],
    seals: [],
  };
  return joint;
}

function nothingDone() {
  return {
    openMs: null,
    laidUpMs: null,
    preps: [] as Prep[],
    mixes: [] as Mix[],
    proofs: [] as Proof[],
    attempt: 0,
    attemptRecordedMs: 0,
  };
}

/** Works out a joint anew from all that was said about it and not taken back. */
export function deriveJoint(joint: Joint): void {
  Object.assign(joint, nothingDone());
  joint.assignments = [joint.firstAssignment];
  joint.lost = [];
  joint.heating = [];
  joint.events = [];
  let everLaidUp = false;
  for (const [seq, entry] of joint.said) {
    const withdrawn = joint.withdrawals.get(seq) ?? null;
    const told = toldOf(seq, entry);
    joint.events.push({ ...told, ...shownAs(entry, joint.laidUpMs !== null), withdrawn });
    if (entry.kind === 'joint.laidUp') everLaidUp = true;
    if (withdrawn === null) take(joint, entry, told, everLaidUp);
  }
  joint.openMs = openOf(joint);
}

/** When work on the present attempt began. */
function openOf({ preps, mixes, laidUpMs }: Joint): number | null {
  const begun = [...preps, ...mixes].map(({ atMs }) => atMs);
  if (laidUpMs !== null) begun.push(laidUpMs);
  return begun.length === 0 ? null : Math.min(...begun);
}

function shownAs(entry: AboutJoint, laidUpBefore: boolean): Pick<JointEvent, 'kind' | 'text'> {
  switch (entry.kind) {
    case 'joint.assigned':
      return { kind: 'assigned', text: [...entry.probes, ...(entry.ambient === undefined ? [] : [entry.ambient])].join(', ') };
    case 'joint.laidUp':
      return { kind: laidUpBefore ? 'furtherPly' : 'laidUp', text: entry.note ?? '' };
    case 'joint.relaid':
      return { kind: 'relaid', text: entry.reason ?? '' };
    case 'prep.signed':
      return { kind: 'prep', text: entry.note ?? '' };
    case 'mix.recorded': {
      const resin = entry.resin === undefined ? [] : [`${entry.resin.value} ${entry.resin.unit}`];
      const catalyst = entry.catalystMillilitres === undefined ? [] : [`${entry.catalystMillilitres} mL`];
      const lots = [entry.resinLot, entry.catalystLot].filter((lot) => lot !== undefined);
      return {
        kind: 'mix',
        text: [...resin, ...catalyst, ...lots, ...(entry.note === undefined ? [] : [entry.note])].join(', '),
      };
    }
    case 'proof.recorded': {
      const hardness = entry.hardness === undefined ? [] : [entry.hardness.readings.join(' ')];
      return { kind: 'proof', text: [...hardness, ...(entry.surface === undefined ? [] : [entry.surface])].join(', ') };
    }
    case 'heating.changed': {
      const hold = entry.holdCelsius === undefined ? [] : [`${entry.holdCelsius} °C`];
      const note = entry.note === undefined ? [] : [entry.note];
      return { kind: 'heating', text: [entry.what, entry.on ? 'on' : 'off', ...hold, ...note].join(', ') };
    }
    case 'note.added':
      return { kind: 'note', text: entry.text };
  }
}

function take(joint: Joint, entry: AboutJoint, told: Told, everLaidUp: boolean): void {
  const { atMs } = told;
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
      joint.attempt = Math.max(1, joint.attempt);
      return;
    case 'joint.relaid': {
      const before = joint.laidUpMs ?? Number.NEGATIVE_INFINITY;
      // What was prepared and mixed since the last ply was for this one.
      joint.preps = joint.preps.filter((prep) => prep.atMs > before);
      joint.mixes = joint.mixes.filter((mix) => mix.atMs > before);
      joint.proofs = [];
      joint.laidUpMs = atMs;
      joint.attempt++;
      joint.attemptRecordedMs = told.recordedMs;
      if (entry.lost !== undefined && entry.lost.length > 0) joint.lost.push({ ...told, stages: entry.lost });
      return;
    }
    case 'prep.signed':
      joint.preps.push({
        ...told,
        surfaceMilliC: milli(entry.surfaceCelsius),
        airMilliC: milli(entry.airCelsius),
        humidityMilliPercent: milli(entry.humidityPercent),
      });
      return;
    case 'mix.recorded':
      joint.mixes.push({
        ...told,
        resin: entry.resin ?? null,
        catalystMillilitres: entry.catalystMillilitres ?? null,
        resinCelsius: entry.resinCelsius,
        airCelsius: entry.airCelsius ?? null,
        resinLot: entry.resinLot ?? null,
        catalystLot: entry.catalystLot ?? null,
      });
      return;
    case 'proof.recorded':
      joint.proofs.push({ ...told, hardness: entry.hardness ?? null, surface: entry.surface ?? null });
      return;
    case 'heating.changed':
      joint.heating.push(heatingChange(entry, told));
      return;
    case 'note.added':
      return;
  }
}

function milli(value: number | undefined): number | null {
  return value === undefined ? null : Math.round(value * 1000);
}
