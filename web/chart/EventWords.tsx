import type { HistoryEvent } from '../api/shapes.ts';
import { now } from '../live/clock.ts';
import { moment } from '../look/format.ts';
import { text } from '../text/text.ts';

export const eventName = (event: HistoryEvent) => text.joint.event[event.kind] ?? event.kind;

/** What happened, when, by whom, and what was said of it. */
export function EventWords({ event }: { event: HistoryEvent }) {
  const isStage = event.kind === 'stage';
  return (
    <>
      <b>{eventName(event)}</b> {moment(event.at, now.value)}
      {event.by !== '' && <span class="soft"> {isStage ? text.joint.eventProven(event.by) : text.joint.eventBy(event.by)}</span>}
      {event.text !== '' && <p class="event-text">{isStage ? (text.stage[event.text] ?? event.text) : event.text}</p>}
    </>
  );
}
