import { MEMBERS } from '../../../edge/cure/outlook/chance.ts';

/** Steps of how many worlds are looked at, so that answers do not flicker between them. */
const STEPS = [MEMBERS, 32, 16];
/** So many are looked at however slow it is. */
export const LEAST_WORLDS = 8;

export interface Quick<T> {
  readonly answer: T;
  /** Of so many worlds. */
  readonly worlds: number;
}

/**
 * Answers from a few worlds, and from more if the time that those took says that more can be had within `patienceMs`: a cold joint
 * takes ten times as long to look ahead for as a warm one, and a telephone as long again. `clock`: ms.
 */
export function quickly<T>(ask: (worlds: number) => T, patienceMs: number, clock: () => number): Quick<T> {
  const startedMs = clock();
  const first = ask(LEAST_WORLDS);
  const tookMs = clock() - startedMs;
  const worlds = STEPS.find((step) => tookMs + (tookMs / LEAST_WORLDS) * step <= patienceMs);
  return worlds === undefined ? { answer: first, worlds: LEAST_WORLDS } : { answer: ask(worlds), worlds };
}
