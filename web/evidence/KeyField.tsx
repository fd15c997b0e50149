import { useId, useState } from 'preact/hooks';
import { verifyText } from '../text/verifyText.ts';
import '../style/fields.css';

const words = verifyText.key;

interface Props {
  /** As it was compared with last. */
  trustedKey: string | null;
  onKey: (trustedKey: string | null) => void;
}

/** A fingerprint that the reader got another way. It is handed on as soon as it is one. */
export function KeyField({ trustedKey, onKey }: Props) {
  const id = useId();
  const [typed, setTyped] = useState(trustedKey ?? '');
  const [fault, setFault] = useState<string | null>(null);
  const take = (said: string) => {
    const wrong = faultOf(said);
    setFault(wrong);
    if (wrong === null) onKey(said.trim() === '' ? null : said.trim());
  };
  return (
    <form
      class={`key-field ${fault === null ? '' : 'has-fault'}`}
      onSubmit={(event) => {
        event.preventDefault();
        take(typed);
      }}
    >
      <label for={id}>{words.label}</label>
      <div class="key-line">
        <input
          id={id}
          type="text"
          autocomplete="off"
          autocapitalize="off"
          spellcheck={false}
          aria-describedby={`${id}-hint`}
          aria-invalid={fault !== null}
          value={typed}
          onInput={({ currentTarget: { value } }) => {
            setTyped(value);
            // Not whole yet is no fault while somebody types.
            if (faultOf(value) === null) take(value);
            else setFault(null);
          }}
          onBlur={() => take(typed)}
        />
        <button type="submit" class="button">
          {words.compare}
        </button>
      </div>
      <div id={`${id}-hint`} class="hint">
        <p class="fault" role="alert">
          {fault}
        </p>
        <p>{words.hint}</p>
        <p>{words.without}</p>
      </div>
    </form>
  );
}

function faultOf(typed: string): string | null {
  const digits = typed.replace(/[\s:]/g, '');
  const strange = /[^0-9a-f]/i.exec(digits)?.[0];
  if (strange !== undefined) return words.strange(strange);
  return digits.length === 0 || digits.length === 64 ? null : words.malformed(digits.length);
}
