import { HOUR_MS } from '../schedule.ts';
import { MEMBERS } from './chance.ts';
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
/** With so many of the worlds an answer is guessed at before it is looked for with all of them. */
const FEW_MEMBERS = 16;

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
  const holds = (tenths: number, members?: number) =>
    booking.isSafeWith({ hold: { fromMs: booking.nowMs, milliC: tenths * HOLD_STEP_MILLI_C } }, members);
  if (booking.isSafe) return { joints: [], milliC: COLDEST_MILLI_C };
  const full = [...new Set(booking.late.map(({ input }) => fullCreditTenths(input)))].sort((a, b) => b - a);
  const enough = full.find((tenths) => holds(tenths));
  if (enough === undefined) return null;
  const tenths = leastThat(holds, COLDEST_MILLI_C / HOLD_STEP_MILLI_C, enough);
  return { joints: booking.lateJoints, milliC: tenths * HOLD_STEP_MILLI_C };
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
  const isLate = (quarters: number, members?: number) =>
    !booking.isSafeWith({ heat: { fromMs: atQuarter(quarters), heat } }, members);
  if (isLate(0)) return null;
  const afterDue = Math.max(1, Math.floor((dueMs - nowMs) / QUARTER_MS) + 2);
  const quarters = leastThat(isLate, 0, afterDue) - 1;
  return { joints: booking.lateJoints, fromMs: atQuarter(quarters) };
}

/**
 * A whole number above `fails` and up to `holds` that `test` is true of while it is not of the one before. Guessed by halving with few
 * of the worlds; with all of them it is sought from there, in steps that double until it lies between two.
 */
function leastThat(test: (value: number, members?: number) => boolean, fails: number, holds: number): number {
  const guess = halved((value) => test(value, FEW_MEMBERS), fails, holds);
  let [low, high] = [guess - 1, guess];
  for (let step = 1; low > fails && test(low); step *= 2) {
    high = low;
    low = Math.max(fails, low - step);
  }
  for (let step = 1; low >= guess - 1 && high < holds && !test(high); step *= 2) {
    low = high;
    high = Math.min(holds, high + step);
  }
  return halved(test, low, high);
}

function halved(test: (value: number) => boolean, fails: number, holds: number): number {
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
  /** What is not safe by itself; where all is but not together, what is late in any world. What misses most comes first. */
  readonly late: readonly Wanted[];
  /** Their joints, each once, in the order they were named. */
  readonly lateJoints: string[];
  readonly #dueMs: number;
  readonly #share: number;
  /** The worlds that what nothing is done about keeps. */
  readonly #kept: readonly boolean[];

  constructor(wanted: readonly Wanted[], dueMs: number, share: number) {
    this.#dueMs = dueMs;
    this.#share = share;
    this.nowMs = Math.max(...wanted.map(({ input }) => input.nowMs));
    const all = wanted
      .map((each) => {
        const kept = this.#keptBy(each, {}, MEMBERS);
        return { each, kept, misses: missesOf(kept) };
      })
      .sort((a, b) => b.misses - a.misses);
    this.isSafe = this.#isSafe(keptByAll(all.map(({ kept }) => kept)));
    const unsafe = all.filter(({ kept }) => !this.#isSafe(kept));
    const late = unsafe.length > 0 ? unsafe : all.filter(({ misses }) => misses > 0);
    this.late = late.map(({ each }) => each);
    this.lateJoints = [...new Set(wanted.filter((each) => this.late.includes(each)).map(({ input }) => input.joint))];
    this.#kept = keptByAll(all.filter((one) => !late.includes(one)).map(({ kept }) => kept));
  }

  /** Looks at the first `members` of the worlds, joint by joint, and no further than is needed to tell. */
  isSafeWith(change: Change, members = MEMBERS): boolean {
    let kept = this.#kept.slice(0, members);
    for (const each of this.late) {
      kept = keptByAll([kept, this.#keptBy(each, change, members)]);
      if (!this.#isSafe(kept)) return false;
    }
    return true;
  }

  #isSafe(kept: readonly boolean[]): boolean {
    return kept.length > 0 && (kept.length - missesOf(kept)) / kept.length >= this.#share;
  }

  #keptBy({ input, stage }: Wanted, change: Change, members: number): boolean[] {
    const stages = input.stages.filter((each) => each.stage === stage);
    const outlook = project({ ...input, stages }, { change, members, untilMs: this.#dueMs });
    return (outlook.stages[0]?.membersMs ?? []).map((ms) => ms <= this.#dueMs);
  }
}

function missesOf(kept: readonly boolean[]): number {
  return kept.filter((isKept) => !isKept).length;
}

/** World by world. Of nothing that is wanted all worlds are kept. */
function keptByAll(all: readonly (readonly boolean[])[]): boolean[] {
  return Array.from({ length: all[0]?.length ?? MEMBERS }, (_, member) => all.every((kept) => kept[member] === true));
}
