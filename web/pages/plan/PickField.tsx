import type { Problem } from '../../api/call.ts';
import { Field, typed } from '../../parts/form.tsx';

interface Props {
  label: string;
  /** The field's path in the statement. */
  path?: string;
  problem?: Problem | null;
  options: readonly { readonly value: string; readonly label: string }[];
  value: string;
  onChange: (value: string) => void;
}

/** One of many, from a list. */
export function PickField({ label, path = '', problem = null, options, value, onChange }: Props) {
  return (
    <Field label={label} path={path} problem={problem}>
      {(attributes) => (
        <select {...attributes} value={value} onChange={(event) => onChange(typed(event))}>
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
