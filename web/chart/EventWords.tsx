import type { HistoryEvent } from '../api/shapes.ts';
import { probeName } from '../live/store.ts';
import { dated } from '../look/format.ts';
import { jointText } from '../text/jointText.ts';
import { text } from '../text/text.ts';

/** Who records later than this records from memory. */
const PROMPT_MS = 2 * 60_000;

export const eventName = (event: HistoryEvent) => jointText.event[event.kind] ?? event.kind;

/** What happened, when, by whom, and what was said of it. */
export function EventWords({ event }: { event: HistoryEvent }) {
  const { at, recordedAt, by } = event;
  const said = saidOf(event);
  return (
    <>
      <b>{eventName(event)}</b> {dated(at)}
      {recordedAt !== null && recordedAt - at > PROMPT_MS && <>, {jointText.eventRecorded(dated(recordedAt))}</>}
      {by !== '' && (
        <span class="soft"> {event.kind === 'stage' ? jointText.eventProven(probeName(by)) : jointText.eventBy(by)}</span>
      )}
      {said !== '' && <p class="event-text">{said}</p>}
    </>
  );
}

function saidOf({ kind, text: said }: HistoryEvent): string {
  if (kind === 'stage') return text.stage[said] ?? said;
  return kind === 'assigned' ? text.listAnd(said.split(', ').map(probeName)) : said;
}
