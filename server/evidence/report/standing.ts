import type { JointView } from '../../../edge/site/views/joint.ts';
import type { SumpView } from '../../../edge/site/views/sump.ts';
import { waits } from '../../../web/answer/findings.ts';
import { clipped, stageName } from './about.ts';
import { counted, hoursMissing, type SiteClock } from './figures.ts';

/** Longer reasons stand in full among the entries. */
const REASON_MOST = 140;

/** How far a joint is, in a sentence or two. */
export function standingOf(view: JointView, sump: SumpView, clock: SiteClock): string {
  const { redo, laidUpAt, openAt, stages } = view;
  if (redo !== null)
    return `To be done again: ${redo.by} (${redo.role}) decided so, ${clock.at(redo.at)}: “${clipped(redo.reason, REASON_MOST)}” Its hours release nothing.`;
  if (laidUpAt === null) return openAt === null ? 'Not laid up yet.' : `Being laid up since ${clock.at(openAt)}.`;
  const waiting = [...view.findings, ...sump.findings].filter(waits).length;
  const missing = stages.flatMap(({ stage, reachedAt, blockedBy, remainingHours }) => {
    if (reachedAt === null) return [`${stageName(stage)}: ${hoursMissing(remainingHours)} of warm hours missing.`];
    return blockedBy.length === 0
      ? []
      : [
          `${stageName(stage)}: the hours are there, but ${counted(blockedBy.length, 'finding')} ${blockedBy.length === 1 ? 'blocks' : 'block'} it.`,
        ];
  });
  if (missing.length > 0) return missing.join(' ');
  const undecided =
    waiting === 0
      ? 'No finding waits for a decision.'
      : `${counted(waiting, 'finding')} ${waiting === 1 ? 'waits' : 'wait'} for a decision.`;
  return `Every stage is reached, and nothing blocks one. ${undecided}`;
}
