import type { ComponentChildren } from 'preact';
import { useEffect, useId, useRef } from 'preact/hooks';
import { text } from '../text/text.ts';
import { Icon } from './Icon.tsx';
import '../style/sheet.css';

interface Props {
  title: string;
  /** What it is about, such as a joint with its sump. */
  about?: string;
  onClose: () => void;
  children: ComponentChildren;
}

const FIRST_FIELD = ':is(input, select, textarea, fieldset button):not(:disabled)';

/** A modal panel: from the bottom edge on a phone, in the middle on a desk. Escape and the cross close it. */
export function Sheet({ title, about, onClose, children }: Props) {
  const dialog = useRef<HTMLDialogElement>(null);
  const heading = useId();
  useEffect(() => {
    const opened = dialog.current;
    opened?.showModal();
    // The browser would take the cross, which stands first.
    opened?.querySelector<HTMLElement>(FIRST_FIELD)?.focus();
    // Closed before it is taken away: only then does the browser give the focus back to where it was.
    return () => opened?.close();
  }, []);
  return (
    <dialog ref={dialog} class="sheet" aria-labelledby={heading} onClose={onClose}>
      <div class="sheet-top">
        <h2 id={heading}>
          {title}
          {about !== undefined && <span class="sheet-about"> {about}</span>}
        </h2>
        <button type="button" class="button quiet square" aria-label={text.action.close} onClick={() => dialog.current?.close()}>
          <Icon name="close" />
        </button>
      </div>
      {children}
    </dialog>
  );
}

interface ActionsProps {
  /** What the main button says. */
  confirm: string;
  busy: boolean;
  disabled?: boolean;
  /** Left out in a form, which is sent. */
  onConfirm?: () => void;
  onCancel: () => void;
  /** What the way out says, where it calls nothing off. */
  cancel?: string;
}

/** The main button and the way out, in sight however long the sheet is. Nothing is called off while it is being saved. */
export function SheetActions({ confirm, busy, disabled = false, onConfirm, onCancel, cancel }: ActionsProps) {
  return (
    <div class="sheet-actions">
      <button
        type={onConfirm === undefined ? 'submit' : 'button'}
        class="button primary"
        disabled={busy || disabled}
        onClick={onConfirm}
      >
        {busy ? text.action.saving : confirm}
      </button>
      <button type="button" class="button" disabled={busy} onClick={onCancel}>
        {cancel ?? text.action.cancel}
      </button>
    </div>
  );
}
