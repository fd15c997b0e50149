import { useMemo } from 'preact/hooks';
import type { Heat } from '../../../edge/cure/outlook/input.ts';
import type { SumpOutlook } from '../../api/shapes.ts';
import type { Aim } from './planAnswer.ts';
import { aboutOf } from './shownAnswer.ts';
import type { Answers } from './solve.ts';
import { useSolved } from './useSolved.ts';

/** One piece of advice. `value` undefined: none yet for this aim. */
export interface Told<T> {
  readonly value: T | undefined;
  /** It is being worked out anew. */
  readonly busy: boolean;
}

export interface AdviceTold {
  readonly hold: Told<Answers['hold']>;
  readonly heat: Told<Answers['heat']>;
}

const isSame = (one: Aim, other: Aim) => one.dueMs === other.dueMs && aboutOf(one) === aboutOf(other);

/** What is just enough, worked out beside the page. Advice about another hour or other work is none. */
export function useAdvice(outlook: SumpOutlook, aim: Aim, heat: Heat, isAsked: boolean): AdviceTold {
  const holdQuestion = useMemo(() => (isAsked ? { outlook: { joints: outlook.joints }, aim } : null), [outlook, aim, isAsked]);
  const heatQuestion = useMemo(
    () => (isAsked ? { outlook: { joints: outlook.joints }, aim, heat } : null),
    [outlook, aim, heat, isAsked],
  );
  const hold = useSolved('hold', holdQuestion);
  const heating = useSolved('heat', heatQuestion);
  return {
    hold: { value: hold.answer !== null && isSame(hold.answer.to.aim, aim) ? hold.answer.value : undefined, busy: hold.busy },
    heat: {
      value:
        heating.answer !== null && isSame(heating.answer.to.aim, aim) && heating.answer.to.heat === heat
          ? heating.answer.value
          : undefined,
      busy: heating.busy,
    },
  };
}
