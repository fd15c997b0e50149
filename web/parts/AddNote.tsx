import { useSignal } from '@preact/signals';
import { jointInSump, jointOfSump } from '../live/store.ts';
import { offerUndo } from '../live/undo.ts';
import { jointText } from '../text/jointText.ts';
import { sayingText } from '../text/sayingText.ts';
import { Field, ProblemNote, typed, useRecord } from './form.tsx';
import { Sheet, SheetActions } from './Sheet.tsx';

/** A remark on a joint, kept with its history. */
export function AddNote({ joint, onClose }: { joint: string; onClose: () => void }) {
  const written = useSignal('');
  const { busy, problem, record } = useRecord();
  const save = async (event: Event) => {
    event.preventDefault();
    const recorded = await record({ kind: 'note.added', joint, text: written.value });
    if (recorded === null) return;
    offerUndo(joint, recorded.seq, sayingText.recorded.note(jointInSump(joint)));
    onClose();
  };
  return (
    <Sheet title={jointText.noteTitle} about={jointOfSump(joint)} onClose={onClose}>
      <form class="form" onSubmit={save}>
        <Field label={jointText.noteText} path="text" problem={problem.value}>
          {(attributes) => (
            <textarea
              {...attributes}
              required
              maxLength={2000}
              value={written.value}
              onInput={(event) => {
                written.value = typed(event);
              }}
            />
          )}
        </Field>
        <ProblemNote problem={problem.value} fields={['text']} />
        <SheetActions confirm={jointText.noteSave} busy={busy.value} onCancel={onClose} />
      </form>
    </Sheet>
  );
}
