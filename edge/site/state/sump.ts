import type { Entry } from '../entries.ts';
import type { Sequence } from '../sequence.ts';
import { type HeatingChange, heatingChange } from './heating.ts';
import { type Subject, standing, type Told } from './site.ts';

export interface Started extends Told {
  readonly activity: string;
  readonly reason: string | null;
  /** What it still needed when it was started; empty for one that was due. */
  readonly early: readonly { readonly need: string; readonly missingHours: number | null }[];
}

export interface WaterTestOnRecord extends Told {
  readonly entry: Extract<Entry, { kind: 'hydrotest.recorded' }>;
}

/** Others have been told that an activity can begin then. */
export interface Booking extends Told {
  readonly activity: string;
  readonly dueMs: number;
  readonly note: string | null;
}

export type AboutSump = Extract<
  Entry,
  {
    kind:
      | 'hold.signed'
      | 'activity.started'
      | 'activity.done'
      | 'hydrotest.recorded'
      | 'booking.made'
      | 'booking.cancelled'
      | 'heating.changed'
      | 'note.added';
  }
>;

export interface Sump extends Subject<AboutSump> {
  readonly sump: string;
  readonly label: string;
  readonly serial: string | null;
  /** As it was when the sump was added. */
  readonly sequence: Sequence;
  readonly addedMs: number;
  /** Place in the ledger of the entry that added it. */
  readonly addedSeq: number;
  /** In the order they were added. */
  joints: string[];
  /** The newest start of each activity. */
  started: Map<string, Started>;
  /** Those that were recorded before their time. */
  startedEarly: Started[];
  done: Map<string, Told>;
  holds: Map<string, Told>;
  /** In the order in which they were held: a retest follows the test that it repeats. */
  tests: WaterTestOnRecord[];
  /** The newest that was not cancelled, by activity. */
  bookings: Map<string, Booking>;
  /** Said of the sump as a whole, in the order it was said. */
  heating: HeatingChange[];
}

export function newSump(entry: Extract<Entry, { kind: 'sump.added' }>, sequence: Sequence, addedSeq: number): Sump {
  return {
    said: new Map(),
    withdrawals: new Map(),
    sump: entry.sump,
    label: entry.label,
    serial: entry.serial ?? null,
    sequence,
    addedMs: Date.parse(entry.recordedAt),
    addedSeq,
    joints: [],
    started: new Map(),
    startedEarly: [],
    done: new Map(),
    holds: new Map(),
    tests: [],
    bookings: new Map(),
    heating: [],
  };
}

/** Works out a sump anew from all that was said about it and not taken back. */
export function deriveSump(sump: Sump): void {
  sump.started = new Map();
  sump.startedEarly = [];
  sump.done = new Map();
  sump.holds = new Map();
  sump.tests = [];
  sump.bookings = new Map();
  sump.heating = [];
  for (const { entry, ...told } of standing(sump)) {
    switch (entry.kind) {
      case 'activity.started': {
        const { activity, reason = null, early = [] } = entry;
        const started = { ...told, activity, reason, early };
        sump.started.set(activity, started);
        if (early.length > 0) sump.startedEarly.push(started);
        break;
      }
      case 'activity.done':
        sump.done.set(entry.activity, told);
        break;
      case 'hold.signed':
        sump.holds.set(entry.hold, told);
        break;
      case 'hydrotest.recorded':
        sump.tests.push({ ...told, entry });
        break;
      case 'booking.made': {
        const { activity, due, note = null } = entry;
        sump.bookings.set(activity, { ...told, activity, dueMs: Date.parse(due), note });
        break;
      }
      case 'booking.cancelled':
        sump.bookings.delete(entry.activity);
        break;
      case 'heating.changed':
        sump.heating.push(heatingChange(entry, told));
        break;
      case 'note.added':
        break;
    }
  }
  // In the order in which they were held, whenever they were put on record.
  sump.tests.sort((a, b) => Date.parse(a.entry.startedAt) - Date.parse(b.entry.startedAt) || a.seq - b.seq);
}
