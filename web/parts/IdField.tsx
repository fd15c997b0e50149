import { type ReadonlySignal, type Signal, signal, useComputed } from '@preact/signals';
import { useState } from 'preact/hooks';
import type { Problem } from '../api/call.ts';
import { capital } from '../look/format.ts';
import { slugOf } from '../look/slug.ts';
import { setupText } from '../text/setupText.ts';
import { faultsAt } from './form.tsx';
import { TextField } from './TextField.tsx';

export interface IdDraft {
  readonly written: Signal<string>;
  /** Somebody chose to write it; before that it follows the label. */
  readonly isWritten: Signal<boolean>;
}

interface DerivedId extends IdDraft {
  readonly id: ReadonlySignal<string>;
}

export const idDraft = (): IdDraft => ({ written: signal(''), isWritten: signal(false) });

/** An identifier that follows a label until somebody writes another one. `kept`: its state, where that outlives the form. */
export function useDerivedId(
  label: Signal<string>,
  taken: () => ReadonlySet<string>,
  fallback: string,
  kept?: IdDraft,
): DerivedId {
  const [own] = useState(() => kept ?? idDraft());
  const { written, isWritten } = own;
  const id = useComputed(() => (isWritten.value ? written.value.trim() : slugOf(label.value, taken(), fallback)));
  return { id, written, isWritten };
}

export function IdField({ derived, path, problem }: { derived: DerivedId; path: string; problem: Problem | null }) {
  const { id, written, isWritten } = derived;
  if (isWritten.value)
    return (
      <TextField
        label={setupText.setup.id.label}
        hint={setupText.setup.id.hint}
        path={path}
        problem={problem}
        value={written}
        required
      />
    );
  const write = () => {
    written.value = id.peek();
    isWritten.value = true;
  };
  return (
    <div class="id-line">
      <span class="soft">{setupText.setup.id.is(id.value)}</span>
      <button type="button" class="button quiet" onClick={write}>
        {setupText.setup.id.change}
      </button>
      {faultsAt(problem, path).map((fault) => (
        <p class="fault" key={fault.message}>
          {capital(fault.message)}
        </p>
      ))}
    </div>
  );
}
