import { dropOffer, offer, undo } from '../live/undo.ts';
import { capital } from '../look/format.ts';
import { text } from '../text/text.ts';
import { Icon } from './Icon.tsx';

/** What was just put on record, with a way back. It stands above the page, clear of its buttons, and keeps in sight. */
export function RecordedBar() {
  const shown = offer.value;
  return (
    <div class={shown === null ? 'recorded' : `recorded is-shown is-${shown.state}`}>
      <p role="status" aria-live="polite">
        {sentence()}
      </p>
      {/* Undo keeps its place at the end: who taps it twice must not close the bar. */}
      {shown?.state === 'failed' && (
        <button type="button" class="button square" aria-label={text.action.close} onClick={dropOffer}>
          <Icon name="close" />
        </button>
      )}
      {shown !== null && shown.state !== 'undone' && (
        <button type="button" class="button" onClick={undo}>
          {shown.state === 'undoing' ? text.recorded.undoing : text.recorded.undo}
        </button>
      )}
    </div>
  );
}

function sentence(): string {
  if (offer.value === null) return '';
  const { what, state, problem } = offer.value;
  if (state === 'undone') return text.recorded.undone(what);
  if (problem === null) return text.recorded.done(what);
  return problem.status === 0
    ? text.recorded.undoUnanswered(what)
    : text.recorded.undoRefused(what, problem.title, capital(problem.detail));
}
