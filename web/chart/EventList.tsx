import type { HistoryEvent } from '../api/shapes.ts';
import { now } from '../live/clock.ts';
import { moment } from '../look/format.ts';
import { text } from '../text/text.ts';

/** The events that the drawing marks by number. */
export function EventList({ events }: { events: readonly HistoryEvent[] }) {
  return (
    <div>
      <h3>{text.joint.events}</h3>
      {events.length === 0 ? (
        <p class="soft">{text.joint.noEvents}</p>
      ) : (
        <ol class="event-list">
          {events.map((event, index) => (
            <li key={`${event.at} ${event.kind} ${event.text}`}>
              <span class="event-number">{index + 1}</span>
              <div>
                <b>{text.joint.event[event.kind] ?? event.kind}</b> {moment(event.at, now.value)}
                {event.by !== '' && (
                  <span class="soft">
                    {' '}
                    {event.kind === 'stage' ? text.joint.eventProven(event.by) : text.joint.eventBy(event.by)}
                  </span>
                )}
                {event.text !== '' && (
                  <p class="event-text">{event.kind === 'stage' ? (text.stage[event.text] ?? event.text) : event.text}</p>
                )}
              </div>
            </li>
          ))}
        </ol>
      )}
    </div>
  );
}
