import { useSignal } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import { useEffect, useId, useRef } from 'preact/hooks';
import type { FaultAt } from '../../edge/errors.ts';
import type { Problem } from '../api/call.ts';
import { putOnRecord, type Recorded } from '../api/record.ts';
import type { StatementSent } from '../api/shapes.ts';
import { capital, dated, temperature } from '../look/format.ts';
import { unit } from '../look/settings.ts';
import { sayingText } from '../text/sayingText.ts';
import { Icon } from './Icon.tsx';
import '../style/fields.css';

/** What the service asks back it names by a code that it takes in `confirmed`. */
type QuestionCode = NonNullable<StatementSent['confirmed']>[number];

/**
 * Puts statements on record and remembers what was wrong with the last one. Null: it was not recorded. What the service asks back is
 * shown with the problem, and `record` goes on when it is answered.
 */
export function useRecord() {
  const busy = useSignal(false);
  const problem = useSignal<Problem | null>(null);
  const record = async (statement: StatementSent): Promise<Recorded | null> => {
    if (busy.peek()) return null;
    // Whoever sends anew has changed what was asked about.
    problem.peek()?.answer?.(false);
    busy.value = true;
    const answer = await putOnRecord(statement);
    busy.value = false;
    if (answer.ok) {
      problem.value = null;
      return answer.value;
    }
    const asked = answer.problem;
    if (asked.code !== 'entry-questioned') {
      problem.value = asked;
      return null;
    }
    const isRight = await new Promise<boolean>((resolve) => {
      problem.value = { ...asked, faults: asked.faults.map((fault) => inOwnUnit(fault, statement)), answer: resolve };
    });
    if (!isRight) {
      problem.value = null;
      return null;
    }
    const codes = asked.faults.flatMap(({ confirm }) => (confirm === undefined ? [] : [confirm as QuestionCode]));
    return record({ ...statement, confirmed: [...new Set([...(statement.confirmed ?? []), ...codes])] });
  };
  return { busy, problem, record };
}

/** The service speaks of °C, and who typed °F would not know the number. A slip of the unit has to name both. */
function inOwnUnit(fault: FaultAt, statement: StatementSent): FaultAt {
  if (unit.peek() === 'C' || fault.confirm === 'maybe-celsius') return fault;
  const celsius: unknown = (statement as Record<string, unknown>)[fault.path];
  if (fault.confirm === 'maybe-fahrenheit' && typeof celsius === 'number')
    return { ...fault, message: sayingText.problem.veryWarm(temperature(celsius)) };
  return { ...fault, message: fault.message.replace(/(-?\d+(?:\.\d+)?) °C/g, (_, said) => temperature(Number(said))) };
}

/** Whether a fault's path speaks of the field `name`. */
const concerns = (path: string, name: string) => path === name || path.startsWith(`${name}.`);

/** The faults of one field. A question stands by itself. */
export const faultsAt = (problem: Problem | null, name: string) =>
  problem?.faults.filter((fault) => fault.confirm === undefined && concerns(fault.path, name)) ?? [];

/** The service's own words with its instants on the site's clock. What somebody typed, and how it is to be typed, stays as it is. */
const onSiteClock = (words: string) =>
  words.replace(/(?<!such as |as in |")\d{4}-\d\d-\d\dT[\d:.]+(?:Z|[+-]\d\d:\d\d)/g, (instant) => dated(Date.parse(instant)));

/** What a fault's path is called: `hours.0.at` is the first hour. */
function nameOf(path: string): string {
  const { path: names, item, nth } = sayingText.problem;
  const [top = '', place = ''] = path.split('.');
  const known = names[path] ?? names[top];
  if (known !== undefined) return known;
  return /^\d+$/.test(place) ? nth(item[top] ?? top, Number(place) + 1) : path;
}

/** A fault that stands beside no field, as a sentence. */
function sentenceOf({ path, message }: FaultAt): string {
  return capital(sayingText.problem.at(nameOf(path), onSiteClock(message)));
}

/** What was wrong as a whole, with the faults that stand beside no field of this form; or what the service asks back. */
export function ProblemNote({ problem, fields = [] }: { problem: Problem | null; fields?: readonly string[] }) {
  if (problem === null) return null;
  if (problem.answer !== undefined) return <Question problem={problem} answer={problem.answer} />;
  const elsewhere = problem.faults.filter((fault) => !fields.some((name) => concerns(fault.path, name)));
  return (
    <div class="problem" role="alert">
      <p>
        <b>{sayingText.problem.title[problem.code] ?? problem.title}.</b>
        {/* With faults the detail is only these once more. */}
        {problem.faults.length === 0 && ` ${capital(onSiteClock(problem.detail))}`}
      </p>
      {elsewhere.length > 0 && (
        <ul>
          {elsewhere.map((fault) => (
            <li key={fault.path}>{sentenceOf(fault)}</li>
          ))}
        </ul>
      )}
    </div>
  );
}

/** Where a field's value is changed. */
const fieldAt = (path: string) => `[data-path="${CSS.escape(path)}"] :is(input, select, textarea, button)`;

function Question({ problem, answer }: { problem: Problem; answer: (isRight: boolean) => void }) {
  const note = useRef<HTMLDivElement>(null);
  // Who has just sent the form looks at its button, and the question may stand out of sight.
  useEffect(() => {
    note.current?.scrollIntoView({ block: 'center' });
    note.current?.querySelector('button')?.focus({ preventScroll: true });
  }, []);
  const change = () => {
    const form = note.current?.closest('form, dialog, main');
    const asked = problem.faults
      .map(({ path }) => form?.querySelector<HTMLElement>(fieldAt(path)))
      .find((field) => field != null);
    answer(false);
    asked?.focus();
  };
  return (
    <div class="problem is-question" role="alert" ref={note}>
      <p>
        <Icon name="question" />
        <b>{sayingText.problem.question}</b>
      </p>
      {problem.faults.map((fault) => (
        <p key={fault.path}>{sentenceOf(fault)}</p>
      ))}
      <div class="problem-answers">
        <button type="button" class="button" onClick={change}>
          {sayingText.problem.change}
        </button>
        <button type="button" class="button" onClick={() => answer(true)}>
          {sayingText.problem.isRight}
        </button>
      </div>
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
    <div class={`field ${faults.length > 0 ? 'has-fault' : ''}`} data-path={path}>
      <label for={id}>{label}</label>
      {children({ id, 'aria-describedby': `${id}-hint`, 'aria-invalid': faults.length > 0 })}
      <div id={`${id}-hint`} class="hint">
        {faults.map((fault) => (
          <p class="fault" key={fault.message}>
            {capital(onSiteClock(fault.message))}
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
    <fieldset class={`field ${faults.length > 0 ? 'has-fault' : ''}`} data-path={path}>
      <legend>{label}</legend>
      {children}
      <div class="hint">
        {faults.map((fault) => (
          <p class="fault" key={fault.message}>
            {capital(onSiteClock(fault.message))}
          </p>
        ))}
        {hint !== undefined && <p>{hint}</p>}
      </div>
    </fieldset>
  );
}

/** The value of the field that an event comes from. */
export const typed = (event: Event) => (event.currentTarget as HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement).value;
