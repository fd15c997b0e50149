import { now } from '../../live/clock.ts';
import { link } from '../../live/link.ts';
import { moment } from '../../look/format.ts';
import { claimsText } from '../../text/claimsText.ts';

/** Of when what is shown is, while nobody answers. */
export function LostNote() {
  if (link.value.state !== 'lost') return null;
  return <p class="notice-lost">{claimsText.past(moment(link.value.sinceMs, now.value))}</p>;
}
