import type { Signal } from '@preact/signals';
import { useId } from 'preact/hooks';
import type { Problem } from '../../api/call.ts';
import { limit } from '../../look/format.ts';
import { Group, ProblemNote } from '../../parts/form.tsx';
import { scheduleText } from '../../text/scheduleText.ts';
import { setupText } from '../../text/setupText.ts';
import { knownProblem, schedules } from '../schedules/known.ts';
import { stagesWords } from '../schedules/scheduleWords.ts';

/** The schedules with their hours, temperatures and sources beside each name: the choice decides the answer. */
export function ScheduleChoice({ chosen, problem }: { chosen: Signal<string>; problem: Problem | null }) {
  const name = useId();
  return (
    <Group label={setupText.setup.joint.schedule} path="schedule" problem={problem} hint={setupText.setup.joint.scheduleHint}>
      <ProblemNote problem={knownProblem.value} />
      {schedules.value === null && knownProblem.value === null && <p class="soft">{setupText.setup.joint.schedulesLoading}</p>}
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
              <b>{scheduleText.scheduleVersion(schedule.title, schedule.version)}</b>
              <span>{setupText.setup.joint.stages(stagesWords(schedule.stages))}</span>
              <span>{setupText.setup.joint.reference(limit(schedule.referenceCelsius), limit(schedule.floorCelsius))}</span>
              {chosen.value === schedule.name && <span class="soft">{scheduleText.source(schedule.source)}</span>}
            </span>
          </label>
        ))}
      </div>
    </Group>
  );
}
