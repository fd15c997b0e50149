import type { z } from 'zod';
import type { Statement } from '../site/entries.ts';
import type { FindingCode } from '../site/findings/catalogue.ts';
import type { ActivityView } from '../site/views/activity.ts';
import type { FindingView } from '../site/views/finding.ts';
import type { Condition, Phase } from '../site/views/joint.ts';
import type { Person } from './people.ts';

/** Lines of which the demonstration's story is made. All times are hours, or minutes, before it opens; below 0, after. */

export interface HeaterLine {
  readonly hoursAgo: number;
  readonly riseCelsius: number;
  readonly holdCelsius: number;
  /** It was out between these. */
  readonly out?: Span;
}

export interface HeatLine {
  /** How slowly the spot follows its surroundings, hours. */
  readonly timeConstantHours: number;
  /** What cover and ground keep it above the air, °C. */
  readonly coverCelsius: number;
  readonly heater?: HeaterLine;
}

export interface Span {
  readonly fromHoursAgo: number;
  readonly toHoursAgo: number;
}

export interface BatteryLine {
  /** Share left when the demonstration opens, %EL. */
  readonly percent: number;
  readonly percentPerDay: number;
}

export interface ProbeLine {
  readonly probe: string;
  readonly label: string;
  /** How much colder than the joint's warmest spot it sits, °C. */
  readonly colderCelsius?: number;
  /** Nothing was measured between these. */
  readonly silent?: Span;
  /** The sensor hung loose on its wires between these and reported −127. */
  readonly loose?: Span;
  /** The probe had come off the joint between these and hung in the air beside it. */
  readonly offJoint?: Span;
  readonly battery?: BatteryLine;
  /** It was compared with a reference so many days ago, and the comparison counts for so many. */
  readonly calibrated?: { readonly daysAgo: number; readonly forDays: number };
}

/** An ambient probe. It measures humidity too. */
export interface AirLine {
  readonly probe: string;
  readonly label: string;
  readonly hoursOfHistory: number;
  /** It stands in a tent that is heated; left out: in the open. */
  readonly tent?: HeatLine;
  readonly battery?: BatteryLine;
}

/** A probe in the water of a sump under test: a straight line from each point to the next, and level after the last. */
export interface LevelLine {
  readonly probe: string;
  readonly label: string;
  readonly uncertaintyMillimetres: number;
  readonly waterCelsius: number;
  readonly points: readonly { readonly hoursAgo: number; readonly metres: number }[];
}

export interface LayUpLine {
  readonly by: Person;
  /** When the last ply or pour went down. */
  readonly hoursAgo: number;
  readonly note: string;
  /** Of the material as it is used, °C. */
  readonly celsius: number;
  readonly exothermCelsius: number;
  readonly exothermPeakMinutes: number;
  readonly prep: {
    /** Before the last ply or pour. */
    readonly minutesBefore: number;
    readonly surfaceCelsius?: number;
    readonly airCelsius?: number;
    readonly humidityPercent?: number;
  };
  readonly mix: {
    readonly minutesBefore: number;
    readonly resin?: { readonly value: number; readonly unit: 'quart' };
    readonly catalystMillilitres?: number;
    readonly airCelsius?: number;
    readonly resinLot: string;
    readonly catalystLot?: string;
    readonly note?: string;
  };
}

/** What the page shows of a joint. */
export interface Look {
  readonly phase: Phase;
  readonly conditions: readonly Condition[];
}

export interface JointLine {
  readonly joint: string;
  readonly label: string;
  readonly schedule: 'polyester-laminate' | 'epoxy-pour' | 'laminate-strict' | 'sealant-bead';
  readonly part?: string;
  readonly probes: readonly ProbeLine[];
  readonly layUp: LayUpLine | null;
  readonly heat: HeatLine;
  /** How it stands when the demonstration opens; a test holds the program against it. */
  readonly atStart: Look;
  /** How it stands some minutes later, if that differs. */
  readonly later?: Look & { readonly minutes: number };
  /** Findings that wait for a decision when the demonstration opens … */
  readonly open?: readonly FindingCode[];
  /** … and those that have been decided by then. */
  readonly decided?: readonly FindingCode[];
}

type Said = z.input<typeof Statement>;
type WaterTestSaid = Extract<Said, { kind: 'hydrotest.recorded' }>;
type Without<T, K extends PropertyKey> = T extends unknown ? Omit<T, K> : never;

interface Told {
  readonly hoursAgo: number;
  readonly by: Person;
}

/** Anything that carries its own time, or none. */
export interface WordLine extends Told {
  readonly say: Without<
    Exclude<Said, WaterTestSaid | { kind: 'finding.decided' | 'booking.made' | 'forecast.given' }>,
    'at' | 'confirmed'
  >;
}

/** An appointment on a full hour, so many hours after the opening at most and less than one hour before that. */
export interface BookingLine extends Told {
  readonly book: Pick<Extract<Said, { kind: 'booking.made' }>, 'sump' | 'activity' | 'note'>;
  readonly dueHoursAhead: number;
}

/** The air to come, hour by hour from when it was issued to so long after the opening. */
export interface ForecastLine extends Told {
  readonly forecast: { readonly source: string; readonly hoursAhead: number };
}

export interface WaterTestLine extends Told {
  readonly waterTest: Omit<WaterTestSaid, 'kind' | 'filledAt' | 'startedAt' | 'endedAt' | 'confirmed'>;
  readonly filledHoursAgo: number;
  readonly startedHoursAgo: number;
  readonly endedHoursAgo: number;
}

/**
 * A decision on the one finding of that code on that joint. Its id follows from the readings, so the site is asked for it. What was
 * decided has ended by then, and what needed the decision comes after it.
 */
export interface DecisionLine extends Told {
  readonly decide: {
    readonly joint: string;
    readonly code: FindingCode;
    readonly decision: 'accept' | 'proof';
    readonly reason: string;
  };
}

export type StoryLine = WordLine | WaterTestLine | DecisionLine | BookingLine | ForecastLine;

/** One sump of the demonstration. */
export interface Story {
  readonly sump: { readonly sump: string; readonly label: string; readonly serial: string; readonly sequence?: string };
  /** The ambient probe that all its joints have. */
  readonly air: string;
  /** Seconds between two readings of its probes in their history. */
  readonly everySeconds: number;
  readonly joints: readonly JointLine[];
  readonly level?: LevelLine;
  /** Beside what its joints' lay-ups say, in any order. */
  readonly told: readonly StoryLine[];
  /** How its activities stand when the demonstration opens. */
  readonly activities: Readonly<Record<string, ActivityView['state']>>;
}

/** The one finding of a decision line among those of its joint. Throws an Error with a plain message if it is not there. */
export function findingOf({ decide: { joint, code } }: Pick<DecisionLine, 'decide'>, findings: readonly FindingView[]): string {
  const found = findings.filter((finding) => finding.code === code);
  if (found[0] === undefined || found.length > 1)
    throw new Error(`the demonstration expects one finding "${code}" on joint ${joint}, not ${found.length}`);
  return found[0].id;
}
