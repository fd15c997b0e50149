import { now } from '../live/clock.ts';
import { span } from '../look/format.ts';
import { text } from '../text/text.ts';

/** How long ago something was, ticking every second on the server's clock. */
export function Age({ atMs }: { atMs: number }) {
  return (
    <time class="age" dateTime={new Date(atMs).toISOString()}>
      {text.ago(span(now.value - atMs))}
    </time>
  );
}
