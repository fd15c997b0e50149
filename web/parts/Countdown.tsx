import { now } from '../live/clock.ts';
import { expectedMoment } from '../look/format.ts';
import { Icon } from './Icon.tsx';

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
  const seconds = Math.ceil(leftMs / 1000);
  const two = (value: number) => String(value).padStart(2, '0');
  const hours = Math.floor(seconds / 3600);
  const minutes = Math.floor(seconds / 60) % 60;
  return (
    <div class="counting-down">
      <p role="timer">
        <b class="countdown-left">
          {hours > 0 ? `${hours}:${two(minutes)}` : minutes}:{two(seconds % 60)}
        </b>{' '}
        {left}, <span class="soft">{expectedMoment(fromMs + spanMs, now.value)}</span>
      </p>
      <p class="soft">{short}</p>
    </div>
  );
}
