import { ProblemNote } from '../../parts/form.tsx';
import { claimsText } from '../../text/claimsText.ts';
import { packet, stopPacket } from './packets.ts';

const words = claimsText.packet;

/** Rounded up: nothing that is here is 0.0 MB. */
const megabytes = (bytes: number) => (Math.ceil(bytes / 1e5) / 10).toFixed(1);

/** How the packet on its way gets on, and what became of it. */
export function PacketNote() {
  const now = packet.value;
  return (
    <div class="packet-going">
      <p role="status">{now !== null && saidOf(now)}</p>
      {now?.state === 'going' && (
        <>
          <progress aria-hidden="true" />
          <button type="button" class="button" onClick={stopPacket}>
            {words.cancel}
          </button>
        </>
      )}
      {now?.state === 'refused' && <ProblemNote problem={now.problem} />}
    </div>
  );
}

function saidOf(now: NonNullable<typeof packet.value>): string {
  switch (now.state) {
    case 'going':
      return now.bytes === 0 ? words.making(now.name) : words.coming(now.name, megabytes(now.bytes));
    case 'saved':
      return words.done(now.name, megabytes(now.bytes));
    case 'stopped':
      return words.cancelled;
    case 'broken':
      return words.broken;
    case 'refused':
      return '';
  }
}
