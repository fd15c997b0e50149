import { useSignal } from '@preact/signals';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { Sheet, SheetActions } from '../../parts/Sheet.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { setupText } from '../../text/setupText.ts';

/** What was recorded and may be taken back. */
export interface OnRecord {
  /** Its place in the ledger. */
  readonly seq: number;
  readonly what: string;
}

/** Asks why something on a probe is taken back. */
export function Withdraw({ entry, about, onClose }: { entry: OnRecord; about: string; onClose: () => void }) {
  const reason = useSignal('');
  const { busy, problem, record } = useRecord();
  const save = async (event: Event) => {
    event.preventDefault();
    if ((await record({ kind: 'entry.withdrawn', seq: entry.seq, reason: reason.value })) !== null) onClose();
  };
  return (
    <Sheet title={setupText.setup.takeBack.title} about={about} onClose={onClose}>
      <form class="form" onSubmit={save}>
        <p class="quoted">{entry.what}</p>
        <p>{setupText.setup.takeBack.stays}</p>
        <TextField label={setupText.setup.takeBack.reason} path="reason" problem={problem.value} value={reason} required />
        <ProblemNote problem={problem.value} fields={['reason']} />
        <SheetActions confirm={setupText.setup.takeBack.confirm} busy={busy.value} onCancel={onClose} />
      </form>
    </Sheet>
  );
}
