import { useSignal } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import { useId } from 'preact/hooks';
import type { Problem } from '../api/call.ts';
import { putOnRecord, type Recorded } from '../api/record.ts';
import type { StatementSent } from '../api/shapes.ts';
import { capital } from '../look/format.ts';
import { text } from '../text/text.ts';

/** Puts statements on record and remembers what was wrong with the last one. Null: it was not recorded. */
export function useRecord() {
  const busy = useSignal(false);
  const problem = useSignal<Problem | null>(null);
  const record = async (statement: StatementSent): Promise<Recorded | null> => {
    if (busy.peek()) return null;
    busy.value = true;
    const answer = await putOnRecord(statement);
    busy.value = false;
    problem.value = answer.ok ? null : answer.problem;
    return answer.ok ? answer.value : null;
  };
  return { busy, problem, record };
}

/** Whether a fault's path speaks of the field `name`. */
const concerns = (path: string, name: string) => path === name || path.startsWith(`${name}.`);

/** The faults of one field. */
export const faultsAt = (problem: Problem | null, name: string) =>
  problem?.faults.filter((fault) => concerns(fault.path, name)) ?? [];

/** What was wrong as a whole, with the faults that stand beside no field of this form. */
export function ProblemNote({ problem, fields = [] }: { problem: Problem | null; fields?: readonly string[] }) {
  if (problem === null) return null;
  const elsewhere = problem.faults.filter((fault) => !fields.some((name) => concerns(fault.path, name)));
  return (
    <div class="problem" role="alert">
      <p>
        <b>{problem.title}.</b>
        {/* With faults the detail is only these once more. */}
        {problem.faults.length === 0 && ` ${capital(problem.detail)}`}
      </p>
      {elsewhere.length > 0 && (
        <ul>
          {elsewhere.map((fault) => (
            <li key={fault.path}>{capital(text.problem.at(fault.path, fault.message))}</li>
          ))}
        </ul>
      )}
    </div>
  );
}

interface FieldProps {
  label: string;
  hint?: ComponentChildren;
  /** The field's path in the statement, to find its faults by. */
  path: string;
  problem: Problem | null;
  children: (attributes: { id: string; 'aria-describedby': string; 'aria-invalid': boolean }) => ComponentChildren;
}

/** A labelled field with its hint and its faults. */
export function Field({ label, hint, path, problem, children }: FieldProps) {
  const id = useId();
  const faults = faultsAt(problem, path);
  return (
    <div class={`field ${faults.length > 0 ? 'has-fault' : ''}`}>
      <label for={id}>{label}</label>
      {children({ id, 'aria-describedby': `${id}-hint`, 'aria-invalid': faults.length > 0 })}
      <div id={`${id}-hint`} class="hint">
        {faults.map((fault) => (
          <p class="fault" key={fault.message}>
            {capital(fault.message)}
          </p>
        ))}
        {hint !== undefined && <p>{hint}</p>}
      </div>
    </div>
  );
}

/** A group of choices under one legend, with its faults. */
export function Group({ label, path, problem, hint, children }: Omit<FieldProps, 'children'> & { children: ComponentChildren }) {
  const faults = faultsAt(problem, path);
  return (
    <fieldset class={`field ${faults.length > 0 ? 'has-fault' : ''}`}>
      <legend>{label}</legend>
      {children}
      <div class="hint">
        {faults.map((fault) => (
          <p class="fault" key={fault.message}>
            {capital(fault.message)}
          </p>
        ))}
        {hint !== undefined && <p>{hint}</p>}
      </div>
    </fieldset>
  );
}

/** The value of the field that an event comes from. */
export const typed = (event: Event) => (event.currentTarget as HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement).value;
