import { type ReadonlySignal, useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { call, type Problem } from '../api/call.ts';
import { recordedCount } from '../api/record.ts';
import { linkLost } from './facts.ts';

const AGAIN_MS = 60_000;

export interface Asked<T> {
  /** The last answer; with the link down it stays. Null: none yet. */
  readonly answer: ReadonlySignal<T | null>;
  /** Why the last time brought none. */
  readonly problem: ReadonlySignal<Problem | null>;
}

/** What the service says at `path`: asked anew each minute, when something was put on record here, and when the link comes back. */
export function useAsked<T>(path: string): Asked<T> {
  const answer = useSignal<T | null>(null);
  const problem = useSignal<Problem | null>(null);
  const isLost = linkLost();
  const said = recordedCount.value;
  useEffect(() => {
    if (isLost) return;
    let isGone = false;
    const ask = async () => {
      const got = await call<T>('GET', path);
      if (isGone) return;
      problem.value = got.ok ? null : got.problem;
      if (got.ok) answer.value = got.value;
    };
    void ask();
    const again = setInterval(ask, AGAIN_MS);
    return () => {
      isGone = true;
      clearInterval(again);
    };
  }, [path, isLost, said]);
  return { answer, problem };
}
