import type { NeedView } from '../../../edge/site/views/activity.ts';
import type { SumpView } from '../../../edge/site/views/sump.ts';
import { joints } from '../../live/store.ts';
import { text } from '../../text/text.ts';

/** What an activity still lacks, in a few words. */
export function needWords(need: NeedView, sump: SumpView): string {
  const words = text.work.activities.need;
  const stage = need.stage === null ? '' : (text.stage[need.stage] ?? need.stage);
  const joint = need.joint === null ? null : (joints.value.get(need.joint)?.value.label ?? need.joint);
  const part = sump.parts.find((each) => each.part === need.part)?.label ?? need.part ?? '';
  switch (need.need) {
    case 'stage':
      return joint === null ? words.noJoint(part) : words.stage(joint, stage);
    case 'allJoints':
      return joint === null ? words.noJoints : words.allJoints(joint, stage);
    case 'prep':
      return joint === null ? words.noJoint(part) : words.prep(joint);
    case 'done':
      return words.done(sump.activities.find(({ activity }) => activity === need.activity)?.label ?? need.activity ?? '');
    case 'hold':
      return words.hold(need.hold?.label ?? '');
    case 'decided':
      return words.undecided(need.findings.length);
    case 'passed':
      return words.passed;
  }
}
