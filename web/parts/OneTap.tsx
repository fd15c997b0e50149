import { useSignal } from '@preact/signals';
import type { StatementSent } from '../api/shapes.ts';
import { lazy } from './lazy.tsx';

const Say = lazy(() => import('./Say.tsx').then((module) => module.Say));

interface Props {
  label: string;
  /** What it does, where the label alone does not say it. */
  name?: string;
  /** Made at the moment of the tap. */
  statement: () => StatementSent;
  onRecorded: (seq: number) => void;
}

/** A button that puts something on record with one tap. What that takes is fetched with the first one. */
export function OneTap({ label, name, statement, onRecorded }: Props) {
  const saying = useSignal<{ readonly attempt: number; readonly statement: StatementSent } | null>(null);
  const busy = useSignal(false);
  const tap = () => {
    busy.value = true;
    saying.value = { attempt: (saying.peek()?.attempt ?? 0) + 1, statement: statement() };
  };
  return (
    <>
      <button type="button" class="button" aria-label={name} disabled={busy.value} onClick={tap}>
        {label}
      </button>
      {saying.value !== null && (
        <Say
          key={saying.value.attempt}
          statement={saying.value.statement}
          onEnd={(recorded) => {
            busy.value = false;
            if (recorded === null) return;
            saying.value = null;
            onRecorded(recorded.seq);
          }}
        />
      )}
    </>
  );
}
