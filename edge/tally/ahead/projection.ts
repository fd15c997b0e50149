import { project } from '../../cure/outlook/project.ts';
import { shownHours } from '../../cure/schedule.ts';
import type { Joint } from '../../site/state/joint.ts';
import { iso } from '../../site/views/iso.ts';
import { type ProjectionView, timesOf } from '../../site/views/outlook.ts';
import type { Outlooks } from './outlooks.ts';

/** What lies ahead of a joint, with its band hour by hour to `untilMs`. */
export function projectionOf(joint: Joint, outlooks: Outlooks, stages: readonly string[], untilMs: number): ProjectionView {
  const { ahead, outlook, reason, atMs } = outlooks.of(joint);
  const banded = ahead === null ? null : project(ahead.input, { bandUntilMs: untilMs }).band;
  return {
    joint: joint.joint,
    asOf: iso(atMs),
    basis: ahead?.basis ?? null,
    stages: stages.map((stage) => {
      const membersMs = outlook?.stages.find((each) => each.stage === stage)?.membersMs;
      return {
        stage,
        ...(membersMs === undefined ? { earliest: null, likely: null, latest: null, reason } : timesOf(membersMs)),
      };
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
