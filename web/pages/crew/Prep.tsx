import { useComputed, useSignal } from '@preact/signals';
import { useState } from 'preact/hooks';
import { dewPointMilliC } from '../../../edge/cure/dewPoint.ts';
import type { JointView } from '../../../edge/site/views/joint.ts';
import { jointInSump, jointOfSump, probeName } from '../../live/store.ts';
import { offerUndo } from '../../live/undo.ts';
import { ColdNote } from '../../parts/ColdNote.tsx';
import { DewNote } from '../../parts/DewNote.tsx';
import { Group, ProblemNote, useRecord } from '../../parts/form.tsx';
import { NumberField, TemperatureField } from '../../parts/NumberField.tsx';
import { Sheet, SheetActions } from '../../parts/Sheet.tsx';
import { instantOf, TimePick } from '../../parts/TimePick.tsx';
import { mixText } from '../../text/mixText.ts';
import { sayingText } from '../../text/sayingText.ts';
import { workText } from '../../text/workText.ts';
import { liveAir } from './liveAir.ts';

const TICKS = ['sanded', 'wiped', 'dry'] as const;

/** Signs for a joint's surface: all three or nothing; with temperatures and humidity it tells the margin over the dew point. */
export function Prep({ view, onClose }: { view: JointView; onClose: () => void }) {
  const [air] = useState(() => liveAir(view));
  const done = useSignal<readonly string[]>([]);
  const surface = useSignal<number | null>(null);
  const airCelsius = useSignal<number | null>(air?.celsius ?? null);
  const humidity = useSignal<number | null>(air?.humidityPercent ?? null);
  const at = useSignal<number | null>(null);
  const { busy, problem, record } = useRecord();
  const dewPoint = useComputed(() =>
    airCelsius.value === null || humidity.value === null
      ? undefined
      : dewPointMilliC(Math.round(airCelsius.value * 1000), Math.round(humidity.value * 1000)),
  );
  const toggle = (tick: string) => {
    done.value = done.value.includes(tick) ? done.value.filter((other) => other !== tick) : [...done.value, tick];
  };
  const save = async (submitted: Event) => {
    submitted.preventDefault();
    const recorded = await record({
      kind: 'prep.signed',
      joint: view.joint,
      at: instantOf(at),
      sanded: true,
      wiped: true,
      dry: true,
      // Air alone tells nothing of the surface, and only all three were measured there.
      ...(surface.value === null ? {} : { surfaceCelsius: surface.value }),
      ...(surface.value === null || airCelsius.value === null ? {} : { airCelsius: airCelsius.value }),
      ...(surface.value === null || humidity.value === null ? {} : { humidityPercent: humidity.value }),
    });
    if (recorded === null) return;
    offerUndo(view.joint, recorded.seq, sayingText.recorded.prep(jointInSump(view.joint)));
    onClose();
  };
  const words = workText.prep;
  const fromProbe = (isAsRead: boolean) => (air === null || !isAsRead ? undefined : words.fromProbe(probeName(air.probe)));
  return (
    <Sheet title={words.title} about={jointOfSump(view.joint)} onClose={onClose}>
      <form class="form" onSubmit={save}>
        <p>{words.lead}</p>
        <ColdNote view={view} />
        <Group label={words.done} path="" problem={null}>
          <div class="tick-list">
            {TICKS.map((tick) => (
              <label class="tick" key={tick}>
                <input type="checkbox" checked={done.value.includes(tick)} onChange={() => toggle(tick)} />
                <b>{words[tick]}</b>
              </label>
            ))}
          </div>
        </Group>
        <fieldset class="field fields">
          <legend>{words.measured}</legend>
          <TemperatureField label={words.surface} path="surfaceCelsius" problem={problem.value} celsius={surface} />
          <TemperatureField
            label={words.air}
            hint={fromProbe(airCelsius.value === air?.celsius)}
            path="airCelsius"
            problem={problem.value}
            celsius={airCelsius}
          />
          <NumberField
            label={words.humidity}
            hint={fromProbe(humidity.value !== null && humidity.value === air?.humidityPercent)}
            path="humidityPercent"
            problem={problem.value}
            value={humidity}
          />
        </fieldset>
        {dewPoint.value === null && <p class="fault">{mixText.dew.noNumber}</p>}
        {surface.value !== null && dewPoint.value != null && (
          <DewNote surfaceCelsius={surface.value} dewPointCelsius={dewPoint.value / 1000} />
        )}
        <TimePick at={at} label={words.at} />
        <ProblemNote problem={problem.value} fields={['surfaceCelsius', 'airCelsius', 'humidityPercent']} />
        <SheetActions
          confirm={words.confirm}
          busy={busy.value}
          disabled={done.value.length < TICKS.length || dewPoint.value === null}
          onCancel={onClose}
        />
      </form>
    </Sheet>
  );
}
