import { type Signal, useSignal } from '@preact/signals';
import { now } from '../live/clock.ts';
import { moment, span, zoneName } from '../look/format.ts';
import { workText } from '../text/workText.ts';
import { lazy } from './lazy.tsx';
import '../style/fields.css';

const ExactTime = lazy(() => import('./ExactTime.tsx').then((module) => module.ExactTime));

const STEPS_MINUTES = [1, 5, 15, 60];

/** A past instant, UTC ms, set in big steps by a gloved thumb or exactly. Null follows the clock: now. */
export function TimePick({ at, label }: { at: Signal<number | null>; label: string }) {
  const exact = useSignal(false);
  const atMs = at.value ?? now.value;
  const move = (minutes: number) => {
    const moved = atMs + minutes * 60_000;
    at.value = moved >= now.value ? null : moved;
  };
  return (
    <fieldset class="time-pick" data-path="at">
      <legend>{label}</legend>
      <output class="time-pick-shown">
        <b>{moment(atMs, now.value)}</b> {zoneName(atMs)}
        <span class="soft">
          {at.value === null ? workText.timePick.now : workText.timePick.beforeNow(span(now.value - atMs))}
        </span>
      </output>
      <div class="time-pick-steps">
        {STEPS_MINUTES.map((minutes) => (
          <button
            type="button"
            class="button"
            key={`-${minutes}`}
            aria-label={workText.timePick.earlier(minutes)}
            onClick={() => move(-minutes)}
          >
            {workText.timePick.minus(minutes)}
          </button>
        ))}
        {STEPS_MINUTES.map((minutes) => (
          <button
            type="button"
            class="button"
            key={`+${minutes}`}
            disabled={at.value === null}
            aria-label={workText.timePick.later(minutes)}
            onClick={() => move(minutes)}
          >
            {workText.timePick.plus(minutes)}
          </button>
        ))}
      </div>
      {exact.value ? (
        <ExactTime at={at} />
      ) : (
        <button
          type="button"
          class="button quiet"
          onClick={() => {
            exact.value = true;
          }}
        >
          {workText.timePick.exact}
        </button>
      )}
    </fieldset>
  );
}

/** The instant to send: what was picked, or the moment of sending. */
export const instantOf = (at: Signal<number | null>) => new Date(at.value ?? now.value).toISOString();
