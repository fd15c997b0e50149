import { useSignal } from '@preact/signals';
import { setupText } from '../../text/setupText.ts';
import { text } from '../../text/text.ts';

interface Props {
  busy: boolean;
  save: string;
  isChanged: boolean;
  onClose: () => void;
}

const words = setupText.schedules.editor;

/** Saving an editor's content, or leaving it: what was changed is not thrown away by one tap. */
export function EditorEnd({ busy, save, isChanged, onClose }: Props) {
  const isAsking = useSignal(false);
  const leave = () => {
    if (isChanged) isAsking.value = true;
    else onClose();
  };
  if (isAsking.value)
    return (
      <div class="editor-leave" role="alert">
        <p>
          <b>{words.leave}</b>
        </p>
        <div class="form-actions">
          <button type="button" class="button" onClick={onClose}>
            {words.throwAway}
          </button>
          <button
            type="button"
            class="button primary"
            onClick={() => {
              isAsking.value = false;
            }}
          >
            {words.goOn}
          </button>
        </div>
      </div>
    );
  return (
    <>
      {isChanged && <p class="soft">{words.unsaved}</p>}
      <div class="form-actions">
        <button type="submit" class="button primary" disabled={busy}>
          {busy ? text.action.saving : save}
        </button>
        <button type="button" class="button" disabled={busy} onClick={leave}>
          {words.back}
        </button>
      </div>
    </>
  );
}
