import { useSignal } from '@preact/signals';
import type { SumpView } from '../../../edge/site/views/sump.ts';
import { joints as allJoints, jointInSump } from '../../live/store.ts';
import { limit } from '../../look/format.ts';
import { Icon } from '../../parts/Icon.tsx';
import { planText } from '../../text/planText.ts';
import { text } from '../../text/text.ts';
import { HeatButtons, HeatSheet } from '../ahead/HeatButtons.tsx';

const words = planText.help;

interface Props {
  view: SumpView;
  /** The joints that something is to be done about. */
  joints: readonly string[];
  /** What a heater there is to be set to, °C; null: nobody said. */
  celsius: number | null;
}

/** What really runs, joint by joint; on the whole sump as the second choice. */
export function RecordHeat({ view, joints, celsius }: Props) {
  const asking = useSignal<string | null>(null);
  const own = view.joints.filter((name) => {
    const heating = allJoints.value.get(name)?.value.heating ?? null;
    return heating !== null && heating.what === 'heater' && !heating.sump;
  });
  const labelOf = (name: string) => allJoints.value.get(name)?.value.label ?? jointInSump(name);
  return (
    <div class="plan-record">
      <h3>{words.record}</h3>
      <div class="plan-buttons">
        {joints.map((name) => (
          <button
            key={name}
            type="button"
            class="button"
            onClick={() => {
              asking.value = name;
            }}
          >
            <Icon name="heater" />
            {celsius === null ? words.recordOn(labelOf(name)) : words.recordOnAt(labelOf(name), limit(celsius))}
          </button>
        ))}
      </div>
      <details class="more">
        <summary>{words.recordSump}</summary>
        {own.length > 0 && <p>{words.recordOwn(text.listAnd(own.map(labelOf)), own.length)}</p>}
        <div class="plan-buttons">
          <HeatButtons scope={{ sump: view.sump }} />
        </div>
      </details>
      {asking.value !== null && (
        <HeatSheet
          what="heater"
          on
          scope={{ joint: asking.value }}
          holdCelsius={celsius}
          onClose={() => {
            asking.value = null;
          }}
        />
      )}
    </div>
  );
}
