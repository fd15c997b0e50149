import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { SumpView } from '../../../edge/site/views/sump.ts';
import { joints, probeName, probes } from '../../live/store.ts';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { IdField, useDerivedId } from '../../parts/IdField.tsx';
import { ProbeChoice } from '../../parts/ProbeChoice.tsx';
import { Sheet, SheetActions } from '../../parts/Sheet.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { setupText } from '../../text/setupText.ts';
import { Entry, Pick } from '../schedules/fields.tsx';
import { loadKnown, schedules } from '../schedules/known.ts';
import { numberOf } from '../schedules/numbers.ts';
import { ScheduleChoice } from './ScheduleChoice.tsx';

const words = setupText.setup.joint;

/** Names a joint, its place in the order of work, its material's schedule and its probes. */
export function NewJoint({ sump, onClose }: { sump: SumpView; onClose: () => void }) {
  const label = useSignal('');
  const schedule = useSignal('');
  const part = useSignal('');
  /** Null: nobody typed one. */
  const bead = useSignal<string | null>(null);
  const material = useSignal<readonly string[]>([]);
  const ambient = useSignal('');
  const derived = useDerivedId(label, () => new Set(joints.value.keys()), 'joint');
  const { busy, problem, record } = useRecord();
  useEffect(() => {
    void loadKnown();
  }, []);
  const free = sump.parts.filter(({ joint }) => joint === null);
  const law = schedules.value?.find(({ name }) => name === schedule.value)?.law;
  const choosePart = (name: string) => {
    part.value = name;
    const chosen = free.find((each) => each.part === name);
    if (chosen === undefined) return;
    schedule.value = chosen.schedule;
    if (label.value === '' || free.some((each) => each.label === label.value)) label.value = chosen.label;
  };
  const save = async (event: Event) => {
    event.preventDefault();
    const saved = await record({
      kind: 'joint.added',
      joint: derived.id.value,
      sump: sump.sump,
      label: label.value,
      schedule: schedule.value,
      probes: [...material.value],
      ...(ambient.value === '' ? {} : { ambient: ambient.value }),
      ...(part.value === '' ? {} : { part: part.value }),
      ...(law?.kind !== 'moisture' || bead.value === null ? {} : { beadMillimetres: numberOf(bead.value) }),
    });
    if (saved) onClose();
  };
  return (
    <Sheet title={words.title(sump.label)} onClose={onClose}>
      <form class="form" onSubmit={save}>
        {free.length > 0 && (
          <Pick
            label={words.part}
            path="part"
            problem={problem.value}
            options={[['', words.partNone], ...free.map((each): [string, string] => [each.part, each.label])]}
            value={part.value}
            onChange={choosePart}
          />
        )}
        <TextField label={words.label} hint={words.labelHint} path="label" problem={problem.value} value={label} required />
        <ScheduleChoice chosen={schedule} problem={problem.value} />
        {law?.kind === 'moisture' && (
          <Entry
            label={words.bead}
            hint={words.beadHint}
            path="beadMillimetres"
            problem={problem.value}
            value={bead.value ?? String(law.beadMillimetres)}
            unit="mm"
            onInput={(value) => {
              bead.value = value;
            }}
          />
        )}
        <ProbeChoice chosen={{ material, ambient }} joint={null} problem={problem.value} />
        {law?.kind === 'moisture' && <SealantNote ambient={ambient.value} />}
        <IdField derived={derived} path="joint" problem={problem.value} />
        <ProblemNote
          problem={problem.value}
          fields={['part', 'label', 'schedule', 'beadMillimetres', 'probes', 'ambient', 'joint']}
        />
        <SheetActions confirm={words.create} busy={busy.value} onCancel={onClose} />
      </form>
    </Sheet>
  );
}

/** A sealant without the humidity beside it earns nothing; said before that happens. */
export function SealantNote({ ambient }: { ambient: string }) {
  const probe = probes.value.get(ambient)?.value;
  if (probe?.humidity != null) return null;
  return (
    <p class="safety">
      {words.sealantProbe} {probe !== undefined && words.sealantNoHumidity(probeName(ambient))}
    </p>
  );
}
