import { type Signal, useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { Link } from 'wouter-preact';
import { testAndBackfill } from '../../../edge/site/sequence.ts';
import type { JointView } from '../../../edge/site/views/joint.ts';
import type { SumpView } from '../../../edge/site/views/sump.ts';
import { mayWrite } from '../../live/session.ts';
import { jointInSump, joints, probeName, sumps } from '../../live/store.ts';
import { focusSoon } from '../../parts/focus.ts';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { IdField, useDerivedId } from '../../parts/IdField.tsx';
import { PhaseMark } from '../../parts/PhaseMark.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { setupText } from '../../text/setupText.ts';
import { text } from '../../text/text.ts';
import { Pick } from '../schedules/fields.tsx';
import { loadKnown, sequences } from '../schedules/known.ts';
import { AddParts } from './AddParts.tsx';
import { NewJoint } from './NewJoint.tsx';
import { TakeBackAdded } from './TakeBackAdded.tsx';

/** The sumps of the site, each with its joints, and a form for the next one. */
export function Sumps() {
  const all = [...sumps.value];
  const adding = useSignal(all.length === 0);
  const done = () => {
    adding.value = false;
  };
  return (
    <>
      {all.length === 0 && <p class="soft">{setupText.setup.sumps.none}</p>}
      {all.map(([name, sump]) => (
        <Sump key={name} sump={sump} />
      ))}
      {mayWrite() &&
        (adding.value ? (
          <NewSump onDone={done} />
        ) : (
          <button
            type="button"
            class="button"
            onClick={() => {
              adding.value = true;
            }}
          >
            {setupText.setup.sumps.add}
          </button>
        ))}
    </>
  );
}

function Sump({ sump }: { sump: Signal<SumpView> }) {
  const view = sump.value;
  const adding = useSignal(false);
  const addingParts = useSignal(false);
  const missing = view.parts.filter(({ joint }) => joint === null).length;
  const own = view.joints.flatMap((name) => joints.value.get(name) ?? []);
  return (
    <div class="setup-sump" id={`sump-${view.sump}`}>
      <h3 id={`sump-title-${view.sump}`} tabIndex={-1}>
        {view.label} {view.serial !== null && <span class="soft">{view.serial}</span>}
      </h3>
      <p class="soft">{setupText.setup.sumps.sequenceOf(view.sequence.title)}</p>
      {own.length === 0 ? (
        <p class="soft">{setupText.setup.sumps.noJoints}</p>
      ) : (
        <ul class="rows">
          {own.map((joint) => (
            <JointRow key={joint.peek().joint} joint={joint} />
          ))}
        </ul>
      )}
      {mayWrite() && missing > 0 && (
        <div class="parts-offer">
          <p>{setupText.setup.sumps.partsOffer(missing)}</p>
          <button
            type="button"
            class="button"
            onClick={() => {
              addingParts.value = true;
            }}
          >
            {setupText.setup.sumps.addParts}
          </button>
        </div>
      )}
      <div class="form-actions">
        {mayWrite() && (
          <button
            type="button"
            class="button"
            onClick={() => {
              adding.value = true;
            }}
          >
            {setupText.setup.sumps.addJoint}
          </button>
        )}
        <TakeBackAdded entry={{ seq: view.addedSeq, what: view.label }} />
      </div>
      {addingParts.value && (
        <AddParts
          sump={view}
          onClose={() => {
            addingParts.value = false;
          }}
        />
      )}
      {adding.value && (
        <NewJoint
          sump={view}
          onClose={() => {
            adding.value = false;
          }}
        />
      )}
    </div>
  );
}

function JointRow({ joint }: { joint: Signal<JointView> }) {
  const view = joint.value;
  const named = view.probes.map(({ probe }) => probeName(probe));
  return (
    <li class="row">
      <PhaseMark phase={view.phase} />
      <span class="row-main">
        <Link href={`/joints/${encodeURIComponent(view.joint)}`} class="row-link">
          {view.label}
        </Link>
        <span class="soft">
          {view.scheduleDetail.title}, {named.length === 0 ? setupText.setup.sumps.noProbe : text.listAnd(named)}
        </span>
      </span>
      <TakeBackAdded entry={{ seq: view.addedSeq, what: jointInSump(view.joint) }} />
    </li>
  );
}

function NewSump({ onDone }: { onDone: () => void }) {
  const label = useSignal('');
  const serial = useSignal('');
  const sequence = useSignal('');
  useEffect(() => {
    void loadKnown();
  }, []);
  const derived = useDerivedId(label, () => new Set(sumps.value.keys()), 'sump');
  const { busy, problem, record } = useRecord();
  const save = async (event: Event) => {
    event.preventDefault();
    // Once it is there, its identifier is taken and another one would be derived.
    const id = derived.id.peek();
    const number = serial.value.trim();
    const saved = await record({
      kind: 'sump.added',
      sump: id,
      label: label.value,
      ...(number === '' ? {} : { serial: number }),
      ...(sequence.value === '' ? {} : { sequence: sequence.value }),
    });
    if (!saved) return;
    onDone();
    focusSoon(`sump-title-${id}`);
  };
  return (
    <form class="form sunk" onSubmit={save}>
      <h3>{setupText.setup.sumps.add}</h3>
      <TextField
        label={setupText.setup.sumps.label}
        hint={setupText.setup.sumps.labelHint}
        path="label"
        problem={problem.value}
        value={label}
        required
      />
      <TextField label={setupText.setup.sumps.serial} path="serial" problem={problem.value} value={serial} />
      <Pick
        label={setupText.setup.sumps.sequence}
        hint={setupText.setup.sumps.sequenceHint}
        path="sequence"
        problem={problem.value}
        options={[
          ['', setupText.setup.sumps.sequenceNone],
          ...(sequences.value ?? [])
            .filter(({ name }) => name !== testAndBackfill.name)
            .map(({ name, title }): [string, string] => [name, title]),
        ]}
        value={sequence.value}
        onChange={(value) => {
          sequence.value = value;
        }}
      />
      <IdField derived={derived} path="sump" problem={problem.value} />
      <ProblemNote problem={problem.value} fields={['label', 'serial', 'sequence', 'sump']} />
      <div class="form-actions">
        <button type="submit" class="button primary" disabled={busy.value}>
          {busy.value ? text.action.saving : setupText.setup.sumps.create}
        </button>
        <button type="button" class="button" disabled={busy.value} onClick={onDone}>
          {text.action.cancel}
        </button>
      </div>
    </form>
  );
}
