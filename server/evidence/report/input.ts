import type { Schedule } from '../../../edge/cure/schedule.ts';
import type { Entry } from '../../../edge/site/entries.ts';
import type { Mix, Prep, Proof } from '../../../edge/site/state/joint.ts';
import type { Seal } from '../../../edge/site/state/seal.ts';
import type { JointView } from '../../../edge/site/views/joint.ts';
import type { ProbeView } from '../../../edge/site/views/probe.ts';
import type { SumpView } from '../../../edge/site/views/sump.ts';
import type { HistoryView } from '../../../edge/tally/history.ts';

/** All that a report says, as plain data: the same input gives the same bytes. */
export interface ReportInput {
  readonly site: string;
  readonly siteName: string | null;
  readonly timeZone: string;
  readonly sealed: SealedAs;
  /** Those of the joints, in the joints' order. */
  readonly sumps: readonly SumpView[];
  readonly joints: readonly JointInput[];
  /** Those that any of the joints or water tests rests on. */
  readonly probes: readonly ProbeView[];
  /** All that bears on the joints, in ledger order. */
  readonly entries: readonly EntryOnRecord[];
}

/** What the site signed, and with which key. */
export interface SealedAs {
  /** Leaves of the ledger under the checkpoint. */
  readonly size: number;
  /** 64 hexadecimal digits. */
  readonly rootHash: string;
  /** Of the public key; see `fingerprint`. */
  readonly fingerprint: string;
  readonly keyName: string;
  /** When the report was made, ISO 8601. */
  readonly madeAt: string;
  /** Somebody outside the site has counter-signed it. */
  readonly anchored: boolean;
}

export interface JointInput {
  readonly view: JointView;
  readonly definition: Schedule;
  /** The widest guard band among its probes, °C; null: none of them is registered. */
  readonly guardCelsius: number | null;
  /** What the readings come to; null before lay-up. */
  readonly hours: HoursSettled | null;
  /** By stage: the value of the reading that proved it, °C; null where it has no temperature. */
  readonly provenCelsius: Readonly<Record<string, number | null>>;
  /** For the chart; null before lay-up. */
  readonly history: HistoryView | null;
  /** Every span without credit, also beyond the chart. */
  readonly uncredited: HistoryView['uncredited'];
  readonly preps: readonly Prep[];
  readonly mixes: readonly Mix[];
  readonly proofs: readonly Proof[];
  readonly lots: readonly LotUsed[];
  /** Who said something of the joint or its sump, in order. */
  readonly people: readonly { readonly name: string; readonly roles: readonly string[] }[];
  readonly seals: readonly Seal[];
}

/** Time since lay-up, as far as it is settled. */
export interface HoursSettled {
  readonly settledMs: number;
  readonly creditPpmMs: number;
  readonly provisionalPpmMs: number;
  readonly coldMs: number;
  readonly unprovenMs: number;
}

export interface LotUsed {
  readonly lot: string;
  /** Null: the lot is not on the site's list. */
  readonly material: string | null;
  readonly label: string | null;
  readonly hasSheet: boolean;
}

export interface EntryOnRecord {
  readonly seq: number;
  readonly entry: Entry;
  readonly withdrawn: { readonly seq: number; readonly by: string; readonly at: string; readonly reason: string } | null;
}
