import type { Signal } from '@preact/signals';
import type { Problem } from '../api/call.ts';
import { Field, typed } from './form.tsx';

interface Props {
  label: string;
  hint?: string | undefined;
  /** The field's path in the statement. */
  path: string;
  problem: Problem | null;
  options: readonly { readonly value: string; readonly label: string }[];
  value: Signal<string>;
}

/** One of many, from a list. */
export function SelectField({ label, hint, path, problem, options, value }: Props) {
  return (
    <Field label={label} hint={hint} path={path} problem={problem}>
      {(attributes) => (
        <select
          {...attributes}
          value={value.value}
          onChange={(event) => {
            value.value = typed(event);
          }}
        >
          {options.map((option) => (
            <option key={option.value} value={option.value}>
              {option.label}
            </option>
          ))}
        </select>
      )}
    </Field>
  );
}
