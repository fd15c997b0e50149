import { type Signal, useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { Schedule } from '../../edge/cure/schedule.ts';
import type { JointView } from '../../edge/site/views/joint.ts';
import { type WhatIf as Answer, whatIf } from '../answer/whatIf.ts';
import { call, type Problem } from '../api/call.ts';
import type { History } from '../api/shapes.ts';
import { probes } from '../live/store.ts';
import { dated, hoursToGo } from '../look/format.ts';
import { Field, ProblemNote } from '../parts/form.tsx';
import { text } from '../text/text.ts';

/** All that a joint can have: the service gives no more points a line. */
const POINTS_MOST = 50_000;

/** The joint's readings by another schedule, counted here. */
export function WhatIf({ joint }: { joint: Signal<JointView> }) {
  const view = joint.value;
  const schedules = useSignal<readonly Schedule[]>([]);
  const chosen = useSignal(view.schedule);
  const busy = useSignal(false);
  const problem = useSignal<Problem | null>(null);
  const answer = useSignal<Answer | null>(null);
  const tooMany = useSignal(false);

  useEffect(() => {
    call<{ schedules: Schedule[] }>('GET', '/api/schedules').then((got) => {
      if (got.ok) schedules.value = got.value.schedules;
      else problem.value = got.problem;
    });
  }, []);

  const count = async (event: Event) => {
    event.preventDefault();
    const schedule = schedules.peek().find(({ name }) => name === chosen.peek());
    if (schedule === undefined || view.laidUpAt === null || busy.peek()) return;
    busy.value = true;
    const startMs = Date.parse(view.laidUpAt);
    const from = new Date(startMs - schedule.gapLimitMinutes * 60_000).toISOString();
    const path = `/api/joints/${encodeURIComponent(view.joint)}/history?points=${POINTS_MOST}&from=${from}`;
    const got = await call<History>('GET', path);
    busy.value = false;
    problem.value = got.ok ? null : got.problem;
    if (!got.ok) return;
    if (got.value.series.some(({ points }) => points.length >= POINTS_MOST)) {
      tooMany.value = true;
      return;
    }
    const beadMillimetres = view.front?.beadMillimetres ?? null;
    answer.value = whatIf(schedule, got.value, (name) => probes.peek().get(name)?.peek(), { startMs, beadMillimetres });
  };

  return (
    <details class="panel what-if">
      <summary>{text.whatIf.title}</summary>
      <p class="soft">{text.whatIf.about}</p>
      {view.laidUpAt === null ? (
        <p>{text.whatIf.notLaidUp}</p>
      ) : (
        <form onSubmit={count}>
          <Field label={text.whatIf.schedule} path="schedule" problem={problem.value}>
            {(attributes) => (
              <select
                {...attributes}
                value={chosen.value}
                onChange={(event) => {
                  chosen.value = event.currentTarget.value;
                  answer.value = null;
                }}
              >
                {schedules.value.map(({ name, title }) => (
                  <option key={name} value={name}>
                    {name === view.schedule ? `${title} (${text.whatIf.same})` : title}
                  </option>
                ))}
              </select>
            )}
          </Field>
          <ProblemNote problem={problem.value} fields={['schedule']} />
          <button type="submit" class="button" disabled={busy.value || schedules.value.length === 0}>
            {busy.value ? text.whatIf.counting : text.whatIf.count}
          </button>
        </form>
      )}
      {tooMany.value && <p>{text.whatIf.tooMany}</p>}
      <div role="status">{answer.value !== null && <Counted answer={answer.value} />}</div>
    </details>
  );
}

function Counted({ answer: { warmHours, stages } }: { answer: Answer }) {
  return (
    <>
      <p class="what-if-hours" data-warm-hours={warmHours}>
        <b>{text.whatIf.warm(warmHours.toFixed(3))}</b>
      </p>
      <ul>
        {stages.map(({ stage, requiredHours, reachedAtMs }) => (
          <li key={stage} data-stage={stage} data-reached-ms={reachedAtMs ?? ''}>
            {reachedAtMs === null
              ? text.whatIf.notReached(text.stage[stage] ?? stage, hoursToGo(requiredHours - warmHours))
              : text.whatIf.reached(text.stage[stage] ?? stage, dated(reachedAtMs))}
          </li>
        ))}
      </ul>
    </>
  );
}
