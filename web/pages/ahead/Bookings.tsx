import type { BookingView } from '../../../edge/site/views/booking.ts';
import type { SumpView } from '../../../edge/site/views/sump.ts';
import { type BookingLook, bookingLook, tenthsOf } from '../../answer/outlook.ts';
import { now } from '../../live/clock.ts';
import { joints } from '../../live/store.ts';
import { moment } from '../../look/format.ts';
import { Icon, type IconName } from '../../parts/Icon.tsx';
import { aheadText } from '../../text/aheadText.ts';
import '../../style/ahead.css';

const icons: Record<BookingLook, IconName> = {
  held: 'check',
  waits: 'question',
  doubtful: 'warning',
  missed: 'stop',
  unknown: 'lost',
};

/** The appointments of a sump and how they stand. */
export function Bookings({ view, isLost }: { view: SumpView; isLost: boolean }) {
  return (
    <ul class="bookings">
      {view.bookings.map((booking) => (
        <li key={booking.seq}>
          <Booking booking={booking} isLost={isLost} />
        </li>
      ))}
    </ul>
  );
}

/** One appointment: whether it will hold in a word, and why in a sentence. */
export function Booking({ booking, isLost }: { booking: BookingView; isLost: boolean }) {
  const { label, due, chance, decidedBy, waitsFor, safeFrom, note } = booking;
  const words = aheadText.booking;
  const look = bookingLook(booking, isLost);
  const said = [
    words.booked(label, moment(Date.parse(due), now.value)),
    chance === null ? words.noChance : words.chance(aheadText.chance(tenthsOf(chance))),
    ...(decidedBy === null ? [] : [words.decidedBy(joints.value.get(decidedBy)?.value.label ?? decidedBy)]),
  ];
  return (
    <div class={`booking is-${look}`}>
      <p class="booking-look">
        <Icon name={icons[look]} />
        {words.look[look]}
      </p>
      <p>
        {isLost && `${words.past} `}
        {said[0]}: {said.slice(1).join(', ')}.
      </p>
      {look !== 'held' && safeFrom !== null && <p class="soft">{words.safeFrom(moment(Date.parse(safeFrom), now.value))}</p>}
      {waitsFor.length > 0 && <p>{words.waitsFor}</p>}
      {note !== null && <p class="soft">{note}</p>}
    </div>
  );
}
