import { type Signal, useSignal } from '@preact/signals';
import type { JointView } from '../../../edge/site/views/joint.ts';
import type { ProbeView } from '../../../edge/site/views/probe.ts';
import { now } from '../../live/clock.ts';
import { mayWrite } from '../../live/session.ts';
import { jointInSump, joints, probes } from '../../live/store.ts';
import { moment, temperature } from '../../look/format.ts';
import { Age } from '../../parts/Age.tsx';
import { Assign } from '../../parts/Assign.tsx';
import { focusSoon } from '../../parts/focus.ts';
import { ProblemNote, typed, useRecord } from '../../parts/form.tsx';
import { setupText } from '../../text/setupText.ts';
import { text } from '../../text/text.ts';
import { mayState } from '../schedules/known.ts';
import { fine } from './BudgetNote.tsx';
import { Calibrate } from './Calibrate.tsx';
import { ImportFile } from './ImportFile.tsx';
import { ProbeForm } from './ProbeForm.tsx';
import { ProbeRecords } from './ProbeRecords.tsx';
import { ohmsWords } from './SensorFields.tsx';

/** The probes of the site, strangers first: they wait for somebody. */
export function Probes() {
  const all = [...probes.value.values()];
  const strangers = all.filter((probe) => !probe.value.registered);
  const registered = all.filter((probe) => probe.value.registered);
  const editing = useSignal<ProbeView | 'new' | null>(null);
  return (
    <>
      <p class="safety">{setupText.setup.probes.caution}</p>
      {strangers.length > 0 && (
        <div class="part">
          <h3>{setupText.setup.probes.strangers}</h3>
          <p class="soft">{setupText.setup.probes.strangersLead}</p>
          <ul class="rows">
            {strangers.map((probe) => (
              <Stranger
                key={probe.peek().probe}
                probe={probe}
                onDescribe={() => {
                  editing.value = probe.peek();
                }}
              />
            ))}
          </ul>
        </div>
      )}
      <div class="part">
        <h3>{setupText.setup.probes.registered}</h3>
        {registered.length === 0 ? (
          <p class="soft">{setupText.setup.probes.none}</p>
        ) : (
          <ul class="rows">
            {registered.map((probe) => (
              <Registered
                key={probe.peek().probe}
                probe={probe}
                onEdit={() => {
                  editing.value = probe.peek();
                }}
              />
            ))}
          </ul>
        )}
      </div>
      {mayWrite() && (
        <button
          type="button"
          class="button"
          onClick={() => {
            editing.value = 'new';
          }}
        >
          {setupText.setup.probes.add}
        </button>
      )}
      {editing.value !== null && (
        <ProbeForm
          known={editing.value === 'new' ? null : editing.value}
          onClose={() => {
            editing.value = null;
          }}
        />
      )}
    </>
  );
}

/** A probe that is heard but counts for nothing yet: one tap says where it measures, if it sends degrees; otherwise more has to be told. */
function Stranger({ probe, onDescribe }: { probe: Signal<ProbeView>; onDescribe: () => void }) {
  const view = probe.value;
  const { busy, problem, record } = useRecord();
  const register = (role: 'material' | 'ambient') => async () => {
    if ((await record({ kind: 'probe.registered', probe: view.probe, role })) !== null) focusSoon(`probe-${view.probe}`);
  };
  return (
    <li class="row">
      <span class="row-main">
        <b>{view.probe}</b>
        <Newest view={view} />
        <ProblemNote problem={problem.value} />
      </span>
      {mayWrite() && (
        <span class="row-actions">
          {view.latest !== null && (
            <>
              <button type="button" class="button" disabled={busy.value} onClick={register('material')}>
                {setupText.setup.probes.registerMaterial}
              </button>
              <button type="button" class="button" disabled={busy.value} onClick={register('ambient')}>
                {setupText.setup.probes.registerAmbient}
              </button>
            </>
          )}
          <button type="button" class="button" disabled={busy.value} onClick={onDescribe}>
            {setupText.setup.probes.describe}
          </button>
        </span>
      )}
    </li>
  );
}

function Registered({ probe, onEdit }: { probe: Signal<ProbeView>; onEdit: () => void }) {
  const view = probe.value;
  const joining = useSignal<JointView | null>(null);
  const open = useSignal<'calibrate' | 'import' | null>(null);
  const named = view.joints.map(jointInSump);
  return (
    <li class="row">
      <span class="row-main">
        <span id={`probe-${view.probe}`} tabIndex={-1}>
          <b>{view.label}</b> {view.label !== view.probe && <span class="soft">{view.probe}</span>}
        </span>
        <Newest view={view} />
        <span class="soft">
          {view.role !== null && `${text.role[view.role]}. `}
          {named.length === 0 ? setupText.setup.probes.onNone : setupText.setup.probes.onJoints(text.listAnd(named))}
        </span>
        {view.role !== 'level' && view.uncertaintyCelsius !== null && (
          <span class="soft">{setupText.setup.probes.takenOff(fine(view.uncertaintyCelsius))}</span>
        )}
        <Overdue view={view} />
        <ProbeRecords view={view} />
      </span>
      {mayWrite() && (
        <span class="row-actions">
          <PutOn view={view} onChoose={(joint) => (joining.value = joint)} />
          <button type="button" class="button" onClick={onEdit}>
            {setupText.setup.probes.edit}
          </button>
          {mayState('calibration.recorded') && view.role !== 'level' && (
            <button
              type="button"
              class="button"
              onClick={() => {
                open.value = 'calibrate';
              }}
            >
              {setupText.setup.probes.calibrate}
            </button>
          )}
          {view.role !== 'level' && (
            <button
              type="button"
              class="button"
              onClick={() => {
                open.value = 'import';
              }}
            >
              {setupText.setup.probes.importFile}
            </button>
          )}
        </span>
      )}
      {open.value === 'calibrate' && (
        <Calibrate
          known={view}
          onClose={() => {
            open.value = null;
          }}
        />
      )}
      {open.value === 'import' && (
        <ImportFile
          view={view}
          onClose={() => {
            open.value = null;
          }}
        />
      )}
      {joining.value !== null && (
        <Assign
          view={joining.value}
          add={view}
          onClose={() => {
            joining.value = null;
          }}
        />
      )}
    </li>
  );
}

/** Joints that the probe is not on yet. Going through them by keyboard does nothing: the button beside them acts. */
function PutOn({ view, onChoose }: { view: ProbeView; onChoose: (joint: JointView) => void }) {
  const chosen = useSignal('');
  const others = [...joints.value.values()].map((joint) => joint.value).filter((joint) => !view.joints.includes(joint.joint));
  if (others.length === 0) return null;
  const joint = others.find(({ joint }) => joint === chosen.value);
  return (
    <>
      <select
        aria-label={setupText.setup.probes.putOn}
        value={joint?.joint ?? ''}
        onChange={(event) => {
          chosen.value = typed(event);
        }}
      >
        <option value="">{setupText.setup.probes.putOn}</option>
        {others.map((joint) => (
          <option key={joint.joint} value={joint.joint}>
            {jointInSump(joint.joint)}
          </option>
        ))}
      </select>
      <button type="button" class="button" disabled={joint === undefined} onClick={() => joint !== undefined && onChoose(joint)}>
        {setupText.setup.probes.putOnChosen}
      </button>
    </>
  );
}

/** A calibration that was due is said plainly: its correction still counts, but nobody has looked since. */
function Overdue({ view }: { view: ProbeView }) {
  const due = view.calibrations.at(-1)?.dueAt;
  if (due == null || Date.parse(due) > now.value) return null;
  return <b class="overdue">{setupText.setup.probes.overdue(moment(Date.parse(due), now.value))}</b>;
}

function Newest({ view }: { view: ProbeView }) {
  const { latest, humidity, level, ohms } = view;
  const newest = latest ?? level ?? humidity ?? ohms;
  const said = [
    ...(latest === null ? [] : [temperature(latest.celsius)]),
    ...(humidity === null ? [] : [setupText.setup.probes.humidityNow(humidity.percent.toFixed(0))]),
    ...(level === null ? [] : [setupText.setup.probes.levelNow(level.millimetres.toFixed(1))]),
    ...(latest === null && ohms !== null ? [ohmsWords(ohms.ohms)] : []),
  ];
  return (
    <span>
      {newest === null ? (
        text.now.neverRead
      ) : (
        <>
          {said.join(', ')}, <Age atMs={Date.parse(newest.at)} />
        </>
      )}
      {view.online === false && `, ${setupText.setup.probes.offline}`}
    </span>
  );
}
