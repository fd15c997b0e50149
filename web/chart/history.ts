import { type ReadonlySignal, type Signal, useSignal, useSignalEffect } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import type { JointView } from '../../edge/site/views/joint.ts';
import { call, type Problem } from '../api/call.ts';
import { recordedCount } from '../api/record.ts';
import type { History } from '../api/shapes.ts';
import { serverNowMs } from '../live/clock.ts';
import { linkLost } from '../live/facts.ts';

export type Range = 'all' | 'day' | 'short';

const SPAN_MS: Record<Exclude<Range, 'all'>, number> = { day: 24 * 3_600_000, short: 6 * 3_600_000 };

/** Enough for two points per pixel column of a phone, few enough to draw at once. */
const POINTS = 600;

/** New values come every few seconds; the curve follows no faster than this. */
const REFRESH_MS = 5000;

interface HistorySignals {
  readonly history: ReadonlySignal<History | null>;
  readonly problem: ReadonlySignal<Problem | null>;
}

/** A joint's history over a range, fetched again as new values arrive, and at once when this page puts something on record. */
export function useHistory(joint: Signal<JointView>, range: Signal<Range>): HistorySignals {
  const history = useSignal<History | null>(null);
  const problem = useSignal<Problem | null>(null);
  const pending = useRef<ReturnType<typeof setTimeout> | null>(null);
  const fetchedMs = useRef(Number.NEGATIVE_INFINITY);
  const asked = useRef<string | null>(null);
  const gone = useRef(false);

  const fetchNow = async () => {
    pending.current = null;
    fetchedMs.current = performance.now();
    const wanted = range.peek();
    const asking = asked.current;
    const from = wanted === 'all' ? '' : `&from=${new Date(serverNowMs() - SPAN_MS[wanted]).toISOString()}`;
    const answer = await call<History>(
      'GET',
      `/api/joints/${encodeURIComponent(joint.peek().joint)}/history?points=${POINTS}${from}`,
    );
    // Somebody chose another range or put something on record meanwhile: that answer is on its way.
    if (gone.current || asking !== asked.current) return;
    problem.value = answer.ok ? null : answer.problem;
    if (answer.ok) history.value = answer.value;
  };

  useSignalEffect(() => {
    // Each read here is something to be woken by: a new value, another range, a new entry, the link's return.
    void joint.value;
    const wanted = `${range.value} ${recordedCount.value}`;
    if (linkLost()) return;
    const at = wanted === asked.current ? fetchedMs.current + REFRESH_MS : 0;
    if (pending.current !== null && wanted === asked.current) return;
    if (pending.current !== null) clearTimeout(pending.current);
    asked.current = wanted;
    pending.current = setTimeout(fetchNow, Math.max(0, at - performance.now()));
  });
  useEffect(
    () => () => {
      gone.current = true;
      if (pending.current !== null) clearTimeout(pending.current);
    },
    [],
  );
  return { history, problem };
}
