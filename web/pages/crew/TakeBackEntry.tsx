import { useSignal } from '@preact/signals';
import { dropOfferOf } from '../../live/undo.ts';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { Sheet, SheetActions } from '../../parts/Sheet.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { workText } from '../../text/workText.ts';

interface Props {
  title: string;
  /** What follows from it. */
  lead: string;
  /** The joint or sump that it concerns. */
  about: string;
  /** What is taken back, where the page behind does not say it. */
  what?: string;
  seq: number;
  /** What the button says. */
  confirm?: string;
  onClose: () => void;
}

/** Asks why something that stands on record is taken back. */
export function TakeBackEntry({ title, lead, about, what, seq, confirm = workText.deciding.undoConfirm, onClose }: Props) {
  const reason = useSignal('');
  const { busy, problem, record } = useRecord();
  const save = async (submitted: Event) => {
    submitted.preventDefault();
    if ((await record({ kind: 'entry.withdrawn', seq, reason: reason.value })) === null) return;
    dropOfferOf(seq);
    onClose();
  };
  return (
    <Sheet title={title} about={about} onClose={onClose}>
      <form class="form" onSubmit={save}>
        {what !== undefined && <p class="quoted">{what}</p>}
        <p>{lead}</p>
        <TextField label={workText.deciding.reason} path="reason" problem={problem.value} value={reason} required />
        <ProblemNote problem={problem.value} fields={['reason']} />
        <SheetActions confirm={confirm} busy={busy.value} onCancel={onClose} />
      </form>
    </Sheet>
  );
}
