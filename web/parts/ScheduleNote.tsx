import type { JointView } from '../../edge/site/views/joint.ts';
import { difference, hoursPlain, limit } from '../look/format.ts';
import { scheduleText } from '../text/scheduleText.ts';
import { guardOf, thresholdsOf } from './thresholds.ts';

/** Names a schedule, its version, its reference, its floor and where its figures come from. */
export function ScheduleNote({ view }: { view: JointView }) {
  const { title, version, referenceCelsius, floorCelsius, gapLimitMinutes, source, rateTableSha256 } = view.scheduleDetail;
  const guard = guardOf(view);
  return (
    <div class="schedule-note">
      <p>
        <b>{scheduleText.scheduleVersion(title, version)}</b>
      </p>
      <p>{scheduleText.rule(limit(referenceCelsius), limit(floorCelsius), hoursPlain(gapLimitMinutes))}</p>
      {guard !== null && <p>{scheduleText.guard(difference(guard), thresholdsOf(view).full)}</p>}
      <p class="soft">{scheduleText.source(source)}</p>
      <p class="soft">
        {scheduleText.rateTable} <code>{rateTableSha256.slice(0, 16)}…</code>
      </p>
    </div>
  );
}
