import { useComputed, useSignal } from '@preact/signals';
import { Sensor } from '../../../edge/cure/sensors/sensor.ts';
import { DEFAULT_HUMIDITY_UNCERTAINTY_PERCENT, type ProbeRole } from '../../../edge/site/said/instruments.ts';
import type { ProbeView } from '../../../edge/site/views/probe.ts';
import { probes } from '../../live/store.ts';
import { unitSign } from '../../look/format.ts';
import { unit } from '../../look/settings.ts';
import { Choice } from '../../parts/Choice.tsx';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { Sheet, SheetActions } from '../../parts/Sheet.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { setupText } from '../../text/setupText.ts';
import { text } from '../../text/text.ts';
import { checked } from '../schedules/faults.ts';
import { Entry } from '../schedules/fields.tsx';
import { differenceOf, numberOf, writtenDifference } from '../schedules/numbers.ts';
import { BudgetNote } from './BudgetNote.tsx';
import { budgetOf } from './budget.ts';
import { LiveCheck, SensorFields } from './SensorFields.tsx';
import { type SensorDraft, sensorDraftOf, sensorSaid } from './sensorDraft.ts';
import { calibratedBy, toldOf } from './told.ts';

const words = setupText.setup.probes;
const shown = (value: number | null) => (value === null ? '' : String(value));

/** Of a stranger that sends ohms: a Pt100 has about a hundred of them, a thermistor thousands. */
function guessOf(known: ProbeView | null): Partial<SensorDraft> {
  if (known === null || known.sensor !== null || known.ohms === null) return {};
  return { kind: known.ohms.ohms < 500 ? 'pt100' : 'thermistor' };
}

/** Registers a probe, or changes what is known of one. Its role stays: another spot is another probe. */
export function ProbeForm({ known, onClose }: { known: ProbeView | null; onClose: () => void }) {
  const typedIn = unit.peek();
  const told = toldOf(known);
  const probe = useSignal(known?.probe ?? '');
  const label = useSignal(known === null || known.label === known.probe ? '' : known.label);
  const role = useSignal<ProbeRole>(known?.role ?? (known?.level == null ? 'material' : 'level'));
  const draft = useSignal<SensorDraft>({ ...sensorDraftOf(known?.sensor ?? null, typedIn), ...guessOf(known) });
  const uncertainty = useSignal(told.uncertaintyCelsius === null ? '' : writtenDifference(told.uncertaintyCelsius, typedIn));
  const humidity = useSignal(shown(told.humidityUncertaintyPercent));
  const level = useSignal(shown(told.levelUncertaintyMillimetres));
  const battery = useSignal(shown(told.batteryLowVolts));
  const tried = useSignal(false);
  const { busy, problem, record } = useRecord();

  const sensor = useComputed(() => checked(Sensor, sensorSaid(draft.value, typedIn), 'sensor'));
  const view = probes.value.get(probe.value.trim())?.value ?? known;
  const shownProblem = tried.value ? (sensor.value.problem ?? problem.value) : problem.value;
  // A sensor that is changed has not been compared with anything yet.
  const same = JSON.stringify(sensor.value.value) === JSON.stringify(known?.sensor);
  const calibration = same ? calibratedBy(known) : null;
  const hidden = same && calibration === null && (known?.calibrations.length ?? 0) > 0;
  const own = uncertainty.value.trim() === '' ? null : differenceOf(uncertainty.value, typedIn);

  const save = async (event: Event) => {
    event.preventDefault();
    tried.value = true;
    const fitted = sensor.peek().value;
    if (fitted === null) return;
    const where = label.value.trim();
    // An empty field is left out; what is no number goes as null, and the server says so beside it.
    const given = (key: string, written: string, value: number) => (written.trim() === '' ? {} : { [key]: value });
    const saved = await record({
      kind: 'probe.registered',
      probe: probe.value.trim(),
      role: role.value,
      sensor: fitted,
      ...(where === '' ? {} : { label: where }),
      ...given('uncertaintyCelsius', uncertainty.value, differenceOf(uncertainty.value, typedIn)),
      ...(role.value === 'ambient' ? given('humidityUncertaintyPercent', humidity.value, numberOf(humidity.value)) : {}),
      ...(role.value === 'level' ? given('levelUncertaintyMillimetres', level.value, numberOf(level.value)) : {}),
      ...given('batteryLowVolts', battery.value, numberOf(battery.value)),
    });
    if (saved) onClose();
  };
  const take = (field: { value: string }) => (value: string) => {
    field.value = value;
  };
  return (
    <Sheet title={known === null ? words.addTitle : words.editTitle(known.probe)} onClose={onClose}>
      <form class="form" onSubmit={save}>
        {known === null && (
          <TextField label={words.id} hint={words.idHint} path="probe" problem={shownProblem} value={probe} required />
        )}
        {known?.registered ? (
          <p class="soft">
            {text.role[role.value]}. {words.roleStays}
          </p>
        ) : (
          <Choice
            label={words.role}
            names={text.role}
            value={role.value}
            onChoose={(each) => {
              role.value = each;
            }}
          />
        )}
        <TextField label={words.label} hint={words.labelHint} path="label" problem={shownProblem} value={label} />
        <SensorFields
          draft={draft.value}
          problem={shownProblem}
          put={(change) => {
            draft.value = { ...draft.value, ...change };
          }}
        />
        <LiveCheck view={view} sensor={sensor.value.value} />
        {role.value === 'level' ? (
          <Entry
            label={words.levelUncertainty}
            hint={words.levelUncertaintyHint}
            path="levelUncertaintyMillimetres"
            problem={shownProblem}
            value={level.value}
            unit="mm"
            onInput={take(level)}
          />
        ) : (
          <>
            <Entry
              label={words.uncertainty}
              hint={words.uncertaintyHint}
              path="uncertaintyCelsius"
              problem={shownProblem}
              value={uncertainty.value}
              unit={unitSign()}
              onInput={take(uncertainty)}
            />
            {sensor.value.value !== null && (
              <BudgetNote
                budget={budgetOf(sensor.value.value, calibration)}
                ownCelsius={own}
                note={hidden ? setupText.setup.budget.unknownReference : undefined}
              />
            )}
          </>
        )}
        {role.value === 'ambient' && (
          <Entry
            label={words.humidityUncertainty}
            hint={words.humidityUncertaintyHint(String(DEFAULT_HUMIDITY_UNCERTAINTY_PERCENT))}
            path="humidityUncertaintyPercent"
            problem={shownProblem}
            value={humidity.value}
            unit="%"
            onInput={take(humidity)}
          />
        )}
        <Entry
          label={words.batteryLow}
          hint={words.batteryLowHint}
          path="batteryLowVolts"
          problem={shownProblem}
          value={battery.value}
          unit="V"
          onInput={take(battery)}
        />
        <ProblemNote
          problem={shownProblem}
          fields={[
            'probe',
            'role',
            'label',
            'sensor',
            'uncertaintyCelsius',
            'humidityUncertaintyPercent',
            'levelUncertaintyMillimetres',
            'batteryLowVolts',
          ]}
        />
        <SheetActions confirm={known?.registered ? text.action.save : words.save} busy={busy.value} onCancel={onClose} />
      </form>
    </Sheet>
  );
}
