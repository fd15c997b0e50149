import { useId } from 'preact/hooks';
import '../style/fields.css';

interface Props<T extends string> {
  label: string;
  /** What each choice is called, in order. */
  names: Readonly<Record<T, string>>;
  value: T;
  onChoose: (value: T) => void;
}

/** One of a few, each a big target. */
export function Choice<T extends string>({ label, names, value, onChoose }: Props<T>) {
  const name = useId();
  return (
    <fieldset class="choice">
      <legend>{label}</legend>
      <div class="choice-row">
        {(Object.keys(names) as T[]).map((option) => (
          <label key={option}>
            <input type="radio" name={name} checked={value === option} onChange={() => onChoose(option)} />
            <span>{names[option]}</span>
          </label>
        ))}
      </div>
    </fieldset>
  );
}
