import type { BookingView } from '../../edge/site/views/booking.ts';
import type { JointView } from '../../edge/site/views/joint.ts';
import type { OutlookReason, Times } from '../../edge/site/views/outlook.ts';
import type { StageView } from '../../edge/site/views/stage.ts';
import { type JointFacts, standing } from './joint.ts';

/** When something will be so, UTC ms, as it is told: rounded outwards, since nothing of it is known to the minute. */
export type Ahead =
  /** `latestMs` null: at worst not within the days that are looked at. */
  | { readonly kind: 'window'; readonly earliestMs: number; readonly likelyMs: number; readonly latestMs: number | null }
  /** Not before then, and more likely than not beyond the days that are looked at. */
  | { readonly kind: 'notBefore'; readonly earliestMs: number }
  | { readonly kind: 'none'; readonly reason: OutlookReason };

const MINUTE_MS = 60_000;
const GRAIN_MS = 5 * MINUTE_MS;

export function aheadOf({ earliest, likely, latest, reason }: Times, nowMs: number): Ahead {
  const later = (instant: string) => Math.ceil(Date.parse(instant) / GRAIN_MS) * GRAIN_MS;
  if (earliest === null) return { kind: 'none', reason: reason ?? 'beyond-horizon' };
  const earlier = (grainMs: number) => Math.floor(Date.parse(earliest) / grainMs) * grainMs;
  // What begins within minutes is told to the minute: nothing that is to come begins in the past.
  const earliestMs = earlier(GRAIN_MS) < nowMs ? earlier(MINUTE_MS) : earlier(GRAIN_MS);
  if (likely === null) return { kind: 'notBefore', earliestMs };
  return { kind: 'window', earliestMs, likelyMs: later(likely), latestMs: latest === null ? null : later(latest) };
}

type Air = NonNullable<JointView['projected']>['air'];

/** What lies ahead of a stage, and what of the air that rests on. */
export interface StageAhead {
  readonly times: Times;
  readonly air: Air;
}

/**
 * When the hours of a stage will be there; null: nothing is looked ahead to, or the joint is not heard. One that is too cold now may
 * well be warm tomorrow. Whether somebody has to decide on it as well is not asked here.
 */
export function stageAhead(view: JointView, stage: StageView | undefined, facts: JointFacts): StageAhead | null {
  const { projected } = view;
  if (projected === null || stage === undefined || standing(stage) !== 'open') return null;
  if (facts.whyNot !== null && facts.whyNot !== 'cold' && facts.whyNot !== 'lost') return null;
  // With the link down the last word on it counts.
  if (facts.lost && view.conditions.includes('unproven')) return null;
  const times = projected.stages.find((each) => each.stage === stage.stage);
  return times === undefined ? null : { times, air: projected.air };
}

/** Tenths of a chance, 0 … 10. Neither end is certain, and the words for them have to say so. */
export const tenthsOf = (chance: number) => Math.min(10, Math.max(0, Math.round(chance * 10)));

/** How an appointment stands. `waits`: only for a decision. `unknown`: no chance can be named, or the link is down. */
export type BookingLook = 'held' | 'waits' | 'doubtful' | 'missed' | 'unknown';

const HELD_FROM = 0.9;
const MISSED_BELOW = 0.1;

export function bookingLook({ chance, waitsFor }: Pick<BookingView, 'chance' | 'waitsFor'>, isLost: boolean): BookingLook {
  if (isLost || chance === null) return 'unknown';
  if (chance < MISSED_BELOW) return 'missed';
  // Hours that are there in time are not enough while somebody has to decide.
  return chance < HELD_FROM ? 'doubtful' : waitsFor.length === 0 ? 'held' : 'waits';
}
