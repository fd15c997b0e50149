import type { ComponentChildren } from 'preact';
import { useId } from 'preact/hooks';
import type { Problem } from '../../api/call.ts';
import { capital } from '../../look/format.ts';
import { Field, faultsAt, typed } from '../../parts/form.tsx';
import { Icon } from '../../parts/Icon.tsx';
import { setupText } from '../../text/setupText.ts';

interface Common {
  label: string;
  hint?: ComponentChildren;
  /** The field's path in the statement. */
  path: string;
  problem: Problem | null;
}

interface EntryProps extends Common {
  value: string;
  onInput: (value: string) => void;
  /** Stands behind what is typed; a field with a unit takes a number. */
  unit?: string;
  required?: boolean;
}

/** One line of text, or a number with its unit. */
export function Entry({ value, onInput, unit, required = false, ...field }: EntryProps) {
  return (
    <Field {...field}>
      {(attributes) => (
        <WithUnit unit={unit}>
          <input
            {...attributes}
            type="text"
            autocomplete="off"
            inputMode={unit === undefined ? 'text' : 'decimal'}
            required={required}
            value={value}
            onInput={(event) => onInput(typed(event))}
          />
        </WithUnit>
      )}
    </Field>
  );
}

function WithUnit({ unit, children }: { unit: string | undefined; children: ComponentChildren }) {
  if (unit === undefined) return <>{children}</>;
  return (
    <span class="with-unit">
      {children}
      <span aria-hidden="true">{unit}</span>
    </span>
  );
}

/** Several lines of text. */
export function Lines({ value, onInput, required = false, ...field }: Omit<EntryProps, 'unit'>) {
  return (
    <Field {...field}>
      {(attributes) => <textarea {...attributes} required={required} value={value} onInput={(event) => onInput(typed(event))} />}
    </Field>
  );
}

/** A value and what it is called. */
export type Option<T extends string> = readonly [value: T, name: string];

interface PickProps<T extends string> extends Common {
  options: readonly Option<T>[];
  value: T;
  onChange: (value: T) => void;
}

/** One of many. */
export function Pick<T extends string>({ options, value, onChange, ...field }: PickProps<T>) {
  return (
    <Field {...field}>
      {(attributes) => (
        <select {...attributes} value={value} onChange={(event) => onChange(typed(event) as T)}>
          {options.map(([each, called]) => (
            <option key={each} value={each}>
              {called}
            </option>
          ))}
        </select>
      )}
    </Field>
  );
}

export function Tick({
  label,
  hint,
  checked,
  onChange,
}: {
  label: string;
  hint?: string;
  checked: boolean;
  onChange: (checked: boolean) => void;
}) {
  return (
    <label class="tick">
      <input type="checkbox" checked={checked} onChange={(event) => onChange(event.currentTarget.checked)} />
      <span>
        {label}
        {hint !== undefined && <span class="hint">{hint}</span>}
      </span>
    </label>
  );
}

/** The faults that speak of this very place and of nothing inside it. */
export function FaultsOf({ problem, path }: { problem: Problem | null; path: string }) {
  return (
    <>
      {(problem?.faults ?? [])
        .filter((fault) => fault.path === path)
        .map(({ message }) => (
          <p class="fault" key={message}>
            {capital(message)}
          </p>
        ))}
    </>
  );
}

interface Column<Row> {
  key: keyof Row & string;
  label: string;
  /** Its name in the statement, to find faults by. */
  field: string;
  unit?: string;
  suggestions?: readonly string[];
}

interface RowsProps<Row> extends Common {
  columns: readonly Column<Row>[];
  rows: readonly Row[];
  blank: Row;
  add: string;
  onChange: (rows: readonly Row[]) => void;
}

/** A short table to fill in: rows are added and removed. */
export function Rows<Row extends { readonly [Key in keyof Row]: string }>({
  label,
  hint,
  path,
  problem,
  columns,
  rows,
  blank,
  add,
  onChange,
}: RowsProps<Row>) {
  const id = useId();
  const put = (index: number, key: string, value: string) =>
    onChange(rows.map((row, place) => (place === index ? { ...row, [key]: value } : row)));
  return (
    <fieldset class="field">
      <legend>{label}</legend>
      <div class="entry-rows">
        {rows.map((row, index) => (
          <div class="entry-row" key={`${index} of ${rows.length}`}>
            {columns.map((column) => {
              const faults = faultsAt(problem, `${path}.${index}.${column.field}`);
              const list = `${id}-${column.key}`;
              return (
                <div class={`entry-cell ${faults.length > 0 ? 'has-fault' : ''}`} key={column.key}>
                  <span class="entry-head" aria-hidden="true">
                    {column.label}
                  </span>
                  <WithUnit unit={column.unit}>
                    <input
                      type="text"
                      autocomplete="off"
                      inputMode={column.unit === undefined ? 'text' : 'decimal'}
                      aria-label={setupText.schedules.rows.cell(column.label, String(index + 1))}
                      aria-invalid={faults.length > 0}
                      list={column.suggestions === undefined ? undefined : list}
                      value={row[column.key]}
                      onInput={(event) => put(index, column.key, typed(event))}
                    />
                  </WithUnit>
                  {faults.map(({ message }) => (
                    <span class="fault" key={message}>
                      {capital(message)}
                    </span>
                  ))}
                </div>
              );
            })}
            <button
              type="button"
              class="button quiet square"
              aria-label={setupText.schedules.rows.remove(String(index + 1))}
              onClick={() => onChange(rows.filter((_, place) => place !== index))}
            >
              <Icon name="close" />
            </button>
          </div>
        ))}
      </div>
      {columns.map(
        ({ key, suggestions }) =>
          suggestions !== undefined && (
            <datalist id={`${id}-${key}`} key={key}>
              {suggestions.map((each) => (
                <option key={each} value={each} />
              ))}
            </datalist>
          ),
      )}
      <button type="button" class="button" onClick={() => onChange([...rows, blank])}>
        <Icon name="plus" />
        {add}
      </button>
      <div class="hint">
        <FaultsOf problem={problem} path={path} />
        {hint !== undefined && <p>{hint}</p>}
      </div>
    </fieldset>
  );
}
