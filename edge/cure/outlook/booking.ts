import { HOUR_MS } from '../schedule.ts';
import type { Change, Heat, OutlookInput } from './input.ts';
import { project, quantile } from './project.ts';

/** When a joint has what it is asked for, in each of the worlds looked at, UTC ms; infinite: not within the horizon. */
export interface Readiness {
  readonly joint: string;
  readonly membersMs: readonly number[];
}

/** A joint and the stage that is asked of it. */
export interface Wanted {
  readonly input: OutlookInput;
  readonly stage: string;
}

/** Times that people are told are quarters of an hour. */
export const QUARTER_MS = HOUR_MS / 4;
/** A booking is safe when so many of the worlds keep it. */
export const SAFE_SHARE = 0.9;

/** Temperatures to hold are looked for in steps of this, from below all that a probe shows, m°C. */
const HOLD_STEP_MILLI_C = 100;
const COLDEST_MILLI_C = -60_000;

/** When the last of all joints has what it is asked for, world by world. */
export function together(joints: readonly Readiness[]): number[] {
  const [first] = joints;
  return (first?.membersMs ?? []).map((_, member) => Math.max(...joints.map(({ membersMs }) => membersMs[member] as number)));
}

/** Share of the worlds in which it is so by then, 0 … 1; of no worlds 0. */
export function chanceBy(membersMs: readonly number[], atMs: number): number {
  return membersMs.length === 0 ? 0 : membersMs.filter((ms) => ms <= atMs).length / membersMs.length;
}

/**
 * The joint that is the latest in most of the worlds that miss `atMs`; of all worlds when none does. Of two that are equally late
 * both count, and the first one of two that count the same decides. Null: there is no joint.
 */
export function decidedBy(joints: readonly Readiness[], atMs: number): string | null {
  const lastMs = together(joints);
  const isMissed = lastMs.some((ms) => ms > atMs);
  let most = -1;
  let decides: string | null = null;
  for (const { joint, membersMs } of joints) {
    const count = membersMs.filter((ms, member) => ms === lastMs[member] && (!isMissed || ms > atMs)).length;
    if (count <= most) continue;
    most = count;
    decides = joint;
  }
  return decides;
}

/** The first quarter of an hour by which this share of the worlds has it, UTC ms; null: none within the horizon. */
export function safeFromMs(membersMs: readonly number[], share = SAFE_SHARE): number | null {
  const ms = quantile(membersMs, share);
  return Number.isFinite(ms) ? Math.ceil(ms / QUARTER_MS) * QUARTER_MS : null;
}

/**
 * The least temperature, in whole tenths of a degree as a probe would show it, at or above which the joints that keep the booking
 * from being safe have to be held from now on so that it is. No joints: it is safe as it is. Null: not even at full credit.
 *
 * A moisture law that follows the air alone gains nothing from warmth beyond its floor, because heated air is drier; there the
 * floor is what is tried. A degree less is always too little, but in that case a degree more may be too much.
 */
export function holdFor(
  wanted: readonly Wanted[],
  dueMs: number,
  share = SAFE_SHARE,
): { joints: string[]; milliC: number } | null {
  const booking = new Booking(wanted, dueMs, share);
  const holds = (tenths: number) => booking.isSafeWith({ hold: { fromMs: booking.nowMs, milliC: tenths * HOLD_STEP_MILLI_C } });
  if (booking.isSafe) return { joints: [], milliC: COLDEST_MILLI_C };
  const enough = [...new Set(booking.late.map(({ input }) => fullCreditTenths(input)))].sort((a, b) => b - a).find(holds);
  if (enough === undefined) return null;
  const tenths = leastThat(holds, COLDEST_MILLI_C / HOLD_STEP_MILLI_C, enough);
  return { joints: booking.late.map(({ input }) => input.joint), milliC: tenths * HOLD_STEP_MILLI_C };
}

/**
 * The latest quarter of an hour (or, if that is none too early, the present) by which this heat has to be on, on every joint that
 * keeps the booking from being safe, so that it is. No joints: it is safe as it is. Null: not even when it is on from now on.
 */
export function heatFor(
  wanted: readonly Wanted[],
  dueMs: number,
  heat: Heat,
  share = SAFE_SHARE,
): { joints: string[]; fromMs: number } | null {
  const booking = new Booking(wanted, dueMs, share);
  if (booking.isSafe) return { joints: [], fromMs: dueMs };
  const { nowMs } = booking;
  const atQuarter = (quarters: number) => Math.max(nowMs, Math.floor(nowMs / QUARTER_MS) * QUARTER_MS + quarters * QUARTER_MS);
  const isLate = (quarters: number) => !booking.isSafeWith({ heat: { fromMs: atQuarter(quarters), heat } });
  if (isLate(0)) return null;
  const afterDue = Math.max(1, Math.floor((dueMs - nowMs) / QUARTER_MS) + 2);
  const quarters = leastThat(isLate, 0, afterDue) - 1;
  return { joints: booking.late.map(({ input }) => input.joint), fromMs: atQuarter(quarters) };
}

/** By halving: a whole number above `fails` and up to `holds` that `test` is true of while it is not of the one before. */
function leastThat(test: (value: number) => boolean, fails: number, holds: number): number {
  let [low, high] = [fails, holds];
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (test(middle)) high = middle;
    else low = middle;
  }
  return high;
}

/** At this temperature, in tenths of a degree, more warmth brings nothing. */
function fullCreditTenths({ table, follows, guardMilliC, airGuardMilliC }: OutlookInput): number {
  const isAirAlone = table.referenceHumidityMilliPercent !== undefined && follows === 'air';
  const milliC = isAirAlone ? table.floorMilliC + airGuardMilliC : table.topMilliC + guardMilliC;
  return Math.ceil(milliC / HOLD_STEP_MILLI_C);
}

/** What becomes of an appointment, as it is and with a change on the joints that are late. */
class Booking {
  readonly nowMs: number;
  readonly isSafe: boolean;
  /** Those that are not safe by themselves; where each is but all together are not, those that are late in any world. */
  readonly late: readonly Wanted[];
  readonly #dueMs: number;
  readonly #share: number;
  /** Of the joints that nothing is done about. */
  readonly #others: readonly Readiness[];

  constructor(wanted: readonly Wanted[], dueMs: number, share: number) {
    this.#dueMs = dueMs;
    this.#share = share;
    this.nowMs = Math.max(...wanted.map(({ input }) => input.nowMs));
    const all = wanted.map((each) => ({ each, readiness: this.#readiness(each, {}) }));
    this.isSafe = all.length === 0 || this.#areSafe(all.map(({ readiness }) => readiness));
    const unsafe = all.filter(({ readiness }) => !this.#areSafe([readiness]));
    const late = unsafe.length > 0 ? unsafe : all.filter(({ readiness }) => chanceBy(readiness.membersMs, dueMs) < 1);
    this.late = late.map(({ each }) => each);
    this.#others = all.filter((one) => !late.includes(one)).map(({ readiness }) => readiness);
  }

  isSafeWith(change: Change): boolean {
    return this.#areSafe([...this.#others, ...this.late.map((each) => this.#readiness(each, change))]);
  }

  #areSafe(joints: readonly Readiness[]): boolean {
    return chanceBy(together(joints), this.#dueMs) >= this.#share;
  }

  #readiness({ input, stage }: Wanted, change: Change): Readiness {
    const stages = input.stages.filter((each) => each.stage === stage);
    const outlook = project({ ...input, stages }, { change, untilMs: this.#dueMs });
    return { joint: input.joint, membersMs: outlook.stages[0]?.membersMs ?? [] };
  }
}
