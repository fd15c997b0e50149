import { project } from '../../cure/outlook/project.ts';
import { shownHours } from '../../cure/schedule.ts';
import type { Joint } from '../../site/state/joint.ts';
import { iso } from '../../site/views/iso.ts';
import { notBefore, type ProjectionView, timesOf } from '../../site/views/outlook.ts';
import type { Outlooks } from './outlooks.ts';

/** What lies ahead of a joint, with its band hour by hour to `untilMs`. A stage that is not proven yet has no time before `nowMs`. */
export function projectionOf(
  joint: Joint,
  outlooks: Outlooks,
  stages: readonly string[],
  untilMs: number,
  nowMs: number = outlooks.of(joint).atMs,
): ProjectionView {
  const { ahead, outlook, reason, atMs } = outlooks.of(joint);
  const banded = ahead === null ? null : project(ahead.input, { bandUntilMs: untilMs }).band;
  return {
    joint: joint.joint,
    asOf: iso(atMs),
    basis: ahead?.basis ?? null,
    stages: stages.map((stage) => {
      const membersMs = outlook?.stages.find((each) => each.stage === stage)?.membersMs;
      if (membersMs === undefined) return { stage, earliest: null, likely: null, latest: null, reason };
      const isReached = ahead?.input.credit.reached.some((each) => each.stage === stage) ?? false;
      return { stage, ...timesOf(isReached ? membersMs : notBefore(membersMs, nowMs)) };
    }),
    band: (banded?.atMs ?? []).map((at, index) => ({
      at,
      celsius: spread(banded?.milliC[index], (milliC) => Math.round(milliC) / 1000),
      warmHours: spread(banded?.creditPpmMs[index], shownHours),
    })),
  };
}

function spread(
  values: readonly [number, number, number] | undefined,
  shown: (value: number) => number,
): [number, number, number] {
  const [low, likely, high] = values ?? [Number.NaN, Number.NaN, Number.NaN];
  return [shown(low), shown(likely), shown(high)];
}
