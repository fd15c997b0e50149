import type { Signal } from '@preact/signals';
import { Link } from 'wouter-preact';
import type { JointView, SumpView } from '../../edge/site/views.ts';
import { type Expected, type FillAnswer, fillAnswer, type JointNow, stressAnswer } from '../answer/sump.ts';
import { now } from '../live/clock.ts';
import { factsNow } from '../live/facts.ts';
import { link } from '../live/link.ts';
import { mayWrite } from '../live/session.ts';
import { joints as allJoints } from '../live/store.ts';
import { expectedMoment, moment } from '../look/format.ts';
import { Icon } from '../parts/Icon.tsx';
import { SilentProbes } from '../parts/SilentProbes.tsx';
import { text } from '../text/text.ts';
import { JointCard } from './JointCard.tsx';

/** A sump: the answer first, then the joints that it rests on. */
export function SumpSection({ sump }: { sump: Signal<SumpView> }) {
  const view = sump.value;
  const joints = view.joints.flatMap((name) => allJoints.value.get(name) ?? []);
  return (
    <section class="sump" aria-labelledby={`sump-${view.sump}`}>
      <SumpAnswer view={view} />
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

/** A sump's answer as it is now: `lostMs` is when the site was last heard, null while the link is live. */
function answerNow(view: SumpView) {
  const joints = view.joints.flatMap((name) => allJoints.value.get(name)?.value ?? []);
  const present: JointNow[] = joints.map((joint) => ({ view: joint, facts: factsNow(joint) }));
  const answer = fillAnswer(present, view.slowestJoint);
  const lostMs = link.value.state === 'lost' ? link.value.sinceMs : null;
  const look = lostMs !== null ? 'is-unknown' : answer.kind === 'reached' ? 'is-reached' : 'is-waiting';
  const word = lostMs !== null ? text.now.answer.unknown : text.now.answer[answer.kind];
  return { present, answer, lostMs, look, word };
}

/** A sump in one line, leading down to the whole of it. */
export function SumpLine({ sump }: { sump: Signal<SumpView> }) {
  const view = sump.value;
  const { answer, lostMs, look, word } = answerNow(view);
  const short = answer.kind === 'noJoints' ? word : text.now.overview(word);
  const held = lostMs === null && answer.kind === 'waits' && answer.expected.kind === 'held' ? answer.expected.atMs : null;
  return (
    <li>
      <a class={`overview-line ${look}`} href={`#sump-${view.sump}`}>
        <b>{view.label}</b>
        <span class="overview-answer">
          {look === 'is-reached' && <Icon name="check" />}
          {held === null ? short : text.now.overviewHeld(short, expectedMoment(held, now.value))}
        </span>
      </a>
    </li>
  );
}

function SumpAnswer({ view }: { view: SumpView }) {
  const { present, answer, lostMs, look, word } = answerNow(view);
  return (
    <div class={`sump-answer ${look}`}>
      <h2 id={`sump-${view.sump}`}>
        {view.label}
        {view.serial !== null && <span class="soft"> {view.serial}</span>}
      </h2>
      <p class="question">{text.now.fill}</p>
      <div role="status">
        <p class="answer">
          {look === 'is-reached' && <Icon name="check" />}
          {word}
        </p>
        {lostMs === null ? <Reason answer={answer} /> : <LastKnown answer={answer} sinceMs={lostMs} />}
      </div>
      {lostMs === null && answer.kind === 'waits' && <When expected={answer.expected} alone={answer.waitsFor} />}
      {present.map(({ view: joint, facts }) => (
        <SilentProbes key={joint.joint} view={joint} facts={facts} named />
      ))}
      {lostMs === null && present.length > 0 && <StressLine joints={present} />}
    </div>
  );
}

function Reason({ answer }: { answer: FillAnswer }) {
  if (answer.kind === 'noJoints') return null;
  if (answer.kind === 'waits') return <p class="reason">{text.now.waitsFor(answer.waitsFor.view.label, answer.more)}</p>;
  return (
    <p class="reason">
      {text.now.reachedAll(answer.joints, moment(answer.lastMs, now.value))} <b>{text.now.release}</b>
    </p>
  );
}

/** With the link down nothing is known of now; what was known is told as past. */
function LastKnown({ answer, sinceMs }: { answer: FillAnswer; sinceMs: number }) {
  if (answer.kind === 'noJoints') return null;
  return (
    <p class="reason">
      {text.now.lastKnown(moment(sinceMs, now.value))}{' '}
      {answer.kind === 'reached'
        ? text.now.thenReached(moment(answer.lastMs, now.value))
        : text.now.thenWaits(answer.waitsFor.view.label, answer.more)}
    </p>
  );
}

function When({ expected, alone }: { expected: Expected; alone: JointNow }) {
  const { label } = expected.joint.view;
  if (expected.kind === 'none') return <p class="when">{text.now.noTime(label, text.now.noTimeWhy[expected.why])}</p>;
  return (
    <p class="when">
      {text.now.ifItStays}
      <b class="when-time">{expectedMoment(expected.atMs, now.value)}</b>
      {expected.joint !== alone && <span>{text.now.last(label)}</span>}
    </p>
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
