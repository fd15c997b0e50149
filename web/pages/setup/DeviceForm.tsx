import { useSignal } from '@preact/signals';
import { useRef } from 'preact/hooks';
import { Mapping } from '../../../edge/site/mapping.ts';
import type { Problem } from '../../api/call.ts';
import { now } from '../../live/clock.ts';
import { probes } from '../../live/store.ts';
import { span } from '../../look/format.ts';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { Icon } from '../../parts/Icon.tsx';
import { Sheet, SheetActions } from '../../parts/Sheet.tsx';
import { setupText } from '../../text/setupText.ts';
import { text } from '../../text/text.ts';
import { checked } from '../schedules/faults.ts';
import { Entry, FaultsOf, Pick } from '../schedules/fields.tsx';
import { DevicePreview } from './DevicePreview.tsx';
import {
  asQuantity,
  type DeviceDraft,
  type FieldDraft,
  guessOf,
  mappingSaid,
  type Quantity,
  timeOf,
  UNITS,
} from './deviceDraft.ts';
import { type Place, placesIn } from './pointers.ts';
import { useQuarantine } from './quarantined.ts';

const words = setupText.setup.devices;
const ANY_PROBE = 'any';
const FORMATS = Object.entries(words.timeFormatName) as [keyof typeof words.timeFormatName, string][];
const QUANTITIES = Object.entries(words.quantityName) as [Quantity, string][];

/** Says how the messages on a topic are read: the values of the newest one are tapped. */
export function DeviceForm({ topic, onClose }: { topic: string; onClose: () => void }) {
  const known = [...probes.value.values()].map((probe) => probe.value).filter(({ registered }) => registered);
  const draft = useSignal<DeviceDraft>({ topic, probe: '', fields: [], time: null });
  const tried = useSignal(false);
  const { busy, problem, record } = useRecord();
  const { list } = useQuarantine();
  // Once it is read, the topic is no longer among what is set aside.
  const last = useRef(list.value?.items.find((item) => item.topic === topic));
  last.current = list.value?.items.find((item) => item.topic === topic) ?? last.current;
  const newest = last.current;
  const read = checked(Mapping, mappingSaid(draft.value), '');
  // What a value comes to does not depend on the probe that it is read for.
  const previewed = read.value ?? checked(Mapping, mappingSaid({ ...draft.value, probe: ANY_PROBE }), '').value;
  const shown = tried.value ? (read.problem ?? problem.value) : problem.value;
  const put = (change: Partial<DeviceDraft>) => {
    draft.value = { ...draft.value, ...change };
  };
  const putField = (index: number, field: FieldDraft) =>
    put({ fields: draft.value.fields.map((each, place) => (place === index ? field : each)) });
  const save = async (event: Event) => {
    event.preventDefault();
    tried.value = true;
    const mapping = read.value;
    if (mapping === null) return;
    if ((await record({ kind: 'probe.mapped', ...mapping })) !== null) onClose();
  };
  const { fields, time } = draft.value;
  return (
    <Sheet title={words.formTitle} about={topic} onClose={onClose}>
      <form class="form" onSubmit={save} noValidate>
        {known.length === 0 ? (
          <p class="safety">{words.noProbes}</p>
        ) : (
          <Pick
            label={words.probe}
            path="probe"
            problem={shown}
            options={[
              ['', words.chooseProbe],
              ...known.map(({ probe, label }): [string, string] => [
                probe,
                label === probe ? probe : text.probeName(label, probe),
              ]),
            ]}
            value={draft.value.probe}
            onChange={(probe) => put({ probe })}
          />
        )}
        {newest !== undefined && (
          <Newest
            payload={newest.payload}
            isCut={newest.bytes > new TextEncoder().encode(newest.payload).length}
            ageMs={now.value - Date.parse(newest.at)}
            draft={draft.value}
            onField={(place) => put({ fields: [...fields, guessOf(place)] })}
            onTime={(place) => put({ time: timeOf(place) })}
          />
        )}
        <section class="part">
          <h3>{words.fields}</h3>
          {fields.length === 0 && <p class="soft">{words.noFields}</p>}
          {fields.map((field, index) => (
            <MappedFieldForm
              key={index}
              field={field}
              path={`fields.${index}`}
              problem={shown}
              onChange={(next) => putField(index, next)}
              onRemove={() => put({ fields: fields.filter((_, place) => place !== index) })}
            />
          ))}
          <FaultsOf problem={shown} path="fields" />
          <button
            type="button"
            class="button"
            onClick={() => put({ fields: [...fields, { pointer: '/', quantity: 'temperature', unit: '' }] })}
          >
            <Icon name="plus" />
            {words.addField}
          </button>
        </section>
        <section class="part">
          <Pick
            label={words.asTime}
            hint={words.timeHint}
            path="time.pointer"
            problem={shown}
            options={[['', words.timeNone], ...timePlaces(newest?.payload ?? '', time)]}
            value={time?.pointer ?? ''}
            onChange={(pointer) => {
              const place = placesIn(newest?.payload ?? '')?.find((each) => each.pointer === pointer);
              put({ time: place === undefined ? null : timeOf(place) });
            }}
          />
          {time !== null && (
            <Pick
              label={words.timeFormat}
              path="time.format"
              problem={shown}
              options={FORMATS}
              value={time.format}
              onChange={(format) => put({ time: { ...time, format } })}
            />
          )}
        </section>
        <DevicePreview mapping={previewed} payload={newest?.payload ?? null} />
        <ProblemNote problem={shown} fields={['probe', 'fields', 'time']} />
        <SheetActions confirm={words.save} busy={busy.value} disabled={known.length === 0} onCancel={onClose} />
      </form>
    </Sheet>
  );
}

function timePlaces(payload: string, time: DeviceDraft['time']): [string, string][] {
  const pointers = (placesIn(payload) ?? []).map(({ pointer, value }): [string, string] => [pointer, `${pointer}: ${value}`]);
  if (time === null || pointers.some(([pointer]) => pointer === time.pointer)) return pointers;
  return [...pointers, [time.pointer, time.pointer]];
}

interface NewestProps {
  payload: string;
  isCut: boolean;
  ageMs: number;
  draft: DeviceDraft;
  onField: (place: Place) => void;
  onTime: (place: Place) => void;
}

/** The newest message as it came, its values to be tapped. */
function Newest({ payload, isCut, ageMs, draft, onField, onTime }: NewestProps) {
  const places = isCut ? null : placesIn(payload);
  const isTaken = (pointer: string) => draft.fields.some((field) => field.pointer === pointer) || draft.time?.pointer === pointer;
  return (
    <section class="part">
      <h3>{words.newest(text.ago(span(ageMs)))}</h3>
      <pre class="command">
        <code>{payload}</code>
      </pre>
      {places === null ? (
        <p class="soft">{isCut ? words.cut : words.notJson}</p>
      ) : (
        <>
          <p>{words.places}</p>
          <div class="places">
            {places.map((place) => (
              <button
                type="button"
                class="button place"
                key={place.pointer}
                aria-pressed={isTaken(place.pointer)}
                disabled={isTaken(place.pointer)}
                onClick={() => (isInstant(place) ? onTime(place) : onField(place))}
              >
                <code>{place.pointer === '' ? '/' : place.pointer}</code>
                <b>{String(place.value)}</b>
              </button>
            ))}
          </div>
        </>
      )}
    </section>
  );
}

/** A text that is no number can only be a time. */
const isInstant = ({ value }: Place) => typeof value === 'string' && !Number.isFinite(Number(value));

interface FieldProps {
  field: FieldDraft;
  path: string;
  problem: Problem | null;
  onChange: (field: FieldDraft) => void;
  onRemove: () => void;
}

function MappedFieldForm({ field, path, problem, onChange, onRemove }: FieldProps) {
  return (
    <div class="mapped-field">
      <div class="mapped-pointer">
        <Entry
          label={words.pointer}
          path={`${path}.pointer`}
          problem={problem}
          value={field.pointer}
          onInput={(pointer) => onChange({ ...field, pointer })}
        />
        <button type="button" class="button quiet square" aria-label={words.removeField(field.pointer)} onClick={onRemove}>
          <Icon name="close" />
        </button>
      </div>
      <div class="field-row">
        <Pick
          label={words.quantity}
          path={`${path}.quantity`}
          problem={problem}
          options={QUANTITIES}
          value={field.quantity}
          onChange={(quantity) => onChange(asQuantity(field, quantity))}
        />
        <Pick
          label={words.unit}
          path={`${path}.unit`}
          problem={problem}
          options={[
            ['', words.chooseUnit],
            ...UNITS[field.quantity].map((unit): [string, string] => [unit, words.unitName[unit] ?? unit]),
          ]}
          value={field.unit}
          onChange={(unit) => onChange({ ...field, unit })}
        />
      </div>
    </div>
  );
}
