import type { z } from 'zod';
import type { MixRules } from '../../edge/cure/mix.ts';
import type { AirRecord } from '../../edge/cure/outlook/air.ts';
import type { OutlookInput } from '../../edge/cure/outlook/input.ts';
import type { LayUpPlan } from '../../edge/cure/outlook/layUp.ts';
import type { Schedule } from '../../edge/cure/schedule.ts';
import type { By, Statement as StatementSchema } from '../../edge/site/entries.ts';
import type { ForecastView } from '../../edge/site/views/forecast.ts';
import type { OutlookBasis, OutlookReason } from '../../edge/site/views/outlook.ts';

/** A statement as it is sent: fields with a default may be left out. */
export type StatementSent = z.input<typeof StatementSchema>;

export interface Session {
  readonly name: string;
  readonly role: By['role'];
  /** Signed in by the server itself, without a token: a demonstration, or a machine that only its owner reaches. */
  readonly automatic: boolean;
}

export interface Schedules {
  readonly schedules: readonly Schedule[];
}

/** The version that a joint is cured under. */
export interface JointSchedule {
  readonly definition: Schedule;
}

export interface Lots {
  /** `sheet`: its own rules for the mix; null where the schedule's hold. */
  readonly lots: readonly { readonly lot: string; readonly sheet: MixRules | null }[];
}

/** A point of a curve: UTC milliseconds and the value; null marks a gap, where the line breaks. */
export type Point = readonly [atMs: number, value: number | null];

export interface HistorySeries {
  readonly probe: string;
  readonly role: 'material' | 'ambient';
  readonly label: string;
  readonly points: readonly Point[];
}

export interface HistoryEvent {
  readonly at: number;
  /** When it was put on record, which may be later, UTC ms; null for what the readings proved. */
  readonly recordedAt: number | null;
  /** `laidUp`, `furtherPly`, `relaid`, `assigned`, `note` or `stage`. */
  readonly kind: string;
  readonly text: string;
  /** Who said it; for a stage, the probe whose reading proved it. */
  readonly by: string;
  /** Place of the entry in the ledger; null for what the readings proved, which nobody can take back. */
  readonly seq: number | null;
  /** Not null: it was taken back and counts for nothing any more. */
  readonly withdrawn: { readonly by: string; readonly at: number; readonly reason: string } | null;
}

interface UncreditedSpan {
  readonly from: number;
  readonly to: number;
  readonly reason: 'cold' | 'unproven';
}

/** What stands behind a joint's chart. */
export interface History {
  readonly from: string;
  readonly to: string;
  readonly timeZone: string;
  readonly series: readonly HistorySeries[];
  /** Of the joint's air, %RH; only for a moisture law. */
  readonly humidity: readonly { readonly probe: string; readonly points: readonly Point[] }[];
  readonly progress: readonly Point[];
  readonly uncredited: readonly UncreditedSpan[];
  readonly events: readonly HistoryEvent[];
  readonly schedule: {
    readonly title: string;
    readonly referenceCelsius: number;
    readonly floorCelsius: number;
    readonly stages: readonly { readonly stage: string; readonly requiredHours: number }[];
    readonly source: string;
  };
}

export interface Quarantine {
  readonly total: number;
  readonly items: readonly {
    readonly id: number;
    readonly at: string;
    readonly topic: string;
    readonly probe: string | null;
    readonly reason: string;
    readonly detail: string;
    readonly payload: string;
    readonly bytes: number;
  }[];
}

export interface Connection {
  readonly site: string;
  readonly mqttPort: number;
  readonly topic: string;
  readonly probeAuth: 'required' | 'open';
  readonly probeKey: string | null;
}

/** The air to come, what it rests on, and how good it was. */
export interface Weather {
  readonly forecast: ForecastView | null;
  /** As it will be used; null: there is nothing to go by. */
  readonly air: {
    readonly from: 'forecast' | 'persistence';
    readonly atMs: readonly number[];
    readonly celsius: readonly number[];
  } | null;
  /** Of the last two days. */
  readonly measured: readonly Point[];
  /** One standard deviation so many hours ahead, in rising order. */
  readonly errorCelsius: readonly { readonly hours: number; readonly celsius: number }[];
  /** How many comparisons on this site the error rests on; 0: the documented default. */
  readonly comparisons: number;
  /** Null: no forecast is fetched. */
  readonly fetch: {
    readonly url: string;
    readonly everyMinutes: number;
    readonly triedAt: string | null;
    readonly ok: boolean;
    readonly detail: string | null;
  } | null;
}

/** What became of a forecast file. */
export interface ForecastTaken {
  readonly seq: number;
  readonly hours: number;
  /** The first of those lines that were not taken. */
  readonly rejected: readonly { readonly line: number; readonly reason: string }[];
  readonly rejectedTotal: number;
}

/** All that a browser needs to look ahead for a sump by itself. */
export interface SumpOutlook {
  readonly asOf: string;
  readonly timeZone: string;
  readonly joints: readonly {
    readonly joint: string;
    readonly label: string;
    /** Null: no time can be named, with the reason. */
    readonly input: OutlookInput | null;
    readonly reason: OutlookReason | null;
    readonly basis: OutlookBasis | null;
  }[];
  readonly activities: readonly {
    readonly activity: string;
    readonly label: string;
    readonly needs: readonly { readonly joint: string; readonly stage: string }[];
  }[];
  /** Lay-ups that may come: of each part that is not laid up, and of each schedule. Empty: nothing is known of the air. */
  readonly plans: readonly {
    readonly schedule: string;
    readonly title: string;
    readonly part: string | null;
    readonly label: string;
    readonly plan: LayUpPlan;
    readonly use: { readonly minCelsius: number; readonly maxCelsius: number } | null;
    readonly mix: MixRules | null;
  }[];
  readonly past: AirRecord | null;
}
