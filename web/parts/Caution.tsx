import { text } from '../text/text.ts';

/** Stands under every answer: the tool advises, people release. */
export function Caution() {
  return <p class="caution">{text.caution}</p>;
}
