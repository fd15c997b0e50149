import type { JointView } from '../../edge/site/views/joint.ts';
import type { JointFacts } from './joint.ts';

/** How a stage that counts from the mix stands at this moment. */
export type MixTime =
  | { readonly kind: 'reached'; readonly atMs: number }
  /** If the present temperature held. */
  | { readonly kind: 'held'; readonly atMs: number }
  | { readonly kind: 'none' }
  | { readonly kind: 'lost' };

/** A stage stays reached; a time to come is only told while a live reading stands behind it. */
export function mixTimesOf(view: JointView, facts: JointFacts, isRecording: boolean): { stage: string; time: MixTime }[] {
  const isLive = facts.reading !== null && !facts.reading.old && view.governing !== null && isRecording;
  return (view.fromMix?.stages ?? []).map(({ stage, reachedAt, ifHeldAt }) => {
    if (reachedAt !== null) return { stage, time: { kind: 'reached', atMs: Date.parse(reachedAt) } };
    if (facts.lost) return { stage, time: { kind: 'lost' } };
    if (!isLive || ifHeldAt === null) return { stage, time: { kind: 'none' } };
    return { stage, time: { kind: 'held', atMs: Date.parse(ifHeldAt) } };
  });
}

/** Whether the mix still matters on a card: some of its stages are to come. */
export function isMixOpen(view: JointView): boolean {
  return view.fromMix?.stages.some(({ reachedAt }) => reachedAt === null) ?? false;
}

/** How long the last mix can be worked. */
export interface Working {
  readonly untilMs: number;
  /** By the sheet or the schedule, min. */
  readonly minutes: number;
  /** The mix is colder or warmer than the points that the time stands on. */
  readonly bound: 'about' | 'atLeast' | 'atMost';
}

/** So long somebody may still reach for the pot. */
const OVER_TOLD_MS = 3_600_000;

/** It runs on the clock alone, without any reading. Null: nothing is known of it, or it has been over for long. */
export function workingOf({ mix }: Pick<JointView, 'mix'>, nowMs: number): Working | null {
  if (mix === null || mix.working === null) return null;
  const { minutes, atLeast, atMost } = mix.working;
  const untilMs = Date.parse(mix.at) + minutes * 60_000;
  if (nowMs - untilMs > OVER_TOLD_MS) return null;
  return { untilMs, minutes, bound: atLeast ? 'atLeast' : atMost ? 'atMost' : 'about' };
}
