import { useSignal } from '@preact/signals';
import { Link } from 'wouter-preact';
import type { WarningView } from '../../../edge/site/views/warning.ts';
import { now } from '../../live/clock.ts';
import { mayWrite } from '../../live/session.ts';
import { offerUndo } from '../../live/undo.ts';
import { moment } from '../../look/format.ts';
import { Icon } from '../../parts/Icon.tsx';
import { lazy } from '../../parts/lazy.tsx';
import { OneTap } from '../../parts/OneTap.tsx';
import { aheadText } from '../../text/aheadText.ts';
import { warningWords, whereOf } from './warningWords.ts';

const Remind = lazy(() => import('./Remind.tsx').then((module) => module.Remind));

const at = (instant: string) => moment(Date.parse(instant), now.value);

/** One warning with what to do about it. What somebody has seen stands smaller. */
export function WarningCard({ warning, isLost }: { warning: WarningView; isLost: boolean }) {
  const { acknowledged, snoozed } = warning;
  const { title, icon, says, todo } = warningWords(warning);
  const words = aheadText.warnings;
  const waits = snoozed !== null && Date.parse(snoozed.until) > now.value;
  const isSmall = acknowledged !== null || waits;
  return (
    <li class={`warning is-${warning.code} ${isSmall ? 'is-seen' : ''}`}>
      <h3>
        <Icon name={icon} />
        {title}
      </h3>
      <p class="warning-says">{says}</p>
      {!isSmall && <p>{todo}</p>}
      {acknowledged !== null && (
        <p class="warning-seen">
          <Icon name="check" />
          {words.seen(acknowledged.by, at(acknowledged.at))}
        </p>
      )}
      {waits && (
        <p class="warning-seen">
          <Icon name="wait" />
          {words.waitsUntil(at(snoozed.until), snoozed.by)}
        </p>
      )}
      <div class="warning-buttons">
        <Way warning={warning} />
        {mayWrite() && !isLost && <Answers warning={warning} title={title} />}
      </div>
    </li>
  );
}

/** Where something can be done about it. */
function Way({ warning: { code, sump, joint } }: { warning: WarningView }) {
  const words = aheadText.warnings;
  if (code === 'reading-stopped')
    return joint === null ? null : (
      <Link href={`/joints/${encodeURIComponent(joint)}`} class="button">
        {words.toJoint}
      </Link>
    );
  return sump === null ? null : (
    <Link href={`/plan/${encodeURIComponent(sump)}`} class="button">
      {words.plan}
    </Link>
  );
}

function Answers({ warning, title }: { warning: WarningView; title: string }) {
  const asking = useSignal(false);
  const words = aheadText.warnings;
  return (
    <>
      {warning.acknowledged === null && (
        <OneTap
          label={words.acknowledge}
          statement={() => ({ kind: 'warning.acknowledged', warning: warning.warning })}
          onRecorded={(seq) => offerUndo(null, seq, words.recordedSeen(title, whereOf(warning)))}
        />
      )}
      <button
        type="button"
        class="button"
        onClick={() => {
          asking.value = true;
        }}
      >
        {words.remind}
      </button>
      {asking.value && (
        <Remind
          warning={warning}
          title={title}
          onClose={() => {
            asking.value = false;
          }}
        />
      )}
    </>
  );
}
