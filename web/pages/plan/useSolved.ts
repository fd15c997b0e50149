import { createContext } from 'preact';
import { useContext, useEffect, useId, useRef, useState } from 'preact/hooks';
import type { Answers, Asking, Questions } from './solve.ts';
import type { Solver } from './solver.ts';

/** The page's one thread for long sums. */
export const SolverContext = createContext<Solver | null>(null);

export interface Solved<Each extends Asking> {
  /** Of the newest question that has been answered, and that question; null: none yet, or nothing is asked. */
  readonly answer: { readonly value: Answers[Each]; readonly to: Questions[Each] } | null;
  /** A newer question is being worked on. */
  readonly busy: boolean;
}

/** The answer to a question that takes a while. The question has to stay the same object while it is the same. */
export function useSolved<Each extends Asking>(asking: Each, question: Questions[Each] | null): Solved<Each> {
  const solver = useContext(SolverContext);
  const slot = useId();
  const newest = useRef(question);
  newest.current = question;
  const [answered, setAnswered] = useState<{ readonly value: Answers[Each]; readonly to: Questions[Each] } | null>(null);
  useEffect(() => {
    if (question === null || solver === null) return;
    solver.ask(`${asking} ${slot}`, asking, question, (value) => {
      if (newest.current !== null) setAnswered({ value, to: question });
    });
  }, [solver, asking, slot, question]);
  return { answer: question === null ? null : answered, busy: question !== null && answered?.to !== question };
}
