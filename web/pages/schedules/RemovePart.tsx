import { useEffect, useRef } from 'preact/hooks';
import { setupText } from '../../text/setupText.ts';
import { text } from '../../text/text.ts';
import { needWords } from './needWords.ts';
import { type Order, waitsForPart } from './sequenceDraft.ts';

interface Props {
  order: Order;
  part: string;
  onRemove: () => void;
  onKeep: () => void;
}

const words = setupText.schedules.sequences.editor;

/** Asks before a joint goes that steps wait for: what they wait for is a guard, and it goes too. */
export function RemovePart({ order, part, onRemove, onKeep }: Props) {
  const keep = useRef<HTMLButtonElement>(null);
  useEffect(() => keep.current?.focus(), []);
  const label = order.parts.find((each) => each.part === part)?.label ?? part;
  return (
    <div class="editor-leave" role="alert">
      <p>
        <b>{words.removeLosesTitle(label)}</b>
      </p>
      <ul class="plain-list">
        {waitsForPart(order, part).map((step) => (
          <li key={step.label}>
            {words.removeLoses(step.label, text.listAnd(step.needs.map((need) => needWords(need, order))))}
          </li>
        ))}
      </ul>
      <div class="form-actions">
        <button type="button" class="button" onClick={onRemove}>
          {words.removeAll(label)}
        </button>
        <button type="button" class="button primary" ref={keep} onClick={onKeep}>
          {words.removeNot}
        </button>
      </div>
    </div>
  );
}
