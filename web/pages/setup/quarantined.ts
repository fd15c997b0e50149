import { type Signal, useSignal, useSignalEffect } from '@preact/signals';
import { call, type Problem } from '../../api/call.ts';
import type { Quarantine } from '../../api/shapes.ts';
import { quarantined } from '../../live/store.ts';

/** A device that keeps sending rubbish makes the count run; it is looked at again so long after an answer, not for each message. */
const PAUSE_MS = 2000;

/** The newest messages set aside, asked for anew whenever there are more. */
export function useQuarantine(): { readonly list: Signal<Quarantine | null>; readonly problem: Signal<Problem | null> } {
  const list = useSignal<Quarantine | null>(null);
  const problem = useSignal<Problem | null>(null);
  const asking = useSignal(false);
  useSignalEffect(() => {
    const total = quarantined.value;
    if (asking.value || (list.peek() !== null && list.peek()?.total === total)) return;
    asking.value = true;
    void call<Quarantine>('GET', '/api/quarantine').then((answer) => {
      if (answer.ok) list.value = answer.value;
      problem.value = answer.ok ? null : answer.problem;
      setTimeout(() => {
        asking.value = false;
      }, PAUSE_MS);
    });
  });
  return { list, problem };
}
