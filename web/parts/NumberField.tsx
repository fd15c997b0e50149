import { type Signal, useSignal } from '@preact/signals';
import { numberOf } from '../answer/typed.ts';
import type { Problem } from '../api/call.ts';
import { inUnit, unitSign } from '../look/format.ts';
import { unit } from '../look/settings.ts';
import { text } from '../text/text.ts';
import { Field, typed } from './form.tsx';

interface Props {
  label: string;
  hint?: string | undefined;
  /** The field's path in the statement. */
  path: string;
  problem: Problem | null;
  /** Null: nothing is given, or it is no number. */
  value: Signal<number | null>;
  required?: boolean;
  /** What would stand there, where nothing does. */
  placeholder?: string | undefined;
}

const shown = (value: number | null) => (value === null ? '' : String(value));

/** One number, in the unit that its label names. */
export function NumberField({ label, hint, path, problem, value, required = false, placeholder }: Props) {
  const written = useSignal(shown(value.peek()));
  // Set from elsewhere, such as a dose that was worked out: what stands there is that number from now on.
  if (numberOf(written.peek()) !== value.value && value.value !== null) written.value = shown(value.value);
  const isBad = written.value.trim() !== '' && numberOf(written.value) === null;
  return (
    <Field label={label} hint={isBad ? text.notANumber : hint} path={path} problem={problem}>
      {(attributes) => (
        <input
          {...attributes}
          aria-invalid={isBad || attributes['aria-invalid']}
          type="text"
          inputMode="decimal"
          autocomplete="off"
          required={required}
          placeholder={placeholder}
          value={written.value}
          onInput={(event) => {
            written.value = typed(event);
            value.value = numberOf(written.value);
          }}
        />
      )}
    </Field>
  );
}

/** °C from a number in the unit that this browser shows; exact where the unit is °C. */
const celsiusFrom = (number: number) => (unit.value === 'F' ? ((number - 32) * 5) / 9 : number);

type TemperatureProps = Omit<Props, 'value'> & { celsius: Signal<number | null> };

/** A temperature, typed in the unit that this browser shows. */
export function TemperatureField(props: TemperatureProps) {
  // Another unit, another number in the field.
  return <InUnit key={unit.value} {...props} />;
}

function InUnit({ label, hint, path, problem, celsius, required = false }: TemperatureProps) {
  const first = celsius.peek();
  const written = useSignal(first === null ? '' : String(Math.round(inUnit(first) * 10) / 10));
  const isBad = written.value.trim() !== '' && numberOf(written.value) === null;
  return (
    <Field label={`${label}, ${unitSign()}`} hint={isBad ? text.notANumber : hint} path={path} problem={problem}>
      {(attributes) => (
        <input
          {...attributes}
          aria-invalid={isBad || attributes['aria-invalid']}
          type="text"
          inputMode="decimal"
          autocomplete="off"
          required={required}
          value={written.value}
          onInput={(event) => {
            written.value = typed(event);
            const number = numberOf(written.value);
            celsius.value = number === null ? null : celsiusFrom(number);
          }}
        />
      )}
    </Field>
  );
}
