import { useSignal } from '@preact/signals';
import type { FindingView } from '../../../edge/site/views/finding.ts';
import { inOrder } from '../../answer/findings.ts';
import { linkLost } from '../../live/facts.ts';
import { Icon } from '../../parts/Icon.tsx';
import { findingText } from '../../text/findingText.ts';
import { FindingCard } from './FindingCard.tsx';
import '../../style/findings.css';

const SHOWN = 30;

/** Open findings first; the decided ones are kept below. */
export function FindingList({ findings, placed = false }: { findings: readonly FindingView[]; placed?: boolean }) {
  const all = inOrder(findings);
  const open = all.filter((finding) => finding.open);
  const decided = all.filter((finding) => !finding.open);
  return (
    <>
      {linkLost() && (
        <p class="why is-doubt">
          <Icon name="lost" />
          <span>{findingText.stale}</span>
        </p>
      )}
      {open.length === 0 ? <p class="soft">{findingText.noneOpen}</p> : <Cards findings={open} placed={placed} />}
      {decided.length > 0 && (
        <details class="more">
          <summary>
            {findingText.decided} ({decided.length})
          </summary>
          <Cards findings={decided} placed={placed} />
        </details>
      )}
    </>
  );
}

/** A long list comes in portions: a phone in the cold draws the first of them at once. */
function Cards({ findings, placed }: { findings: readonly FindingView[]; placed: boolean }) {
  const most = useSignal(SHOWN);
  return (
    <>
      <ul class="finding-list">
        {findings.slice(0, most.value).map((finding) => (
          <FindingCard key={finding.id} finding={finding} placed={placed} />
        ))}
      </ul>
      {findings.length > most.value && (
        <button
          type="button"
          class="button"
          onClick={() => {
            most.value += SHOWN;
          }}
        >
          {findingText.showMore(findings.length - most.value)}
        </button>
      )}
    </>
  );
}
