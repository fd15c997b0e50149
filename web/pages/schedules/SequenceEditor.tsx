import { useSignal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import { Sequence } from '../../../edge/site/sequence.ts';
import { slugOf } from '../../look/slug.ts';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { Icon } from '../../parts/Icon.tsx';
import { IdField, useDerivedId } from '../../parts/IdField.tsx';
import { setupText } from '../../text/setupText.ts';
import { EditorEnd } from './EditorEnd.tsx';
import type { SequenceEditing } from './editing.ts';
import { checked } from './faults.ts';
import { Entry, FaultsOf, Lines, Pick } from './fields.tsx';
import { loadKnown, schedules, sequences } from './known.ts';
import { RemovePart } from './RemovePart.tsx';
import { StepFields } from './StepFields.tsx';
import { type Order, putPart, waitsForPart, withoutPart } from './sequenceDraft.ts';

interface Props {
  editing: SequenceEditing;
  onClose: () => void;
  onSaved: (saved: Sequence) => void;
}

const words = setupText.schedules.sequences.editor;
const shared = setupText.schedules.editor;

/** An order of work copied and changed: its joints, its steps in order, and what each waits for. */
export function SequenceEditor({ editing, onClose, onSaved }: Props) {
  const { from, isNewVersion, title, order, source, author, reason, id } = editing;
  const tried = useSignal(false);
  const removing = useSignal('');
  const derived = useDerivedId(title, () => new Set(sequences.value?.map(({ name }) => name)), 'order', id);
  const { busy, problem, record } = useRecord();
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => {
    window.scrollTo(0, 0);
    heading.current?.focus({ preventScroll: true });
  }, []);

  const said = checked(
    Sequence,
    {
      name: isNewVersion ? from.name : derived.id.value,
      version: isNewVersion ? from.version + 1 : 1,
      title: title.value,
      author: author.value,
      source: source.value,
      ...order.value,
    },
    'definition',
  );
  const shown = tried.value ? (said.problem ?? problem.value) : null;
  const save = async (event: Event) => {
    event.preventDefault();
    tried.value = true;
    if (said.value === null) return;
    if ((await record({ kind: 'sequence.given', definition: said.value, reason: reason.value })) === null) return;
    await loadKnown();
    onSaved(said.value);
  };
  const put = (next: Order) => {
    order.value = next;
  };
  const { parts, activities } = order.value;
  const names = (schedules.value ?? []).map((each): [string, string] => [each.name, each.title]);
  const addPart = () => {
    const part = slugOf(words.newPart, new Set(parts.map((each) => each.part)), 'joint');
    put({ ...order.value, parts: [...parts, { part, label: words.newPart, schedule: names[0]?.[0] ?? '' }] });
  };
  const addStep = () => {
    const activity = slugOf(words.newActivity, new Set(activities.map((each) => each.activity)), 'step');
    put({ ...order.value, activities: [...activities, { activity, label: words.newActivity, waterTest: false, needs: [] }] });
  };
  return (
    <div class="editor is-narrow">
      <h1 ref={heading} tabIndex={-1}>
        {isNewVersion ? shared.newVersion(from.title, String(from.version + 1)) : shared.copyOf(from.title)}
      </h1>
      <form class="editor-fields" onSubmit={save} noValidate>
        <section class="panel">
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
        </section>
        <section class="panel">
          <h2>{words.parts}</h2>
          {parts.map(({ part, label, schedule }, index) => (
            <div class="part-row" key={part}>
              <Entry
                label={words.partLabel}
                path={`definition.parts.${index}.label`}
                problem={shown}
                value={label}
                onInput={(value) => put(putPart(order.value, index, { label: value }))}
              />
              <Pick
                label={words.partSchedule}
                path={`definition.parts.${index}.schedule`}
                problem={shown}
                options={names}
                value={schedule}
                onChange={(value) => put(putPart(order.value, index, { schedule: value }))}
              />
              <button
                type="button"
                class="button quiet square"
                aria-label={words.removePart(label)}
                onClick={() => {
                  if (waitsForPart(order.value, part).length === 0) put(withoutPart(order.value, part));
                  else removing.value = part;
                }}
              >
                <Icon name="close" />
              </button>
              {removing.value === part && (
                <RemovePart
                  order={order.value}
                  part={part}
                  onRemove={() => put(withoutPart(order.value, part))}
                  onKeep={() => {
                    removing.value = '';
                  }}
                />
              )}
            </div>
          ))}
          <FaultsOf problem={shown} path="definition.parts" />
          <button type="button" class="button" onClick={addPart}>
            <Icon name="plus" />
            {words.addPart}
          </button>
        </section>
        <section class="panel">
          <h2>{words.activities}</h2>
          <ol class="steps">
            {activities.map(({ activity }, index) => (
              <StepFields key={activity} order={order.value} index={index} problem={shown} onChange={put} />
            ))}
          </ol>
          <FaultsOf problem={shown} path="definition.activities" />
          <button type="button" class="button" onClick={addStep}>
            <Icon name="plus" />
            {words.addActivity}
          </button>
        </section>
        <section class="panel">
          <h2>{shared.record}</h2>
          <Lines
            label={shared.source}
            path="definition.source"
            problem={shown}
            value={source.value}
            onInput={(value) => {
              source.value = value;
            }}
          />
          <Entry
            label={shared.author}
            path="definition.author"
            problem={shown}
            value={author.value}
            onInput={(value) => {
              author.value = value;
            }}
          />
          <Lines
            label={shared.reason}
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
            save={isNewVersion ? shared.saveVersion(String(from.version + 1)) : words.save}
            isChanged={editing.isChanged.value}
            onClose={onClose}
          />
        </section>
      </form>
    </div>
  );
}
