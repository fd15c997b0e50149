import type { ComponentChildren } from 'preact';
import { useEffect, useId, useRef } from 'preact/hooks';
import { text } from '../text/text.ts';
import { Icon } from './Icon.tsx';

/** A modal panel: from the bottom edge on a phone, in the middle on a desk. Escape and the cross close it. */
export function Sheet({ title, onClose, children }: { title: string; onClose: () => void; children: ComponentChildren }) {
  const dialog = useRef<HTMLDialogElement>(null);
  const heading = useId();
  useEffect(() => {
    const opened = dialog.current;
    opened?.showModal();
    // Closed before it is taken away: only then does the browser give the focus back to where it was.
    return () => opened?.close();
  }, []);
  return (
    <dialog ref={dialog} class="sheet" aria-labelledby={heading} onClose={onClose}>
      <div class="sheet-top">
        <h2 id={heading}>{title}</h2>
        <button type="button" class="button quiet square" aria-label={text.action.close} onClick={() => dialog.current?.close()}>
          <Icon name="close" />
        </button>
      </div>
      {children}
    </dialog>
  );
}
