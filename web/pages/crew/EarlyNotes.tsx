import type { SumpView } from '../../../edge/site/views/sump.ts';
import { startedEarly } from '../../answer/activity.ts';
import { Icon } from '../../parts/Icon.tsx';
import { text } from '../../text/text.ts';

/** What was started before its time on a sump, with who and why, for good. */
export function EarlyNotes({ view }: { view: SumpView }) {
  return startedEarly(view.activities).map(({ activity, label, startedBy, early }) => (
    <p class="why is-void" key={activity}>
      <Icon name="stop" />
      <span>
        <b>{label}</b>: {text.work.activities.early(startedBy ?? '', early?.reason ?? '')}
      </span>
    </p>
  ));
}
