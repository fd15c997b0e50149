import { useComputed, useSignal } from '@preact/signals';
import { DateTime } from 'luxon';
import { Calibration } from '../../../edge/cure/sensors/calibration.ts';
import type { ProbeView } from '../../../edge/site/views/probe.ts';
import type { Problem } from '../../api/call.ts';
import { now } from '../../live/clock.ts';
import { probes, siteZone } from '../../live/store.ts';
import { temperature, unitSign } from '../../look/format.ts';
import { unit } from '../../look/settings.ts';
import { Field, ProblemNote, typed, useRecord } from '../../parts/form.tsx';
import { Sheet, SheetActions } from '../../parts/Sheet.tsx';
import { instantOf, TimePick } from '../../parts/TimePick.tsx';
import { setupText } from '../../text/setupText.ts';
import { checked, notSent } from '../schedules/faults.ts';
import { Entry, FaultsOf, Lines } from '../schedules/fields.tsx';
import { signedInAs } from '../schedules/known.ts';
import { writtenCelsius } from '../schedules/numbers.ts';
import { CalibrationEffect } from './CalibrationEffect.tsx';
import { type CalibrationDraft, calibrationSaid, isIceOff, newCalibrationDraft } from './calibrationDraft.ts';

const words = setupText.setup.calibration;

/** A comparison with a reference at two temperatures, with what it would change in sight before it is recorded. */
export function Calibrate({ known, onClose }: { known: ProbeView; onClose: () => void }) {
  const typedIn = unit.peek();
  const today = DateTime.fromMillis(now.peek(), { zone: siteZone() }).toISODate() ?? '';
  const draft = useSignal<CalibrationDraft>(newCalibrationDraft(typedIn, signedInAs(), today));
  const due = useSignal('');
  const note = useSignal('');
  const from = useSignal<number | null>(null);
  const tried = useSignal(false);
  const asking = useSignal<Problem | null>(null);
  const { busy, problem, record } = useRecord();
  const read = useComputed(() => checked(Calibration, calibrationSaid(draft.value, typedIn), 'calibration'));
  const view = probes.value.get(known.probe)?.value ?? known;
  const shown = tried.value ? (read.value.problem ?? problem.value) : problem.value;
  const put = (change: Partial<CalibrationDraft>) => {
    draft.value = { ...draft.value, ...change };
    asking.value = null;
  };
  /** Null: nothing to ask. The answer comes when the question is answered. */
  const askedOfIce = ({ points }: Calibration) =>
    new Promise<boolean>((resolve) => {
      const message = words.iceOff(temperature(points[0].referenceCelsius), temperature(0));
      const answer = (isRight: boolean) => {
        asking.value = null;
        resolve(isRight);
      };
      asking.value = { ...notSent([{ path: '', message, confirm: 'ice' }]), answer };
    });
  const save = async (event: Event) => {
    event.preventDefault();
    tried.value = true;
    const calibration = read.peek().value;
    if (calibration === null) return;
    if (isIceOff(calibration) && !(await askedOfIce(calibration))) return;
    const remark = note.value.trim();
    const saved = await record({
      kind: 'calibration.recorded',
      probe: view.probe,
      at: instantOf(from),
      calibration,
      ...(due.value === '' ? {} : { dueAt: endOf(due.value) }),
      ...(remark === '' ? {} : { note: remark }),
    });
    if (saved) onClose();
  };
  const calibrated = view.calibrations.length > 0;
  const latest = view.latest;
  const point = (which: 'cold' | 'warm', index: number) => (
    <fieldset class="field">
      <legend>{words[which]}</legend>
      <div class="field-row">
        <Entry
          label={words.referenceShows}
          path={`calibration.points.${index}.referenceCelsius`}
          problem={shown}
          value={draft.value[`${which}Reference`]}
          unit={unitSign()}
          onInput={(value) => put({ [`${which}Reference`]: value })}
        />
        <Entry
          label={words.probeShows}
          path={`calibration.points.${index}.indicatedCelsius`}
          problem={shown}
          value={draft.value[`${which}Indicated`]}
          unit={unitSign()}
          onInput={(value) => put({ [`${which}Indicated`]: value })}
        />
      </div>
      {latest !== null && !calibrated && (
        <button
          type="button"
          class="button"
          onClick={() => put({ [`${which}Indicated`]: writtenCelsius(Math.round(latest.celsius * 100) / 100, typedIn) })}
        >
          {words.takeLatest(temperature(latest.celsius))}
        </button>
      )}
    </fieldset>
  );
  return (
    <Sheet title={words.title(view.label)} onClose={onClose}>
      <form class="form" onSubmit={save} noValidate>
        <p class="soft">
          {words.lead} {calibrated && words.alreadyCorrected}
        </p>
        {point('cold', 0)}
        {point('warm', 1)}
        <FaultsOf problem={shown} path="calibration.points" />
        <Entry
          label={words.reference}
          hint={words.referenceHint}
          path="calibration.reference"
          problem={shown}
          value={draft.value.reference}
          onInput={(reference) => put({ reference })}
        />
        <Entry
          label={words.uncertainty}
          hint={words.uncertaintyHint}
          path="calibration.referenceUncertaintyCelsius"
          problem={shown}
          value={draft.value.referenceUncertainty}
          unit={unitSign()}
          onInput={(referenceUncertainty) => put({ referenceUncertainty })}
        />
        <CalibrationEffect view={view} draft={draft.value} />
        <div class="field-row">
          <Day label={words.on} path="calibration.on" problem={shown} value={draft.value.on} onInput={(on) => put({ on })} />
          <Day
            label={words.due}
            path="dueAt"
            problem={shown}
            value={due.value}
            onInput={(value) => {
              due.value = value;
            }}
          />
        </div>
        <Entry label={words.by} path="calibration.by" problem={shown} value={draft.value.by} onInput={(by) => put({ by })} />
        <TimePick at={from} label={words.from} />
        <Lines
          label={words.note}
          path="note"
          problem={shown}
          value={note.value}
          onInput={(value) => {
            note.value = value;
          }}
        />
        <ProblemNote problem={asking.value ?? shown} fields={['calibration', 'dueAt', 'note']} />
        <SheetActions confirm={words.save} busy={busy.value} onCancel={onClose} />
      </form>
    </Sheet>
  );
}

/** The end of a day on the site's clock. */
const endOf = (day: string) => DateTime.fromISO(day, { zone: siteZone() }).endOf('day').toUTC().toISO() ?? '';

type DayProps = Parameters<typeof Entry>[0];

function Day({ label, path, problem, value, onInput }: DayProps) {
  return (
    <Field label={label} path={path} problem={problem}>
      {(attributes) => <input {...attributes} type="date" value={value} onInput={(event) => onInput(typed(event))} />}
    </Field>
  );
}
