import { type Signal, useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { Schedule } from '../../edge/cure/schedule.ts';
import type { JointView } from '../../edge/site/views/joint.ts';
import { type WhatIf as Answer, whatIf } from '../answer/whatIf.ts';
import { call, type Problem } from '../api/call.ts';
import type { History, JointSchedule, Schedules } from '../api/shapes.ts';
import { probes } from '../live/store.ts';
import { dated, hoursToGo } from '../look/format.ts';
import { Field, ProblemNote } from '../parts/form.tsx';
import { jointText } from '../text/jointText.ts';
import { text } from '../text/text.ts';

/** All that a joint can have: the service gives no more points a line. */
const POINTS_MOST = 50_000;

type Got = { readonly kind: 'counted'; readonly answer: Answer } | { readonly kind: 'tooMany' };

/** The joint's readings by another schedule, counted here. What it needs is asked for when it is opened. */
export function WhatIf({ joint }: { joint: Signal<JointView> }) {
  const isOpen = useSignal(false);
  const view = joint.value;
  return (
    <details
      class="panel other-rule"
      onToggle={(event) => {
        isOpen.value = event.currentTarget.open;
      }}
    >
      <summary>
        <h2>{jointText.whatIf.title}</h2>
      </summary>
      <p class="soft">{jointText.whatIf.about}</p>
      {view.laidUpAt === null ? (
        <p>{jointText.whatIf.notLaidUp}</p>
      ) : (
        isOpen.value && <Asking view={view} laidUpAt={view.laidUpAt} />
      )}
    </details>
  );
}

function Asking({ view, laidUpAt }: { view: JointView; laidUpAt: string }) {
  const { schedules, problem } = useSchedules(view.joint);
  const place = useSignal('0');
  const busy = useSignal(false);
  const got = useSignal<Got | null>(null);

  const count = async (event: Event) => {
    event.preventDefault();
    const schedule = schedules.peek()[Number(place.peek())];
    if (schedule === undefined || busy.peek()) return;
    busy.value = true;
    const startMs = Date.parse(laidUpAt);
    const from = new Date(startMs - schedule.gapLimitMinutes * 60_000).toISOString();
    const path = `/api/joints/${encodeURIComponent(view.joint)}/history?points=${POINTS_MOST}&from=${from}`;
    const history = await call<History>('GET', path);
    busy.value = false;
    problem.value = history.ok ? null : history.problem;
    if (!history.ok) return;
    const lines = [...history.value.series, ...history.value.humidity];
    if (lines.some(({ points }) => points.length >= POINTS_MOST)) {
      got.value = { kind: 'tooMany' };
      return;
    }
    const beadMillimetres = view.front?.beadMillimetres ?? null;
    const answer = whatIf(schedule, history.value, (name) => probes.peek().get(name)?.peek(), { startMs, beadMillimetres });
    got.value = { kind: 'counted', answer };
  };
  return (
    <form class="form" onSubmit={count}>
      <Field label={jointText.whatIf.schedule} path="schedule" problem={problem.value}>
        {(attributes) => (
          <select
            {...attributes}
            value={place.value}
            onChange={(event) => {
              place.value = event.currentTarget.value;
              got.value = null;
            }}
          >
            {schedules.value.map(({ name, title, version }, index) => (
              <option key={`${name} ${version}`} value={String(index)}>
                {jointText.whatIf[index === 0 ? 'own' : 'other'](title, String(version))}
              </option>
            ))}
          </select>
        )}
      </Field>
      <ProblemNote problem={problem.value} fields={['schedule']} />
      <button type="submit" class="button" disabled={busy.value || schedules.value.length === 0}>
        {busy.value ? jointText.whatIf.counting : jointText.whatIf.count}
      </button>
      <div role="status">
        {got.value?.kind === 'tooMany' && <p>{jointText.whatIf.tooMany}</p>}
        {got.value?.kind === 'counted' && <Counted answer={got.value.answer} />}
      </div>
    </form>
  );
}

/** The joint's own version of its schedule first, then the newest of all others. */
function useSchedules(joint: string) {
  const schedules = useSignal<readonly Schedule[]>([]);
  const problem = useSignal<Problem | null>(null);
  useEffect(() => {
    const ask = async () => {
      const [own, all] = await Promise.all([
        call<JointSchedule>('GET', `/api/joints/${encodeURIComponent(joint)}/schedule`),
        call<Schedules>('GET', '/api/schedules'),
      ]);
      problem.value = !own.ok ? own.problem : !all.ok ? all.problem : null;
      if (!own.ok || !all.ok) return;
      const { definition } = own.value;
      const isOther = ({ name, version }: Schedule) => name !== definition.name || version !== definition.version;
      schedules.value = [definition, ...all.value.schedules.filter(isOther)];
    };
    void ask();
  }, [joint]);
  return { schedules, problem };
}

function Counted({ answer: { warmHours, stages } }: { answer: Answer }) {
  return (
    <>
      <p class="what-if-hours" data-warm-hours={warmHours}>
        <b>{jointText.whatIf.warm(warmHours.toFixed(3))}</b>
      </p>
      <ul class="what-if-stages">
        {stages.map(({ stage, requiredHours, reachedAtMs }) => (
          <li key={stage} data-stage={stage} data-reached-ms={reachedAtMs ?? ''}>
            {reachedAtMs === null
              ? jointText.whatIf.notReached(text.stage[stage] ?? stage, hoursToGo(requiredHours - warmHours))
              : jointText.whatIf.reached(text.stage[stage] ?? stage, dated(reachedAtMs))}
          </li>
        ))}
      </ul>
    </>
  );
}
