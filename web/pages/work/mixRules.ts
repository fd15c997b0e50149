import { type ReadonlySignal, useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { Schedule } from '../../../edge/cure/schedule.ts';
import { call, type Problem } from '../../api/call.ts';
import type { Schedules } from '../../api/shapes.ts';

interface Asked {
  readonly schedule: ReadonlySignal<Schedule | null>;
  readonly problem: ReadonlySignal<Problem | null>;
}

/** The newest version of a schedule, asked of the service once. */
export function useSchedule(name: string): Asked {
  const schedule = useSignal<Schedule | null>(null);
  const problem = useSignal<Problem | null>(null);
  useEffect(() => {
    let isGone = false;
    const ask = async () => {
      const answer = await call<Schedules>('GET', '/api/schedules');
      if (isGone) return;
      problem.value = answer.ok ? null : answer.problem;
      if (answer.ok) schedule.value = answer.value.schedules.find((each) => each.name === name) ?? null;
    };
    void ask();
    return () => {
      isGone = true;
    };
  }, [name]);
  return { schedule, problem };
}
