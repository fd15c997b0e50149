import { useComputed, useSignal } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { Schedule } from '../../../edge/cure/schedule.ts';
import { unit } from '../../look/settings.ts';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { IdField, useDerivedId } from '../../parts/IdField.tsx';
import { setupText } from '../../text/setupText.ts';
import { text } from '../../text/text.ts';
import { type Draft, draftOf, scheduleSaid } from './draft.ts';
import { checked } from './faults.ts';
import { Entry, Lines } from './fields.tsx';
import { loadKnown, schedules, signedInAs } from './known.ts';
import { LawFields } from './LawFields.tsx';
import { Preview } from './Preview.tsx';
import { CheckFields, LimitFields, MixPart, StageFields } from './RuleFields.tsx';

interface Props {
  /** What is copied. */
  from: Schedule;
  /** It becomes the next version of the same name, and not a schedule of its own. */
  isNewVersion: boolean;
  onClose: () => void;
  onSaved: (saved: Schedule) => void;
}

const words = setupText.schedules.editor;

/** A schedule copied and changed, with what it comes to in sight before it is saved. */
export function ScheduleEditor({ from, isNewVersion, onClose, onSaved }: Props) {
  const typedIn = unit.peek();
  const title = useSignal(isNewVersion ? from.title : words.ownTitle(from.title));
  const draft = useSignal<Draft>({ ...draftOf(from, typedIn), author: signedInAs() });
  const reason = useSignal('');
  const tried = useSignal(false);
  const derived = useDerivedId(title, () => new Set(schedules.value?.map(({ name }) => name)), 'schedule');
  const { busy, problem, record } = useRecord();
  const heading = useRef<HTMLHeadingElement>(null);
  const read = useComputed(() => {
    const identity = isNewVersion ? { name: from.name, version: from.version + 1 } : { name: derived.id.value, version: 1 };
    return checked(Schedule, scheduleSaid({ ...draft.value, title: title.value }, identity, typedIn), 'definition');
  });
  /** The newest that could be drawn: while a figure is being typed the drawing stays. */
  const drawn = useSignal(from);
  useEffect(() => {
    if (read.value.value !== null) drawn.value = read.value.value;
  }, [read.value]);
  useEffect(() => {
    window.scrollTo(0, 0);
    heading.current?.focus({ preventScroll: true });
  }, []);

  const put = (change: Partial<Draft>) => {
    draft.value = { ...draft.value, ...change };
  };
  // Faults appear when somebody tried to save, and go as they are put right.
  const shown = tried.value ? (read.value.problem ?? problem.value) : null;
  const fields = { draft: draft.value, put, problem: shown };
  const save = async (event: Event) => {
    event.preventDefault();
    tried.value = true;
    const { value } = read.peek();
    if (value === null) return focusFault(heading.current?.parentElement ?? null);
    if ((await record({ kind: 'schedule.given', definition: value, reason: reason.value })) === null) return;
    await loadKnown();
    onSaved(value);
  };
  return (
    <div class="editor">
      <h1 ref={heading} tabIndex={-1}>
        {isNewVersion ? words.newVersion(from.title, String(from.version + 1)) : words.copyOf(from.title)}
      </h1>
      <p class="lead">{setupText.schedules.keeps}</p>
      <form class="editor-form" onSubmit={save} noValidate>
        <div class="editor-fields">
          <Part title={words.what}>
            <Entry
              label={words.name}
              path="definition.title"
              problem={shown}
              value={title.value}
              onInput={(value) => {
                title.value = value;
              }}
            />
            {!isNewVersion && <IdField derived={derived} path="definition.name" problem={shown} />}
          </Part>
          <Part title={words.lawTitle}>
            <LawFields {...fields} />
          </Part>
          <Part title={words.limits}>
            <LimitFields {...fields} />
          </Part>
          <Part title={words.stagesTitle}>
            <StageFields {...fields} />
          </Part>
          <Part title={words.checks}>
            <CheckFields {...fields} />
          </Part>
          <Part title={words.mixTitle}>
            <MixPart {...fields} />
          </Part>
        </div>
        <section class="panel editor-preview" aria-labelledby="preview-title">
          <h2 id="preview-title">{words.preview}</h2>
          {read.value.problem !== null && <p class="soft">{words.previewFaulty}</p>}
          <Preview schedule={drawn.value} copied={from} />
        </section>
        <div class="editor-end">
          <Part title={words.record}>
            <Lines
              label={words.source}
              hint={words.sourceHint}
              path="definition.source"
              problem={shown}
              value={draft.value.source}
              onInput={(source) => put({ source })}
            />
            <Entry
              label={words.author}
              path="definition.author"
              problem={shown}
              value={draft.value.author}
              onInput={(author) => put({ author })}
            />
            <Lines
              label={words.reason}
              path="reason"
              problem={shown}
              value={reason.value}
              onInput={(value) => {
                reason.value = value;
              }}
            />
            <ProblemNote problem={shown} fields={['definition', 'reason']} />
            <div class="form-actions">
              <button type="submit" class="button primary" disabled={busy.value}>
                {busy.value ? text.action.saving : isNewVersion ? words.saveVersion(String(from.version + 1)) : words.save}
              </button>
              <button type="button" class="button" disabled={busy.value} onClick={onClose}>
                {words.back}
              </button>
            </div>
          </Part>
        </div>
      </form>
    </div>
  );
}

function Part({ title, children }: { title: string; children: ComponentChildren }) {
  return (
    <section class="panel">
      <h2>{title}</h2>
      {children}
    </section>
  );
}

/** Brings the first marked field into sight. */
function focusFault(within: HTMLElement | null): void {
  requestAnimationFrame(() => within?.querySelector<HTMLElement>('[aria-invalid="true"]')?.focus());
}
