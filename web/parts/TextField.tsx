import type { Signal } from '@preact/signals';
import type { Problem } from '../api/call.ts';
import { Field, typed } from './form.tsx';

interface Props {
  label: string;
  hint?: string;
  /** The field's path in the statement. */
  path: string;
  problem: Problem | null;
  value: Signal<string>;
  required?: boolean;
  list?: string;
  inputMode?: 'text' | 'decimal';
}

/** One line of text. */
export function TextField({ label, hint, path, problem, value, required, list, inputMode }: Props) {
  return (
    <Field label={label} hint={hint} path={path} problem={problem}>
      {(attributes) => (
        <input
          {...attributes}
          type="text"
          autocomplete="off"
          inputMode={inputMode ?? 'text'}
          list={list}
          required={required ?? false}
          value={value.value}
          onInput={(event) => {
            value.value = typed(event);
          }}
        />
      )}
    </Field>
  );
}
