import { type Signal, useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { Link } from 'wouter-preact';
import type { SumpView } from '../../../edge/site/views/sump.ts';
import { type BookingLook, bookingLook, tenthsOf } from '../../answer/outlook.ts';
import type { SumpOutlook } from '../../api/shapes.ts';
import { now } from '../../live/clock.ts';
import { isHeaterOn } from '../../live/facts.ts';
import { mayWrite } from '../../live/session.ts';
import { offerUndo } from '../../live/undo.ts';
import { capital, moment } from '../../look/format.ts';
import { titlesOf } from '../../parts/findingTitles.ts';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { Icon, type IconName } from '../../parts/Icon.tsx';
import { Likely } from '../../parts/Likely.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { aheadText } from '../../text/aheadText.ts';
import { planText } from '../../text/planText.ts';
import { text } from '../../text/text.ts';
import { findingsOf } from './Appointments.tsx';
import { areHoursThere, type Chosen, openActivities, waitsFor } from './aims.ts';
import { PickField } from './PickField.tsx';
import type { ShownAnswer } from './usePlanAnswer.ts';
import { WhenField } from './WhenField.tsx';
import { whenFault } from './when.ts';

const words = planText.aim;
const icons: Record<BookingLook, IconName> = {
  held: 'check',
  waits: 'question',
  doubtful: 'warning',
  missed: 'stop',
  unknown: 'lost',
};

interface Props {
  view: SumpView;
  outlook: SumpOutlook;
  chosen: Signal<Chosen | null>;
  choice: Chosen;
  shown: ShownAnswer;
  isLost: boolean;
}

/** What is to be done and when; how sure that is stands below at once, and it can be booked. */
export function AimForm({ view, outlook, chosen, choice, shown, isLost }: Props) {
  const { busy, problem, record } = useRecord();
  const note = useSignal('');
  const open = openActivities(view);
  const { activity, dueMs } = choice;
  const label = open.find((each) => each.activity === activity)?.label ?? activity;
  const booked = view.bookings.find((each) => each.activity === activity);
  const isSame = booked !== undefined && Date.parse(booked.due) === dueMs;
  const isPassed = whenFault(dueMs, now.value) === 'passed';
  const { answer, standing } = shown;
  // Whoever moves an appointment still means what was noted with it.
  const noted = booked?.note ?? '';
  useEffect(() => {
    note.value = noted;
  }, [activity, booked?.seq]);
  const choose = (change: Partial<Chosen>) => {
    chosen.value = { ...choice, ...change };
  };
  const save = async (event: Event) => {
    event.preventDefault();
    const recorded = await record({
      kind: 'booking.made',
      sump: view.sump,
      activity,
      due: new Date(dueMs).toISOString(),
      ...(note.value.trim() === '' ? {} : { note: note.value.trim() }),
    });
    if (recorded === null) return;
    offerUndo(null, recorded.seq, words.booked(label, view.label, moment(dueMs, now.value)));
  };
  return (
    <form class="form" onSubmit={save}>
      <div class="plan-fields">
        <PickField
          label={words.activity}
          path="activity"
          problem={problem.value}
          options={open.map((each) => ({ value: each.activity, label: each.label }))}
          value={activity}
          onChange={(value) => choose({ activity: value })}
        />
        <WhenField
          label={words.due}
          path="due"
          problem={problem.value}
          atMs={dueMs}
          nowMs={now.value}
          fault={isPassed ? words.passed : null}
          onChange={(value) => choose({ dueMs: value })}
        />
      </div>
      <Verdict view={view} outlook={outlook} activity={activity} shown={shown} isLost={isLost} />
      {standing !== 'first' && answer.safeFromMs !== null && answer.safeFromMs > now.value && answer.safeFromMs !== dueMs && (
        <button type="button" class="button" onClick={() => choose({ dueMs: answer.safeFromMs ?? dueMs })}>
          {words.takeSafe(moment(answer.safeFromMs, now.value))}
        </button>
      )}
      {mayWrite() && !isSame && !isLost && <TextField label={words.note} path="note" problem={problem.value} value={note} />}
      <ProblemNote problem={problem.value} fields={['activity', 'due', 'note']} />
      {isSame ? (
        <p class="soft">{words.same}</p>
      ) : (
        mayWrite() &&
        (isLost ? (
          <p>{planText.noSaving}</p>
        ) : (
          <>
            <button type="submit" class="button primary" disabled={busy.value || isPassed || standing === 'first'}>
              {busy.value ? text.action.saving : booked === undefined ? words.book : words.move}
            </button>
            {isPassed ? <p class="fault">{words.bookPassed}</p> : standing === 'first' && <p class="soft">{words.bookWorking}</p>}
          </>
        ))
      )}
    </form>
  );
}

interface VerdictProps extends Omit<Props, 'chosen' | 'choice'> {
  activity: string;
}

/** How sure it is, in a word with its mark, in a chance and in times. */
function Verdict({ view, outlook, activity, shown: { answer, standing, isAnew }, isLost }: VerdictProps) {
  const waits = waitsFor(view, activity);
  const { chance, decidedBy, ready, safeFromMs, joints } = answer;
  const look = bookingLook({ chance, waitsFor: [...waits] }, isLost);
  const labelOf = (joint: string) => outlook.joints.find((each) => each.joint === joint)?.label ?? joint;
  const isThere = areHoursThere(ready, now.value);
  const isHeated = joints.some(({ joint, ready: own }) => isHeaterOn(joint) && !areHoursThere(own, now.value));
  return (
    <div class={`booking is-${look}`} role="status" aria-busy={standing !== 'full'} data-full={standing === 'full'}>
      <p class="booking-look">
        <Icon name={icons[look]} />
        {aheadText.booking.look[look]}
      </p>
      {isLost && <p>{words.past}</p>}
      {isThere ? (
        <p>{words.there}</p>
      ) : (
        <>
          {chance === null && decidedBy !== null && <p>{words.waitsOn(labelOf(decidedBy))}</p>}
          {chance !== null && (
            <p class="plan-chance">
              <b>{capital(words.says(aheadText.chance(tenthsOf(chance))))}</b>{' '}
              {decidedBy !== null && words.decides(labelOf(decidedBy))}
            </p>
          )}
          <p>
            <Likely times={ready} isPast={isLost} isHeated={isHeated} />
          </p>
          {ready.reason === 'not-laid-up' && (
            <a href="#lay-up-title" class="plan-link">
              {words.toLayUp}
            </a>
          )}
          {chance !== null && <p>{safeFromMs === null ? words.safeNone : words.safe(moment(safeFromMs, now.value))}</p>}
        </>
      )}
      {standing === 'first' && <p class="soft">{planText.help.quick}</p>}
      {isAnew && <p class="soft">{planText.help.anew}</p>}
      {waits.length > 0 && (
        <div>
          <p>{planText.appointments.waits(titlesOf(findingsOf(view), waits))}</p>
          <Link href={`/sumps/${encodeURIComponent(view.sump)}#findings`} class="plan-link">
            {planText.appointments.decide}
          </Link>
        </div>
      )}
      {joints.length > 1 && (
        <details class="more">
          <summary>{words.each}</summary>
          <dl class="facts">
            {joints.map(({ joint, ready: own }) => (
              <div key={joint}>
                <dt>{labelOf(joint)}</dt>
                <dd>
                  {own.reason === null && own.likely === null ? (
                    words.there
                  ) : (
                    <Likely times={own} isPast={isLost} isHeated={isHeaterOn(joint)} />
                  )}
                </dd>
              </div>
            ))}
          </dl>
        </details>
      )}
    </div>
  );
}
