import type { JointView } from '../../edge/site/views/joint.ts';
import type { JointFacts } from '../answer/joint.ts';
import { now } from '../live/clock.ts';
import { hoursPlain, span } from '../look/format.ts';
import { text } from '../text/text.ts';
import { Icon, type IconName } from './Icon.tsx';
import { thresholdsOf } from './thresholds.ts';

/** Why nothing is credited now, in one sentence, and what would change that. Nothing at all while hours are earned. */
export function WhyNot({ view, facts }: { view: JointView; facts: JointFacts }) {
  const sentence = sentenceOf(view, facts);
  if (sentence === null) return null;
  const [icon, look] = lookOf(facts);
  return (
    <p class={`why ${look}`}>
      <Icon name={icon} />
      <span>{sentence}</span>
    </p>
  );
}

function lookOf({ whyNot }: JointFacts): readonly [IconName, string] {
  if (whyNot === 'cold') return ['cold', 'is-cold'];
  if (whyNot === 'void' || whyNot === 'notRecording') return ['stop', 'is-void'];
  if (whyNot === 'lost') return ['lost', 'is-doubt'];
  return ['unproven', whyNot === 'planned' ? '' : 'is-doubt'];
}

function sentenceOf(view: JointView, { whyNot, reading }: JointFacts): string | null {
  if (whyNot === null || whyNot === 'planned') return null;
  if (whyNot === 'noReading') {
    const age = reading === null ? '' : span(now.value - reading.atMs);
    return text.now.why.noReading(hoursPlain(view.scheduleDetail.gapLimitMinutes), age);
  }
  if (whyNot === 'cold') {
    const { floor, full } = thresholdsOf(view);
    return text.now.why.cold(floor, full);
  }
  return text.now.why[whyNot];
}
