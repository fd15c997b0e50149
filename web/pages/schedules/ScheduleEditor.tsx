import { useComputed, useSignal } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { Schedule } from '../../../edge/cure/schedule.ts';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { IdField, useDerivedId } from '../../parts/IdField.tsx';
import { setupText } from '../../text/setupText.ts';
import { type Draft, isSourceStale, scheduleSaid } from './draft.ts';
import { EditorEnd } from './EditorEnd.tsx';
import type { ScheduleEditing } from './editing.ts';
import { checked, notSent } from './faults.ts';
import { Entry, Lines } from './fields.tsx';
import { loadKnown, schedules } from './known.ts';
import { LawFields } from './LawFields.tsx';
import { Preview } from './Preview.tsx';
import { CheckFields, LimitFields, MixPart, StageFields } from './RuleFields.tsx';

interface Props {
  editing: ScheduleEditing;
  onClose: () => void;
  onSaved: (saved: Schedule) => void;
}

const words = setupText.schedules.editor;

/** A schedule copied and changed, with what it comes to in sight before it is saved. */
export function ScheduleEditor({ editing, onClose, onSaved }: Props) {
  const { from, isNewVersion, typedIn, title, draft, reason, id } = editing;
  const tried = useSignal(false);
  const derived = useDerivedId(title, () => new Set(schedules.value?.map(({ name }) => name)), 'schedule', id);
  const { busy, problem, record } = useRecord();
  const heading = useRef<HTMLHeadingElement>(null);
  const read = useComputed(() => {
    const identity = isNewVersion ? { name: from.name, version: from.version + 1 } : { name: derived.id.value, version: 1 };
    return checked(Schedule, scheduleSaid({ ...draft.value, title: title.value }, identity, typedIn), 'definition');
  });
  useEffect(() => {
    window.scrollTo(0, 0);
    heading.current?.focus({ preventScroll: true });
  }, []);

  const put = (change: Partial<Draft>) => {
    draft.value = { ...draft.value, ...change };
  };
  // Faults appear when somebody tried to save, and go as they are put right.
  const { value: schedule } = read.value;
  const isStale = schedule !== null && isSourceStale(schedule, from);
  const stale = isStale ? notSent([{ path: 'definition.source', message: words.sourceStale }]) : null;
  const shown = tried.value ? (read.value.problem ?? stale ?? problem.value) : null;
  const fields = { draft: draft.value, typedIn, put, problem: shown };
  const save = async (event: Event) => {
    event.preventDefault();
    tried.value = true;
    if (schedule === null || isStale) return focusFault(heading.current?.parentElement ?? null);
    if ((await record({ kind: 'schedule.given', definition: schedule, reason: reason.value })) === null) return;
    await loadKnown();
    onSaved(schedule);
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
          {schedule === null && <p class="soft">{words.previewFaulty}</p>}
          <Preview schedule={schedule} copied={from} />
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
            <EditorEnd
              busy={busy.value}
              save={isNewVersion ? words.saveVersion(String(from.version + 1)) : words.save}
              isChanged={editing.isChanged.value}
              onClose={onClose}
            />
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
