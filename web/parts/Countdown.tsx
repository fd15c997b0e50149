import { now } from '../live/clock.ts';
import { expectedMoment } from '../look/format.ts';
import { Icon } from './Icon.tsx';
import { MinutesLeft } from './MinutesLeft.tsx';
import '../style/mixTimes.css';

interface Props {
  fromMs: number;
  spanMs: number;
  /** What is counted down, such as `to settle`. */
  left: string;
  /** What is said when it is over, and before. */
  over: string;
  short: string;
}

/** Minutes and seconds until a span is over, on the server's clock: it runs on while the page is closed. */
export function Countdown({ fromMs, spanMs, left, over, short }: Props) {
  const leftMs = fromMs + spanMs - now.value;
  if (leftMs <= 0)
    return (
      <p class="why is-well" role="status">
        <Icon name="check" />
        <span>{over}</span>
      </p>
    );
  return (
    <div class="counting-down">
      <p role="timer">
        <MinutesLeft leftMs={leftMs} /> {left}, <span class="soft">{expectedMoment(fromMs + spanMs, now.value)}</span>
      </p>
      <p class="soft">{short}</p>
    </div>
  );
}
