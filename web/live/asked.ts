import { type ReadonlySignal, useSignal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import { call, type Problem } from '../api/call.ts';
import { recordedCount } from '../api/record.ts';
import { now } from './clock.ts';
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

interface Remembered {
  readonly value: unknown;
  /** When it came, UTC ms. */
  readonly atMs: number;
}

/** The last answers of this session by path, at most one for each sump and one for the weather. */
const remembered = new Map<string, Remembered>();

export interface Known<T> {
  readonly answer: T | null;
  readonly problem: Problem | null;
  /** When the last answer came, UTC ms; null: none did. */
  readonly cameMs: number | null;
}

/** The same for a page that is of use with the link down too: where nothing could be asked, the last answer of this session stands. */
export function useRemembered<T>(path: string): Known<T> {
  const { answer, problem } = useAsked<T>(path);
  useEffect(() => {
    if (answer.value !== null) remembered.set(path, { value: answer.value, atMs: now.peek() });
  }, [path, answer.value]);
  // Once it stands, it stays until there is a newer one: what was typed beside it must not go when the link comes back.
  const isUsed = useRef(false);
  if (linkLost()) isUsed.current = true;
  const known = remembered.get(path) ?? null;
  const shown = answer.value ?? (isUsed.current && known !== null ? (known.value as T) : null);
  return { answer: shown, problem: problem.value, cameMs: known?.atMs ?? null };
}
