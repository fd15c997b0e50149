import { type ReadonlySignal, type Signal, useSignal, useSignalEffect } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import type { JointView } from '../../edge/site/views/joint.ts';
import type { ProjectionView } from '../../edge/site/views/outlook.ts';
import { call } from '../api/call.ts';
import { recordedCount } from '../api/record.ts';
import { serverNowMs } from '../live/clock.ts';
import { linkLost } from '../live/facts.ts';
import { forecast } from '../live/store.ts';
import { aheadSpanMs } from './aheadSpan.ts';
import type { Range } from './history.ts';

/** What lies ahead changes slowly: with a new forecast, a new word on record, and else no faster than this. */
const REFRESH_MS = 60_000;

/** What lies ahead of a joint, fetched while it is asked for. Null: not asked for, or not there yet. */
export function useProjection(
  joint: Signal<JointView>,
  range: Signal<Range>,
  wanted: ReadonlySignal<boolean>,
): ReadonlySignal<ProjectionView | null> {
  const projection = useSignal<ProjectionView | null>(null);
  const fetchedMs = useRef(Number.NEGATIVE_INFINITY);
  const asked = useRef<string | null>(null);
  const gone = useRef(false);

  const fetchNow = async (key: string) => {
    const { joint: name, projected } = joint.peek();
    const untilMs = serverNowMs() + aheadSpanMs(projected, range.peek(), serverNowMs());
    const until = new Date(untilMs).toISOString();
    const answer = await call<ProjectionView>('GET', `/api/joints/${encodeURIComponent(name)}/projection?until=${until}`);
    // Somebody chose another range or switched it off meanwhile.
    if (gone.current || asked.current !== key) return;
    // Without an answer the past is drawn alone.
    projection.value = answer.ok ? answer.value : null;
  };

  useSignalEffect(() => {
    void joint.value;
    if (!wanted.value) {
      asked.current = null;
      projection.value = null;
      return;
    }
    const key = `${range.value} ${recordedCount.value} ${forecast.value?.seq ?? ''}`;
    if (linkLost() || (key === asked.current && performance.now() - fetchedMs.current < REFRESH_MS)) return;
    asked.current = key;
    fetchedMs.current = performance.now();
    fetchNow(key);
  });
  useEffect(
    () => () => {
      gone.current = true;
    },
    [],
  );
  return projection;
}
