import { Link } from 'wouter-preact';
import type { SumpView } from '../../../edge/site/views/sump.ts';
import { answerLook, type Expected, type FillAnswer, fillAnswer, type JointNow } from '../../answer/sump.ts';
import { now } from '../../live/clock.ts';
import { factsNow } from '../../live/facts.ts';
import { link } from '../../live/link.ts';
import { joints as allJoints } from '../../live/store.ts';
import { expectedMoment, moment } from '../../look/format.ts';
import { Icon } from '../../parts/Icon.tsx';
import { Likely } from '../../parts/Likely.tsx';
import { SilentProbes } from '../../parts/SilentProbes.tsx';
import { text } from '../../text/text.ts';
import { needWords } from './needWords.ts';

export interface AnswerNow {
  readonly present: readonly JointNow[];
  readonly answer: FillAnswer;
  /** When the site was last heard, null while the link is live. */
  readonly lostMs: number | null;
  readonly look: string;
  readonly word: string;
}

/** May the sump be filled for its water test, at this moment? */
export function answerNow(view: SumpView): AnswerNow {
  const joints = view.joints.flatMap((name) => allJoints.value.get(name)?.value ?? []);
  const present: JointNow[] = joints.map((joint) => ({ view: joint, facts: factsNow(joint) }));
  const answer = fillAnswer(present, view);
  const lostMs = link.value.state === 'lost' ? link.value.sinceMs : null;
  const look = answerLook(answer, view.undecided.length, lostMs !== null);
  const word = lostMs !== null ? text.now.answer.unknown : text.now.answer[answer.kind];
  return { present, answer, lostMs, look, word };
}

/** The answer with its reason, and when it would change. */
export function SumpAnswer({ view, now: { present, answer, lostMs, look, word } }: { view: SumpView; now: AnswerNow }) {
  return (
    <>
      <p class="question">{text.now.fill}</p>
      <div role="status">
        <p class="answer">
          {look === 'is-reached' && <Icon name="check" />}
          {look === 'is-failed' && <Icon name="stop" />}
          {word}
        </p>
        {lostMs === null ? <Reason view={view} answer={answer} /> : <LastKnown answer={answer} sinceMs={lostMs} />}
      </div>
      {lostMs === null && answer.kind === 'waits' && view.undecided.length === 0 && (
        <When expected={answer.expected} alone={answer.waitsFor} />
      )}
      {lostMs === null && answer.kind !== 'noJoints' && answer.kind !== 'undecided' && view.undecided.length > 0 && (
        <p class="reason-more">
          <Link href={`/sumps/${encodeURIComponent(view.sump)}#findings`}>{text.now.blocked(view.undecided.length)}</Link>
        </p>
      )}
      {present.map(({ view: joint, facts }) => (
        <SilentProbes key={joint.joint} view={joint} facts={facts} named />
      ))}
    </>
  );
}

function Reason({ view, answer }: { view: SumpView; answer: FillAnswer }) {
  const at = (ms: number) => moment(ms, now.value);
  switch (answer.kind) {
    case 'noJoints':
      return null;
    case 'waits':
      return <p class="reason">{text.now.waitsFor(answer.waitsFor.view.label, answer.more)}</p>;
    case 'missing':
      return <p class="reason">{text.now.missingParts(text.listAnd(answer.parts))}</p>;
    case 'undecided':
      return (
        <p class="reason">
          {text.now.undecided(answer.undecided)}{' '}
          <Link href={`/sumps/${encodeURIComponent(view.sump)}#findings`}>{text.findings.readAll}</Link>
        </p>
      );
    case 'needs':
      return <p class="reason">{text.now.needs(needWords(answer.need, view))}</p>;
    case 'reached':
      return (
        <p class="reason">
          {text.now.reachedAll(answer.joints, at(answer.lastMs))} <b>{text.now.release}</b>
        </p>
      );
    case 'started':
      return <p class="reason">{answer.isEarly ? text.now.testEarly(at(answer.atMs)) : text.now.testStarted(at(answer.atMs))}</p>;
    case 'failed':
      return <p class="reason">{text.now.testFailed[answer.verdict](at(answer.atMs))}</p>;
    case 'passed':
      return <p class="reason">{text.now.testPassed(at(answer.atMs))}</p>;
  }
}

/** With the link down nothing is known of now; what was known is told as past. */
function LastKnown({ answer, sinceMs }: { answer: FillAnswer; sinceMs: number }) {
  if (answer.kind === 'noJoints') return null;
  return (
    <p class="reason">
      {text.now.lastKnown(moment(sinceMs, now.value))} {pastOf(answer)}
    </p>
  );
}

function pastOf(answer: Exclude<FillAnswer, { kind: 'noJoints' }>): string {
  switch (answer.kind) {
    case 'waits':
      return text.now.thenWaits(answer.waitsFor.view.label, answer.more);
    case 'missing':
      return text.now.thenMissing;
    case 'undecided':
    case 'needs':
      return text.now.thenUndecided;
    case 'reached':
      return text.now.thenReached(moment(answer.lastMs, now.value));
    case 'started':
      return text.now.thenStarted;
    case 'failed':
      return text.now.thenFailed;
    case 'passed':
      return text.now.thenPassed(moment(answer.atMs, now.value));
  }
}

function When({ expected, alone }: { expected: Expected; alone: JointNow }) {
  const { label } = expected.joint.view;
  if (expected.kind === 'none') return <p class="when">{text.now.noTime(label, text.now.noTimeWhy[expected.why])}</p>;
  if (expected.kind === 'ahead')
    return (
      <p class="when">
        <Likely times={expected.times} air={expected.air} />
      </p>
    );
  return (
    <p class="when">
      {text.now.ifItStays}
      <b class="when-time">{expectedMoment(expected.atMs, now.value)}</b>
      {expected.joint !== alone && <span>{text.now.last(label)}</span>}
    </p>
  );
}
