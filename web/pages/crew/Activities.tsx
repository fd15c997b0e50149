import { useSignal } from '@preact/signals';
import { Link } from 'wouter-preact';
import type { ActivityView, NeedView } from '../../../edge/site/views/activity.ts';
import type { SumpView } from '../../../edge/site/views/sump.ts';
import type { JointNow } from '../../answer/sump.ts';
import { mayWrite } from '../../live/session.ts';
import { text } from '../../text/text.ts';
import { ActivityLine } from './ActivityLine.tsx';
import { ActivitySheet } from './ActivitySheet.tsx';

export type Asking =
  | { readonly kind: 'start' | 'done'; readonly activity: ActivityView }
  | { readonly kind: 'hold'; readonly hold: NonNullable<NeedView['hold']> };

/** The whole order of work of a sump, each step with what may be said about it. */
export function Activities({ view, joints, isLost }: { view: SumpView; joints: readonly JointNow[]; isLost: boolean }) {
  const asking = useSignal<Asking | null>(null);
  const missing = view.parts.filter(({ joint }) => joint === null);
  const ask = (what: Asking) => () => {
    asking.value = what;
  };
  return (
    <>
      {missing.length > 0 && (
        <div class="missing-parts">
          <p>{text.work.activities.missingParts(text.listAnd(missing.map(({ label }) => label)))}</p>
          {mayWrite() && (
            <Link href={`/setup#sump-${view.sump}`} class="button">
              {text.work.activities.addJoint}
            </Link>
          )}
        </div>
      )}
      <ol class="activity-list">
        {view.activities.map((activity) => (
          <ActivityLine key={activity.activity} activity={activity} sump={view} joints={joints} isLost={isLost}>
            {mayWrite() && <Buttons activity={activity} ask={ask} />}
          </ActivityLine>
        ))}
      </ol>
      {asking.value !== null && (
        <ActivitySheet
          asking={asking.value}
          sump={view}
          onClose={() => {
            asking.value = null;
          }}
        />
      )}
    </>
  );
}

interface ButtonsProps {
  activity: ActivityView;
  ask: (what: Asking) => () => void;
}

/** A joint is made on its own page, and a test is done by passing it; all else is started and done here. */
function Buttons({ activity, ask }: ButtonsProps) {
  const words = text.work.activities;
  const { state, part, joint, waterTest, needs } = activity;
  const holds = state === 'done' ? [] : needs.flatMap(({ hold, met }) => (hold !== null && !met ? [hold] : []));
  const mayBeDone = state === 'started' && part === null && !waterTest;
  const mayStart = state === 'ready' && part === null;
  // Nobody gets around the water test with a reason.
  const isUntested = needs.some(({ need, met }) => need === 'passed' && !met);
  const mayStartEarly = state === 'waiting' && !isUntested && (part === null || joint !== null);
  const leadsToJoint = joint !== null && state !== 'done';
  if (holds.length === 0 && !mayBeDone && !mayStart && !mayStartEarly && !leadsToJoint) return null;
  return (
    <div class="activity-buttons">
      {holds.map((hold) => (
        <button type="button" class="button" key={hold.hold} onClick={ask({ kind: 'hold', hold })}>
          {words.sign}: {hold.label}
        </button>
      ))}
      {mayStart && (
        <button type="button" class="button primary" onClick={ask({ kind: 'start', activity })}>
          {words.start}
        </button>
      )}
      {mayBeDone && (
        <button type="button" class="button primary" onClick={ask({ kind: 'done', activity })}>
          {words.done}
        </button>
      )}
      {leadsToJoint && (
        <Link href={`/joints/${encodeURIComponent(joint)}`} class="button">
          {words.openJoint}
        </Link>
      )}
      {mayStartEarly && (
        <button type="button" class="button quiet" onClick={ask({ kind: 'start', activity })}>
          {words.startEarly}
        </button>
      )}
    </div>
  );
}
