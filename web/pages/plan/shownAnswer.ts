import type { Aim, PlanAnswer } from './planAnswer.ts';

/** `full`: of all worlds. `kept`: of all worlds too, but of what was asked or known before. `first`: of a few worlds. */
export type Standing = 'full' | 'kept' | 'first';

export interface Shown {
  readonly answer: PlanAnswer;
  readonly standing: Standing;
}

/** A full answer, and what it was about. */
export interface Kept {
  readonly about: string;
  readonly answer: PlanAnswer;
}

/** What an aim is about, whatever its hour: an answer about other work is none to keep. */
export const aboutOf = ({ needs, reason }: Pick<Aim, 'needs' | 'reason'>) => JSON.stringify([needs, reason]);

/**
 * Which answer is shown. A few worlds easily look rosier than all of them, so a first answer never takes the place of a full one
 * about the same work: that stays until the new full one is there.
 */
export function shownOf(full: PlanAnswer | null, kept: Kept | null, first: PlanAnswer, about: string): Shown {
  if (full !== null) return { answer: full, standing: 'full' };
  return kept?.about === about ? { answer: kept.answer, standing: 'kept' } : { answer: first, standing: 'first' };
}
