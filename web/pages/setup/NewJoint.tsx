import { type Signal, useSignal } from '@preact/signals';
import { useEffect, useId } from 'preact/hooks';
import type { Schedule } from '../../../edge/cure/schedule.ts';
import type { SumpView } from '../../../edge/site/views.ts';
import { call, type Problem } from '../../api/call.ts';
import type { Schedules } from '../../api/shapes.ts';
import { joints } from '../../live/store.ts';
import { hoursPlain, limit } from '../../look/format.ts';
import { Group, ProblemNote, useRecord } from '../../parts/form.tsx';
import { IdField, useDerivedId } from '../../parts/IdField.tsx';
import { ProbeChoice } from '../../parts/ProbeChoice.tsx';
import { Sheet, SheetActions } from '../../parts/Sheet.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { text } from '../../text/text.ts';

/** Names a joint, its material's schedule and its probes. */
export function NewJoint({ sump, onClose }: { sump: SumpView; onClose: () => void }) {
  const label = useSignal('');
  const schedule = useSignal('');
  const material = useSignal<readonly string[]>([]);
  const ambient = useSignal('');
  const derived = useDerivedId(label, () => new Set(joints.value.keys()), 'joint');
  const { busy, problem, record } = useRecord();
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
    });
    if (saved) onClose();
  };
  return (
    <Sheet title={text.setup.joint.title(sump.label)} onClose={onClose}>
      <form class="form" onSubmit={save}>
        <TextField
          label={text.setup.joint.label}
          hint={text.setup.joint.labelHint}
          path="label"
          problem={problem.value}
          value={label}
          required
        />
        <ScheduleChoice chosen={schedule} problem={problem.value} />
        <ProbeChoice chosen={{ material, ambient }} joint={null} problem={problem.value} />
        <IdField derived={derived} path="joint" problem={problem.value} />
        <ProblemNote problem={problem.value} fields={['label', 'schedule', 'probes', 'ambient', 'joint']} />
        <SheetActions confirm={text.setup.joint.create} busy={busy.value} onCancel={onClose} />
      </form>
    </Sheet>
  );
}

/** The schedules with their hours, temperatures and sources beside each name: the choice decides the answer. */
function ScheduleChoice({ chosen, problem }: { chosen: Signal<string>; problem: Problem | null }) {
  const schedules = useSignal<readonly Schedule[] | null>(null);
  const failed = useSignal<Problem | null>(null);
  const name = useId();
  useEffect(() => {
    void call<Schedules>('GET', '/api/schedules').then((answer) => {
      if (answer.ok) schedules.value = answer.value.schedules;
      else failed.value = answer.problem;
    });
  }, []);
  return (
    <Group label={text.setup.joint.schedule} path="schedule" problem={problem} hint={text.setup.joint.scheduleHint}>
      <ProblemNote problem={failed.value} />
      {schedules.value === null && failed.value === null && <p class="soft">{text.setup.joint.schedulesLoading}</p>}
      <div class="schedule-choice">
        {schedules.value?.map((schedule) => (
          <label key={schedule.name}>
            <input
              type="radio"
              name={name}
              required
              checked={chosen.value === schedule.name}
              onChange={() => {
                chosen.value = schedule.name;
              }}
            />
            <span>
              <b>{text.joint.scheduleVersion(schedule.title, schedule.version)}</b>
              <span>{text.setup.joint.stages(stagesOf(schedule))}</span>
              <span>{text.setup.joint.reference(limit(schedule.referenceCelsius), limit(schedule.floorCelsius))}</span>
              {chosen.value === schedule.name && <span class="soft">{text.joint.source(schedule.source)}</span>}
            </span>
          </label>
        ))}
      </div>
    </Group>
  );
}

function stagesOf(schedule: Schedule): string {
  return text.listAnd(
    schedule.stages.map(({ stage, requiredHours }) => text.stageHours(text.stage[stage] ?? stage, hoursPlain(requiredHours))),
  );
}
