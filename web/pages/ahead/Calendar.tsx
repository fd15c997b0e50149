import { Link } from 'wouter-preact';
import type { SumpView } from '../../../edge/site/views/sump.ts';
import { hoursAhead, waitsForDecision } from '../../answer/activity.ts';
import { type CalendarLine, calendarEnd, calendarOf, placeOf } from '../../answer/calendar.ts';
import type { JointNow } from '../../answer/sump.ts';
import { now } from '../../live/clock.ts';
import { mayWrite } from '../../live/session.ts';
import { moment } from '../../look/format.ts';
import { Likely } from '../../parts/Likely.tsx';
import { aheadText } from '../../text/aheadText.ts';
import { Booking } from './Bookings.tsx';
import '../../style/ahead.css';

/** What comes next on a sump and when, one below the other, with what is booked. */
export function Calendar({ view, joints, isLost }: { view: SumpView; joints: readonly JointNow[]; isLost: boolean }) {
  const words = aheadText.booking;
  const lines = calendarOf(view, now.value);
  const endMs = calendarEnd(lines, now.value);
  const hasBars = lines.some(({ ahead, bookings }) => ahead?.kind === 'window' || bookings.length > 0);
  return (
    <>
      {lines.length > 0 && (
        <ol class={isLost ? 'calendar is-stale' : 'calendar'}>
          {lines.map((line) => (
            <Line key={line.activity.activity} line={line} joints={joints} isLost={isLost} endMs={endMs} />
          ))}
        </ol>
      )}
      {hasBars && (
        <p class="calendar-scale" aria-hidden="true">
          <span>{words.now}</span>
          <span>{moment(endMs, now.value)}</span>
        </p>
      )}
      {view.bookings.length === 0 && <p class="soft">{words.none}</p>}
      <Link href={`/plan/${encodeURIComponent(view.sump)}`} class={mayWrite() ? 'button primary' : 'button'}>
        {words.plan}
      </Link>
    </>
  );
}

interface LineProps {
  line: CalendarLine;
  joints: readonly JointNow[];
  isLost: boolean;
  endMs: number;
}

function Line({ line, joints, isLost, endMs }: LineProps) {
  const { activity, bookings } = line;
  const words = aheadText.booking;
  // With the link down the last word on it counts, greyed.
  const times = isLost ? activity.projected : hoursAhead(activity, joints);
  return (
    <li>
      <p>
        <b>{activity.label}</b>
      </p>
      <p>
        {activity.state === 'started' ? (
          words.started
        ) : activity.state === 'ready' ? (
          isLost || words.ready
        ) : times === null ? (
          words.noOutlook
        ) : (
          <Likely times={times} isPast={isLost} />
        )}
      </p>
      {times !== null && bookings.length === 0 && waitsForDecision(activity) && <p class="soft">{words.waitsFor}</p>}
      <Bar line={line} endMs={endMs} isKnown={times !== null} />
      {bookings.map((booking) => (
        <Booking key={booking.seq} booking={booking} isLost={isLost} />
      ))}
    </li>
  );
}

/** From the earliest to the latest, with a stroke at the likely time and a notch at each appointment. The words beside it say it all. */
function Bar({ line: { ahead, bookings }, endMs, isKnown }: { line: CalendarLine; endMs: number; isKnown: boolean }) {
  const place = (ms: number) => placeOf(ms, now.value, endMs);
  const window = isKnown && ahead?.kind === 'window' ? ahead : null;
  if (window === null && bookings.length === 0) return null;
  const from = window === null ? 0 : place(window.earliestMs);
  const to = window === null ? 0 : place(window.latestMs ?? endMs);
  return (
    <div class="calendar-bar" aria-hidden="true">
      {window !== null && (
        <>
          <span class="calendar-window" style={{ '--from': `${from}%`, '--width': `${Math.max(1.5, to - from)}%` }} />
          <span class="calendar-likely" style={{ '--from': `${place(window.likelyMs)}%` }} />
        </>
      )}
      {bookings.map(({ seq, due }) => (
        <span key={seq} class="calendar-due" style={{ '--from': `${place(Date.parse(due))}%` }} />
      ))}
    </div>
  );
}
