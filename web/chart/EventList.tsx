import { useSignal } from '@preact/signals';
import type { HistoryEvent } from '../api/shapes.ts';
import { mayTakeBack, mayWrite } from '../live/session.ts';
import { dated } from '../look/format.ts';
import { jointText } from '../text/jointText.ts';
import { EventWords, eventName } from './EventWords.tsx';
import { TakeBack } from './TakeBack.tsx';

/** The events that the drawing marks by number, and those that were taken back, which it does not mark. */
export function EventList({ events, joint }: { events: readonly HistoryEvent[]; joint: string }) {
  const taking = useSignal<(HistoryEvent & { readonly seq: number }) | null>(null);
  return (
    <div>
      <h3>{jointText.events}</h3>
      {events.length === 0 ? (
        <p class="soft">{jointText.noEvents}</p>
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
                      <p class="event-text">{jointText.takenBack(withdrawn.by, dated(withdrawn.at), withdrawn.reason)}</p>
                    </>
                  )}
                </div>
                {seq !== null && withdrawn === null && (event.kind === 'proof' ? mayTakeBack(event.by) : mayWrite()) && (
                  <button
                    type="button"
                    class="button"
                    aria-label={jointText.takeBackLabel(eventName(event), dated(event.at))}
                    onClick={() => {
                      taking.value = { ...event, seq };
                    }}
                  >
                    {jointText.takeBack}
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
          joint={joint}
          onClose={() => {
            taking.value = null;
          }}
        />
      )}
    </div>
  );
}
