import type { Signal } from '@preact/signals';
import { Link } from 'wouter-preact';
import type { JointView } from '../../edge/site/views/joint.ts';
import type { SumpView } from '../../edge/site/views/sump.ts';
import { nextOf } from '../answer/activity.ts';
import { type Expected, type JointNow, stressAnswer } from '../answer/sump.ts';
import { now } from '../live/clock.ts';
import { mayWrite } from '../live/session.ts';
import { joints as allJoints } from '../live/store.ts';
import { expectedMoment } from '../look/format.ts';
import { Icon } from '../parts/Icon.tsx';
import { likelyWords } from '../parts/Likely.tsx';
import { lazy } from '../parts/lazy.tsx';
import { text } from '../text/text.ts';
import { ActivityLine } from './crew/ActivityLine.tsx';
import { BackfillLine } from './crew/BackfillLine.tsx';
import { EarlyNotes } from './crew/EarlyNotes.tsx';
import { RainNote } from './crew/RainNote.tsx';
import { type AnswerNow, answerNow, SumpAnswer } from './crew/SumpAnswer.tsx';
import { JointCard } from './JointCard.tsx';

const Bookings = lazy(() => import('./ahead/Bookings.tsx').then((module) => module.Bookings));

/** A sump: the answer first, then what comes next, then the joints that it rests on. */
export function SumpSection({ sump }: { sump: Signal<SumpView> }) {
  const view = sump.value;
  const joints = view.joints.flatMap((name) => allJoints.value.get(name) ?? []);
  const answer = answerNow(view);
  return (
    <section class="sump" aria-labelledby={`sump-${view.sump}`}>
      <div class={`sump-answer ${answer.look}`}>
        <h2 id={`sump-${view.sump}`}>
          <Link href={`/sumps/${encodeURIComponent(view.sump)}`} class="sump-link" aria-label={text.work.sump.open(view.label)}>
            {view.label}
            {view.serial !== null && <span class="soft"> {view.serial}</span>}
            <Icon name="onward" />
          </Link>
        </h2>
        <SumpAnswer view={view} now={answer} />
        {view.bookings.length > 0 && <Bookings view={view} isLost={answer.lostMs !== null} />}
        <EarlyNotes view={view} />
        <RainNote sump={view.sump} />
        {view.parts.length > 0 ? (
          <Next view={view} answer={answer} />
        ) : (
          answer.lostMs === null && answer.present.length > 0 && <StressLine joints={answer.present} />
        )}
        <BackfillLine view={view} isLost={answer.lostMs !== null} />
      </div>
      {joints.length > 0 ? (
        <ul class="joint-list">
          {joints.map((joint) => (
            <JointCard key={joint.peek().joint} joint={joint} />
          ))}
        </ul>
      ) : (
        <div class="joint-list empty">
          <p>{text.now.empty.noJoints}</p>
          {mayWrite() && (
            <Link href={`/setup#sump-${view.sump}`} class="button primary">
              {text.now.empty.addJoint}
            </Link>
          )}
        </div>
      )}
    </section>
  );
}

/** A sump in one line, leading down to the whole of it. */
export function SumpLine({ sump }: { sump: Signal<SumpView> }) {
  const view = sump.value;
  const { answer, lostMs, look, word } = answerNow(view);
  const short = answer.kind === 'noJoints' ? word : text.now.overview(word);
  const isBlocked = lostMs === null && answer.kind !== 'noJoints' && view.undecided.length > 0;
  const more = isBlocked ? text.now.overviewBlocked(short) : short;
  const expected = lostMs === null && !isBlocked && answer.kind === 'waits' ? answer.expected : null;
  return (
    <li>
      <a class={`overview-line ${look}`} href={`#sump-${view.sump}`}>
        <b>{view.label}</b>
        <span class="overview-answer">
          {look === 'is-reached' && <Icon name="check" />}
          {look === 'is-failed' && <Icon name="stop" />}
          {overviewOf(more, expected)}
        </span>
      </a>
    </li>
  );
}

function overviewOf(short: string, expected: Expected | null): string {
  if (expected?.kind === 'held') return text.now.overviewHeld(short, expectedMoment(expected.atMs, now.value));
  return expected?.kind === 'ahead' ? text.now.overviewAhead(short, likelyWords(expected.times, now.value)) : short;
}

/** What comes next in the order of work, with a way to all of it. */
function Next({ view, answer }: { view: SumpView; answer: AnswerNow }) {
  const next = nextOf(view.activities);
  if (next.length === 0) return null;
  return (
    <div class="next-steps">
      <p class="question">{text.work.activities.next}</p>
      <ul>
        {next.map((activity) => (
          <ActivityLine
            key={activity.activity}
            activity={activity}
            sump={view}
            joints={answer.present}
            isLost={answer.lostMs !== null}
          />
        ))}
      </ul>
    </div>
  );
}

function StressLine({ joints }: { joints: readonly JointNow[] }) {
  const { has, waits } = stressAnswer(joints);
  const names = (views: readonly JointView[]) => text.listAnd(views.map((view) => view.label));
  return (
    <p class="stress-line">
      <span class="question">{text.now.stress}</span>
      {waits.length === 0
        ? text.now.stressAll
        : has.length === 0
          ? text.now.stressNone
          : text.now.stressSome(names(has), names(waits))}
    </p>
  );
}
