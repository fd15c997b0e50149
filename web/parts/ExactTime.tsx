import { type Signal, useSignal } from '@preact/signals';
import { DateTime } from 'luxon';
import { useId } from 'preact/hooks';
import { now } from '../live/clock.ts';
import { siteZone } from '../live/store.ts';
import { workText } from '../text/workText.ts';
import { typed } from './form.tsx';

/** Date and time on the site's wall clock, whatever zone the phone is set to. */
export function ExactTime({ at }: { at: Signal<number | null> }) {
  const id = useId();
  const remark = useSignal<string | null>(null);
  const zone = siteZone();
  const shown = DateTime.fromMillis(at.value ?? now.value, { zone }).toFormat("yyyy-MM-dd'T'HH:mm");
  const take = (wall: string) => {
    const read = DateTime.fromISO(wall, { zone });
    // In the hour that a spring night leaves out, the clock shows something else than what was asked for.
    if (!read.isValid || read.toFormat("yyyy-MM-dd'T'HH:mm") !== wall.slice(0, 16)) {
      remark.value = workText.timePick.bad;
      return;
    }
    const possible = read.getPossibleOffsets().map((each) => each.toMillis());
    remark.value = possible.length > 1 ? workText.timePick.twice : null;
    at.value = Math.min(Math.max(...possible), now.value);
  };
  return (
    <div class="field">
      <label for={id}>{workText.timePick.exactLabel(zone)}</label>
      <input
        id={id}
        type="datetime-local"
        value={shown}
        aria-describedby={`${id}-remark`}
        onChange={(event) => take(typed(event))}
      />
      <p id={`${id}-remark`} class="hint" role="status">
        {remark.value}
      </p>
    </div>
  );
}
