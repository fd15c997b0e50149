import { apart } from './apart.ts';
import { batteryLow } from './batteryLow.ts';
import { belowProof, coldBeforeGel } from './cold.ts';
import { detached } from './detached.ts';
import { dewRisk } from './dewRisk.ts';
import type { Episode, EpisodeKind } from './episode.ts';
import { frozen } from './frozen.ts';
import { gaps } from './gap.ts';
import { hotJoint } from './hotJoint.ts';
import { jumps } from './jump.ts';
import { offCurve } from './offCurve.ts';
import { sentinels } from './sentinel.ts';
import type { InspectSpec } from './spec.ts';
import { type Watch, watchOf } from './watch.ts';

export type { InspectedPiece, InspectedSeries, InspectSpec } from './spec.ts';

const DETECTORS: readonly ((watch: Watch) => Episode[])[] = [
  ...[gaps, coldBeforeGel, belowProof],
  ...[hotJoint, frozen, jumps, sentinels, apart, detached, batteryLow, offCurve, dewRisk],
];

/** More episodes of one kind than this are counted, not listed. Our own choice. */
export const MOST_OF_A_KIND = 20;

/**
 * Everything in the readings of one attempt at a joint that somebody has to look at, in order of `fromMs`. A pure function of the
 * whole history: readings that come late, and the order of `series`, make no difference. Of each kind the first
 * `MOST_OF_A_KIND` are kept, so that one that was listed stays listed; `more` among the numbers of the last says how many follow.
 */
export function inspect(spec: InspectSpec): Episode[] {
  const watch = watchOf(spec);
  // Detectors and series have an order of their own, and the sort keeps it among equals.
  const episodes = DETECTORS.flatMap((detect) => detect(watch)).sort((a, b) => a.fromMs - b.fromMs);
  const listed: Episode[] = [];
  const last = new Map<EpisodeKind, { count: number; index: number }>();
  for (const episode of episodes) {
    const { count, index } = last.get(episode.kind) ?? { count: 0, index: -1 };
    if (count < MOST_OF_A_KIND) last.set(episode.kind, { count: count + 1, index: listed.push(episode) - 1 });
    else {
      const { numbers, ...full } = listed[index] as Episode;
      listed[index] = { ...full, numbers: { ...numbers, more: (numbers.more ?? 0) + 1 } };
    }
  }
  return listed;
}
