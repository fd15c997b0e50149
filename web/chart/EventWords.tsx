import type { HistoryEvent } from '../api/shapes.ts';
import { probeName } from '../live/store.ts';
import { dated } from '../look/format.ts';
import { jointText } from '../text/jointText.ts';
import { text } from '../text/text.ts';
import { heatingMore, heatingTitle } from './eventTitles.ts';

/** Who records later than this records from memory. */
const PROMPT_MS = 2 * 60_000;

export const eventName = ({ kind, text: said }: HistoryEvent) =>
  kind === 'heating' ? heatingTitle(said) : (jointText.event[kind] ?? kind);

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
  if (kind === 'heating') return heatingMore(said);
  return kind === 'assigned' ? text.listAnd(said.split(', ').map(probeName)) : said;
}
