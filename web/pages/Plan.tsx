import { type Signal, useSignal } from '@preact/signals';
import { useEffect, useMemo, useState } from 'preact/hooks';
import { Link } from 'wouter-preact';
import type { SumpView } from '../../edge/site/views/sump.ts';
import type { SumpOutlook } from '../api/shapes.ts';
import { useRemembered } from '../live/asked.ts';
import { now } from '../live/clock.ts';
import { linkLost } from '../live/facts.ts';
import { joints as allJoints, head, siteZone, sumps } from '../live/store.ts';
import { moment, span } from '../look/format.ts';
import { Caution } from '../parts/Caution.tsx';
import { ProblemNote } from '../parts/form.tsx';
import { Icon } from '../parts/Icon.tsx';
import { Missing } from '../parts/Missing.tsx';
import { planText } from '../text/planText.ts';
import { text } from '../text/text.ts';
import { AimForm } from './plan/AimForm.tsx';
import { Appointments } from './plan/Appointments.tsx';
import { aimOf, type Chosen, firstChoice, lateJoints } from './plan/aims.ts';
import { Help } from './plan/Help.tsx';
import { heaterOf } from './plan/heats.ts';
import { FIRST_DRAFT, type HelpDraft } from './plan/helpDraft.ts';
import { JointAhead } from './plan/JointAhead.tsx';
import { LayUpAhead } from './plan/LayUpAhead.tsx';
import type { Proposal } from './plan/planAnswer.ts';
import { Solver } from './plan/solver.ts';
import { usePlanAnswer } from './plan/usePlanAnswer.ts';
import { SolverContext } from './plan/useSolved.ts';
import '../style/joint.css';
import '../style/plan.css';

const MINUTE_MS = 60_000;

/** When the next step of a sump can be, how sure that is, and what would help. */
export function PlanPage({ sump }: { sump: string }) {
  const found = sumps.value.get(sump);
  if (head.value === null) return <p class="waiting">{text.page.waiting}</p>;
  if (found === undefined) return <Missing words={text.work.sump.missing} />;
  return <Known sump={found} />;
}

function Known({ sump }: { sump: Signal<SumpView> }) {
  const view = sump.value;
  const { answer, problem } = useRemembered<SumpOutlook>(`/api/sumps/${encodeURIComponent(view.sump)}/outlook`);
  const chosen = useSignal<Chosen | null>(firstChoice(view, now.peek(), siteZone()));
  const [solver, setSolver] = useState<Solver | null>(null);
  useEffect(() => {
    const opened = new Solver();
    setSolver(opened);
    return () => opened.close();
  }, []);
  const isLost = linkLost();
  const outlook = answer;
  return (
    <SolverContext.Provider value={solver}>
      <div class="page plan-page">
        <div class="joint-head">
          <Link href={`/sumps/${encodeURIComponent(view.sump)}`} class="back">
            <Icon name="back" />
            {view.label}
          </Link>
          <h1 tabIndex={-1}>{planText.title(view.label)}</h1>
          {outlook !== null && <AsOf outlook={outlook} isLost={isLost} />}
          <Link href="/weather" class="plan-weather">
            {planText.weather}
            <Icon name="onward" />
          </Link>
        </div>
        <Appointments view={view} isLost={isLost} chosen={chosen} />
        <ProblemNote problem={isLost ? null : problem} />
        {outlook !== null ? (
          <Looked view={view} outlook={outlook} chosen={chosen} isLost={isLost} />
        ) : (
          (isLost || problem === null) && <p class="waiting">{isLost ? planText.notYet : planText.loading}</p>
        )}
        <Caution />
      </div>
    </SolverContext.Provider>
  );
}

function AsOf({ outlook, isLost }: { outlook: SumpOutlook; isLost: boolean }) {
  const atMs = Date.parse(outlook.asOf);
  const [at, age] = [moment(atMs, now.value), text.ago(span(now.value - atMs))];
  return <p class={isLost ? 'plan-past' : 'soft'}>{isLost ? planText.past(at, age) : planText.asOf(at, age)}</p>;
}

interface LookedProps {
  view: SumpView;
  outlook: SumpOutlook;
  chosen: Signal<Chosen | null>;
  isLost: boolean;
}

function Looked({ view, outlook, chosen, isLost }: LookedProps) {
  const choice = chosen.value;
  return (
    <>
      {choice === null ? (
        <section class="panel">
          <p>{planText.aim.noneLeft}</p>
        </section>
      ) : (
        <Aimed view={view} outlook={outlook} chosen={chosen} choice={choice} isLost={isLost} />
      )}
      <LayUpAhead outlook={outlook} dueMs={choice?.dueMs ?? null} />
    </>
  );
}

function Aimed({ view, outlook, chosen, choice, isLost }: LookedProps & { choice: Chosen }) {
  const draft = useSignal<HelpDraft>(FIRST_DRAFT);
  const activity = view.activities.find((each) => each.activity === choice.activity);
  const reason = activity?.projected?.reason;
  const aim = useMemo(() => aimOf(outlook, choice, activity), [outlook, choice.activity, choice.dueMs, reason]);
  const shown = usePlanAnswer(outlook, aim, null);
  const { answer } = shown;
  const { way, joints, holdCelsius, heater: kind, thermostatCelsius, fromMs } = draft.value;
  const minuteMs = Math.floor(now.value / MINUTE_MS) * MINUTE_MS;
  // The same list is the same object, so that nothing is worked out twice.
  const listed = (joints ?? lateJoints(answer, aim, minuteMs)).filter((name) => aim.needs.some(({ joint }) => joint === name));
  const chosenJoints = useMemo(() => listed, [listed.join(' ')]);
  const thermostat = kind === 'set' ? thermostatCelsius : null;
  const heated = chosenJoints.filter((name) => allJoints.value.get(name)?.value.heating?.what === 'heater').join(' ');
  const heater = useMemo(
    () => heaterOf(outlook, chosenJoints, thermostat, heated.split(' ')),
    [outlook, chosenJoints, thermostat, heated],
  );
  const startMs = Math.max(fromMs ?? minuteMs, Date.parse(outlook.asOf));
  const proposal = useMemo((): Proposal | null => {
    if (chosenJoints.length === 0) return null;
    const change =
      way === 'hold'
        ? { hold: { fromMs: startMs, milliC: Math.round(holdCelsius * 1000) } }
        : { heat: { fromMs: startMs, heat: heater.heat } };
    return { joints: chosenJoints, change };
  }, [chosenJoints, way, startMs, holdCelsius, heater]);
  return (
    <div class="plan-columns">
      <section class="panel plan-aim" aria-labelledby="aim-title">
        <h2 id="aim-title">{planText.aim.title}</h2>
        <AimForm view={view} outlook={outlook} chosen={chosen} choice={choice} shown={shown} isLost={isLost} />
      </section>
      <Help
        view={view}
        outlook={outlook}
        aim={aim}
        before={answer}
        draft={draft}
        proposal={proposal}
        chosenJoints={chosenJoints}
        heater={heater}
        isLost={isLost}
      />
      <JointAhead outlook={outlook} aim={aim} answer={answer} proposal={draft.value === FIRST_DRAFT ? null : proposal} />
    </div>
  );
}
