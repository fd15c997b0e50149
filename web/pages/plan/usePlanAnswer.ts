import { useMemo } from 'preact/hooks';
import { MEMBERS } from '../../../edge/cure/outlook/chance.ts';
import type { SumpOutlook } from '../../api/shapes.ts';
import { type Aim, type PlanAnswer, type Proposal, planAnswer } from './planAnswer.ts';
import { quickly } from './quickly.ts';
import { useRested } from './useRested.ts';
import { useSolved } from './useSolved.ts';

/** A slider answers within 50 ms; the rest of that is for drawing. */
const PATIENCE_MS = 20;
const REST_MS = 120;

/**
 * The answer at once, from as many worlds as this machine looks at in a moment, and soon from all of them, by the thread beside the
 * page. `isFull`: it is of all worlds. The arguments have to stay the same objects while they are the same.
 */
export function usePlanAnswer(
  outlook: SumpOutlook,
  aim: Aim,
  proposal: Proposal | null,
): { readonly answer: PlanAnswer; readonly isFull: boolean } {
  const quick = useMemo(
    () =>
      quickly(
        (worlds) => planAnswer(outlook, aim, proposal, worlds),
        PATIENCE_MS,
        () => performance.now(),
      ),
    [outlook, aim, proposal],
  );
  const question = useMemo(
    () => (quick.worlds === MEMBERS ? null : { outlook: { joints: outlook.joints }, aim, proposal }),
    [quick, outlook, aim, proposal],
  );
  const rested = useRested(question, REST_MS);
  const full = useSolved('answer', rested === question ? question : null);
  if (full.answer !== null && !full.busy) return { answer: full.answer.value, isFull: true };
  return { answer: quick.answer, isFull: quick.worlds === MEMBERS };
}
