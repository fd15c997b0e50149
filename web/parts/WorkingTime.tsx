import type { Working } from '../answer/mixTimes.ts';
import { now } from '../live/clock.ts';
import { moment } from '../look/format.ts';
import { mixText } from '../text/mixText.ts';
import { Icon } from './Icon.tsx';
import { MinutesLeft } from './MinutesLeft.tsx';
import '../style/mixTimes.css';

/** How long the mix in the pot can still be worked, counting down; afterwards, that it cannot. */
export function WorkingTime({ working: { untilMs, minutes, bound } }: { working: Working }) {
  const words = mixText.fromMix;
  const leftMs = untilMs - now.value;
  if (leftMs <= 0)
    return (
      <p class="why is-void working-over" role="status">
        <Icon name="stop" />
        <span>
          <b>{words.over}</b> {words.overSince(moment(untilMs, now.value))}
        </span>
      </p>
    );
  return (
    <p class="working" role="timer">
      <MinutesLeft leftMs={leftMs} /> {words.left}
      <span class="working-by">
        {words.workBy(moment(untilMs, now.value), words[bound](String(Math.round(minutes))))} {bound === 'atMost' && words.sooner}
      </span>
    </p>
  );
}
