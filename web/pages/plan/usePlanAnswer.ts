import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import { MEMBERS } from '../../../edge/cure/outlook/chance.ts';
import type { SumpOutlook } from '../../api/shapes.ts';
import { type Aim, type Proposal, planAnswer } from './planAnswer.ts';
import { quickly } from './quickly.ts';
import { aboutOf, type Kept, type Shown, shownOf } from './shownAnswer.ts';
import { useRested } from './useRested.ts';
import { useSolved } from './useSolved.ts';

/** A slider answers within 50 ms; the rest of that is for drawing. */
const PATIENCE_MS = 20;
const REST_MS = 120;
/** An answer that is being worked out anew is marked as such after so long. */
const ANEW_AFTER_MS = 1000;

export interface ShownAnswer extends Shown {
  /** It is of before, and has been for a while. */
  readonly isAnew: boolean;
}

/**
 * The answer at once, from as many worlds as this machine looks at in a moment, and soon from all of them, by the thread beside the
 * page. Once there was a full one it stays until the next. The arguments have to stay the same objects while they are the same.
 */
export function usePlanAnswer(outlook: SumpOutlook, aim: Aim, proposal: Proposal | null): ShownAnswer {
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
  const solved = useSolved('answer', rested === question ? question : null);
  const full = quick.worlds === MEMBERS ? quick.answer : solved.answer !== null && !solved.busy ? solved.answer.value : null;
  const kept = useRef<Kept | null>(null);
  const about = aboutOf(aim);
  if (full !== null) kept.current = { about, answer: full };
  const shown = shownOf(full, kept.current, quick.answer, about);
  const isAnew = useStays(shown.standing === 'kept', ANEW_AFTER_MS);
  return { ...shown, isAnew };
}

/** Whether something has been so for a while. */
function useStays(isSo: boolean, ms: number): boolean {
  const [stays, setStays] = useState(false);
  useEffect(() => {
    if (!isSo) {
      setStays(false);
      return;
    }
    const timer = setTimeout(() => setStays(true), ms);
    return () => clearTimeout(timer);
  }, [isSo, ms]);
  return isSo && stays;
}
