import type { Signal } from '@preact/signals';
import { Link } from 'wouter-preact';
import type { BookingView } from '../../../edge/site/views/booking.ts';
import type { SumpView } from '../../../edge/site/views/sump.ts';
import { now } from '../../live/clock.ts';
import { isHeaterOn } from '../../live/facts.ts';
import { mayWrite } from '../../live/session.ts';
import { joints as allJoints } from '../../live/store.ts';
import { offerUndo } from '../../live/undo.ts';
import { moment } from '../../look/format.ts';
import { titlesOf } from '../../parts/findingTitles.ts';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { Likely } from '../../parts/Likely.tsx';
import { planText } from '../../text/planText.ts';
import { Booking } from '../ahead/Bookings.tsx';
import type { Chosen } from './aims.ts';

const words = planText.appointments;

interface Props {
  view: SumpView;
  isLost: boolean;
  chosen: Signal<Chosen | null>;
}

/** What is booked for this sump, how each appointment stands, and ways to change that. */
export function Appointments({ view, isLost, chosen }: Props) {
  if (view.bookings.length === 0) return null;
  return (
    <section class="panel" aria-labelledby="appointments-title">
      <h2 id="appointments-title">{words.title}</h2>
      <ul class="appointments">
        {view.bookings.map((booking) => (
          <li key={booking.seq}>
            <Appointment booking={booking} view={view} isLost={isLost} chosen={chosen} />
          </li>
        ))}
      </ul>
    </section>
  );
}

function Appointment({ booking, view, isLost, chosen }: Props & { booking: BookingView }) {
  const { busy, problem, record } = useRecord();
  const { activity, label, due, by, ready, waitsFor } = booking;
  const dueMs = Date.parse(due);
  const at = moment(dueMs, now.value);
  const isShown = chosen.value?.activity === activity && chosen.value.dueMs === dueMs;
  const cancel = async () => {
    const recorded = await record({ kind: 'booking.cancelled', sump: view.sump, activity });
    if (recorded !== null) offerUndo(null, recorded.seq, words.cancelled(label, view.label));
  };
  return (
    <>
      <Booking booking={booking} isLost={isLost} />
      {ready.likely !== null && Date.parse(ready.likely) > now.value && (
        <p>
          <Likely times={ready} isPast={isLost} isHeated={view.joints.some(isHeaterOn)} />
        </p>
      )}
      {waitsFor.length > 0 && (
        <div>
          <p>{words.waits(titlesOf(findingsOf(view), waitsFor))}</p>
          <Link href={`/sumps/${encodeURIComponent(view.sump)}#findings`} class="plan-link">
            {words.decide}
          </Link>
        </div>
      )}
      <p class="soft">{words.by(by)}</p>
      <div class="plan-buttons">
        {isShown ? (
          <p class="soft">{words.showing}</p>
        ) : (
          <button
            type="button"
            class="button"
            aria-label={words.lookLabel(label, at)}
            onClick={() => {
              chosen.value = { activity, dueMs };
            }}
          >
            {words.look}
          </button>
        )}
        {mayWrite() && !isLost && (
          <button type="button" class="button" aria-label={words.cancelLabel(label, at)} disabled={busy.value} onClick={cancel}>
            {words.cancel}
          </button>
        )}
      </div>
      <ProblemNote problem={problem.value} />
    </>
  );
}

/** Of the sump and all its joints. */
export const findingsOf = (view: SumpView) => [
  ...view.findings,
  ...view.joints.flatMap((name) => allJoints.value.get(name)?.value.findings ?? []),
];
