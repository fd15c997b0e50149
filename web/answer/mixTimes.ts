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
