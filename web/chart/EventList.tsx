import { useSignal } from '@preact/signals';
import type { HistoryEvent } from '../api/shapes.ts';
import { now } from '../live/clock.ts';
import { mayWrite } from '../live/session.ts';
import { moment } from '../look/format.ts';
import { text } from '../text/text.ts';
import { EventWords, eventName } from './EventWords.tsx';
import { TakeBack } from './TakeBack.tsx';

/** The events that the drawing marks by number, and those that were taken back, which it does not mark. */
export function EventList({ events }: { events: readonly HistoryEvent[] }) {
  const taking = useSignal<(HistoryEvent & { readonly seq: number }) | null>(null);
  return (
    <div>
      <h3>{text.joint.events}</h3>
      {events.length === 0 ? (
        <p class="soft">{text.joint.noEvents}</p>
      ) : (
        <ol class="event-list">
          {events.map((event, index) => {
            const { seq, withdrawn } = event;
            return (
              <li key={seq ?? `${event.kind} ${event.text}`} class={withdrawn === null ? '' : 'is-withdrawn'}>
                <span class="event-number">{index + 1}</span>
                <div>
                  {withdrawn === null ? (
                    <EventWords event={event} />
                  ) : (
                    <>
                      <del>
                        <EventWords event={event} />
                      </del>
                      <p class="event-text">
                        {text.joint.takenBack(withdrawn.by, moment(withdrawn.at, now.value), withdrawn.reason)}
                      </p>
                    </>
                  )}
                </div>
                {seq !== null && withdrawn === null && mayWrite() && (
                  <button
                    type="button"
                    class="button quiet"
                    aria-label={text.joint.takeBackLabel(eventName(event), moment(event.at, now.value))}
                    onClick={() => {
                      taking.value = { ...event, seq };
                    }}
                  >
                    {text.joint.takeBack}
                  </button>
                )}
              </li>
            );
          })}
        </ol>
      )}
      {taking.value !== null && (
        <TakeBack
          event={taking.value}
          onClose={() => {
            taking.value = null;
          }}
        />
      )}
    </div>
  );
}
