import { useSignal } from '@preact/signals';
import { useId } from 'preact/hooks';
import type { HistoryEvent } from '../api/shapes.ts';
import { jointOfSump } from '../live/store.ts';
import { dropOfferOf } from '../live/undo.ts';
import { Group, ProblemNote, useRecord } from '../parts/form.tsx';
import { Sheet, SheetActions } from '../parts/Sheet.tsx';
import { TextField } from '../parts/TextField.tsx';
import { jointText } from '../text/jointText.ts';
import { EventWords } from './EventWords.tsx';

interface Props {
  event: HistoryEvent & { readonly seq: number };
  joint: string;
  onClose: () => void;
}

/** Asks why something that was said about a joint is taken back. The usual reasons take one tap. */
export function TakeBack({ event, joint, onClose }: Props) {
  const reason = useSignal('');
  const name = useId();
  const { busy, problem, record } = useRecord();
  const { takeBackReasons, takeBackWrongProbe, takeBackNotDone } = jointText;
  const own = event.kind === 'assigned' ? [takeBackWrongProbe] : event.kind === 'heating' ? [takeBackNotDone] : [];
  const reasons = [...own, ...takeBackReasons];
  const save = async (submitted: Event) => {
    submitted.preventDefault();
    if ((await record({ kind: 'entry.withdrawn', seq: event.seq, reason: reason.value })) === null) return;
    dropOfferOf(event.seq);
    onClose();
  };
  return (
    <Sheet title={jointText.takeBackTitle} about={jointOfSump(joint)} onClose={onClose}>
      <form class="form" onSubmit={save}>
        <div class="event-taken">
          <EventWords event={event} />
        </div>
        <p>
          {event.kind !== 'note' && jointText.takeBackHours} {jointText.takeBackStays}
        </p>
        <Group label={jointText.takeBackWhy} path="" problem={null}>
          <div class="choice-row">
            {reasons.map((each) => (
              <label key={each}>
                <input
                  type="radio"
                  name={name}
                  checked={reason.value === each}
                  onChange={() => {
                    reason.value = each;
                  }}
                />
                <span>{each}</span>
              </label>
            ))}
          </div>
        </Group>
        <TextField label={jointText.takeBackReason} path="reason" problem={problem.value} value={reason} required />
        <ProblemNote problem={problem.value} fields={['reason']} />
        <SheetActions confirm={jointText.takeBackConfirm} busy={busy.value} onCancel={onClose} />
      </form>
    </Sheet>
  );
}
