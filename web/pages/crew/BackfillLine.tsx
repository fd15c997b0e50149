import type { SumpView } from '../../../edge/site/views/sump.ts';
import { type Backfill, backfillDoubt, backfillOf } from '../../answer/activity.ts';
import { Icon, type IconName } from '../../parts/Icon.tsx';
import { text } from '../../text/text.ts';

const icons: Record<Backfill, IconName> = {
  open: 'check',
  started: 'working',
  untested: 'wait',
  undecided: 'warning',
  waits: 'wait',
  unknown: 'lost',
  done: 'check',
};

/** Whether the sump may be backfilled. */
export function BackfillLine({ view, isLost }: { view: SumpView; isLost: boolean }) {
  const state = backfillOf(view.activities, isLost);
  if (state === null) return null;
  const doubt = backfillDoubt(view.activities);
  const words = text.work.activities;
  return (
    <p class={`backfill is-${doubt === null ? state : 'undecided'}`}>
      <Icon name={doubt === null ? icons[state] : 'warning'} />
      <span>
        {words.backfill[state]} {doubt !== null && <b>{words.doubt[doubt]}</b>}
      </span>
    </p>
  );
}
