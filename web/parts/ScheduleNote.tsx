import type { JointView } from '../../edge/site/views/joint.ts';
import { difference, hoursPlain, limit } from '../look/format.ts';
import { text } from '../text/text.ts';
import { guardOf, thresholdsOf } from './thresholds.ts';

/** Names a schedule, its version, its reference, its floor and where its figures come from. */
export function ScheduleNote({ view }: { view: JointView }) {
  const { title, version, referenceCelsius, floorCelsius, gapLimitMinutes, source, rateTableSha256 } = view.scheduleDetail;
  const guard = guardOf(view);
  return (
    <div class="schedule-note">
      <p>
        <b>{text.scheduleNote.scheduleVersion(title, version)}</b>
      </p>
      <p>{text.scheduleNote.rule(limit(referenceCelsius), limit(floorCelsius), hoursPlain(gapLimitMinutes))}</p>
      {guard !== null && <p>{text.scheduleNote.guard(difference(guard), thresholdsOf(view).full)}</p>}
      <p class="soft">{text.scheduleNote.source(source)}</p>
      <p class="soft">
        {text.scheduleNote.rateTable} <code>{rateTableSha256.slice(0, 16)}…</code>
      </p>
    </div>
  );
}
