import { useSignal } from '@preact/signals';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { Sheet, SheetActions } from '../../parts/Sheet.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { setupText } from '../../text/setupText.ts';
import { FaultsOf } from '../schedules/fields.tsx';

/** What was recorded and may be taken back. */
export interface OnRecord {
  /** Its place in the ledger. */
  readonly seq: number;
  readonly what: string;
}

interface Props {
  entry: OnRecord;
  about: string;
  /** What follows from it. */
  lead?: string;
  onClose: () => void;
}

/** Asks why something is taken back. The service refuses, in words, where something rests on it. */
export function Withdraw({ entry, about, lead = setupText.setup.takeBack.stays, onClose }: Props) {
  const reason = useSignal('');
  const { busy, problem, record } = useRecord();
  const save = async (event: Event) => {
    event.preventDefault();
    if ((await record({ kind: 'entry.withdrawn', seq: entry.seq, reason: reason.value })) !== null) onClose();
  };
  return (
    <Sheet title={setupText.setup.takeBack.title} about={about} onClose={onClose}>
      <form class="form" onSubmit={save}>
        {entry.what !== about && <p class="quoted">{entry.what}</p>}
        <p>{lead}</p>
        <TextField label={setupText.setup.takeBack.reason} path="reason" problem={problem.value} value={reason} required />
        <FaultsOf problem={problem.value} path="seq" />
        <ProblemNote problem={problem.value} fields={['reason', 'seq']} />
        <SheetActions confirm={setupText.setup.takeBack.confirm} busy={busy.value} onCancel={onClose} />
      </form>
    </Sheet>
  );
}
