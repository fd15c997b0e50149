import { type Signal, useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { type Draft, draftOf, emptyDraft } from '../../answer/waterTest.ts';
import { head } from '../../live/store.ts';
import { unit } from '../../look/settings.ts';

const keyOf = (sump: string) => `warmhours.waterTest.${head.peek()?.site ?? ''}.${sump}`;

interface Kept {
  readonly draft: Signal<Draft>;
  readonly change: (part: Partial<Draft>) => void;
  readonly forget: () => void;
}

/** What was typed of a sump's water test, kept in this tab so that it survives a reload. */
export function useDraft(sump: string): Kept {
  const key = keyOf(sump);
  const fresh = () => emptyDraft(unit.peek() === 'F' ? 'in' : 'mm');
  const draft = useSignal<Draft>(draftOf(read(key)) ?? fresh());
  const kept = draft.value;
  useEffect(() => write(key, JSON.stringify(kept)), [key, kept]);
  return {
    draft,
    change: (part) => {
      draft.value = { ...draft.peek(), ...part };
    },
    forget: () => {
      // The stick is the same.
      const { unit: read, resolution } = draft.peek();
      draft.value = { ...fresh(), unit: read, resolution };
    },
  };
}

// Private windows and strict settings refuse storage by throwing; the draft then lasts as long as the page.
function read(key: string): string | null {
  try {
    return sessionStorage.getItem(key);
  } catch {
    return null;
  }
}

function write(key: string, value: string): void {
  try {
    sessionStorage.setItem(key, value);
  } catch {
    return;
  }
}
