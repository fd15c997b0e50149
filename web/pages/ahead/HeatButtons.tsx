import { useSignal } from '@preact/signals';
import { type HeatKind, type HeatScope, heatingStatement, isOn } from '../../answer/heating.ts';
import { now } from '../../live/clock.ts';
import { jointInSump, jointOfSump, joints, sumpName, sumps } from '../../live/store.ts';
import { offerUndo } from '../../live/undo.ts';
import { Cautions } from '../../parts/Cautions.tsx';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { Icon } from '../../parts/Icon.tsx';
import { TemperatureField } from '../../parts/NumberField.tsx';
import { Sheet, SheetActions } from '../../parts/Sheet.tsx';
import { TimePick } from '../../parts/TimePick.tsx';
import { aheadText } from '../../text/aheadText.ts';
import { workText } from '../../text/workText.ts';

const KINDS: readonly HeatKind[] = ['heater', 'cover'];

/** Says that a heater or a cover was put on or taken off, on one joint or on a whole sump. */
export function HeatButtons({ scope }: { scope: HeatScope }) {
  const asking = useSignal<{ readonly what: HeatKind; readonly on: boolean } | null>(null);
  const names = 'joint' in scope ? [scope.joint] : (sumps.value.get(scope.sump)?.value.joints ?? []);
  const views = names.flatMap((name) => joints.value.get(name)?.value ?? []);
  return (
    <>
      {KINDS.map((what) => {
        const on = !isOn(views, what, scope);
        return (
          <button
            key={what}
            type="button"
            class="button"
            onClick={() => {
              asking.value = { what, on };
            }}
          >
            <Icon name={what} />
            {on ? aheadText.heat.on[what] : aheadText.heat.off[what]}
          </button>
        );
      })}
      {asking.value !== null && (
        <HeatSheet
          {...asking.value}
          scope={scope}
          onClose={() => {
            asking.value = null;
          }}
        />
      )}
    </>
  );
}

interface SheetProps {
  what: HeatKind;
  on: boolean;
  scope: HeatScope;
  /** What its thermostat is likely set to, °C, open to correction. */
  holdCelsius?: number | null;
  onClose: () => void;
}

export function HeatSheet({ what, on, scope, holdCelsius = null, onClose }: SheetProps) {
  const at = useSignal<number | null>(null);
  const celsius = useSignal<number | null>(holdCelsius);
  const { busy, problem, record } = useRecord();
  const words = workText.heat;
  const { what: names, recordedOff } = aheadText.heat;
  const joint = 'joint' in scope ? scope.joint : null;
  const save = async (submitted: Event) => {
    submitted.preventDefault();
    const change = { what, on, atMs: at.value ?? now.value, holdCelsius: celsius.value };
    const recorded = await record(heatingStatement(scope, change));
    if (recorded === null) return;
    const where = 'joint' in scope ? jointInSump(scope.joint) : sumpName(scope.sump);
    offerUndo(joint, recorded.seq, (on ? words.recorded : recordedOff)(names[what], where));
    onClose();
  };
  return (
    <Sheet
      title={on ? words.titleOn[what] : words.titleOff[what]}
      about={'joint' in scope ? jointOfSump(scope.joint) : sumpName(scope.sump)}
      onClose={onClose}
    >
      <form class="form" onSubmit={save}>
        {on && what === 'heater' && <Cautions title={words.cautionsTitle} cautions={words.cautions} />}
        {on && what === 'heater' && (
          <TemperatureField
            label={words.hold}
            hint={words.holdHint}
            path="holdCelsius"
            problem={problem.value}
            celsius={celsius}
          />
        )}
        {on && <p class="soft">{words.lead}</p>}
        <TimePick at={at} label={words.at} />
        <ProblemNote problem={problem.value} fields={['holdCelsius']} />
        <SheetActions confirm={on ? words.confirmOn[what] : words.confirmOff[what]} busy={busy.value} onCancel={onClose} />
      </form>
    </Sheet>
  );
}
