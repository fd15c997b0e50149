import type { Need } from '../../../edge/site/sequence.ts';
import { setupText } from '../../text/setupText.ts';
import { stageName } from './scheduleWords.ts';
import type { Order } from './sequenceDraft.ts';

const words = setupText.schedules.sequences.need;

/** What a step waits for, in words. */
export function needWords(need: Need, { parts, activities }: Order): string {
  const partLabel = (name: string) => parts.find(({ part }) => part === name)?.label ?? name;
  switch (need.need) {
    case 'stage':
      return words.stage(partLabel(need.part), stageName(need.stage));
    case 'allJoints':
      return words.allJoints(stageName(need.stage));
    case 'prep':
      return words.prep(partLabel(need.part));
    case 'done':
      return words.done(activities.find(({ activity }) => activity === need.activity)?.label ?? need.activity);
    case 'hold':
      return words.hold(need.label);
    case 'decided':
      return words.decided;
    case 'passed':
      return words.passed;
  }
}
