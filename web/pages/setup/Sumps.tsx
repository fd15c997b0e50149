import { type Signal, useSignal } from '@preact/signals';
import { Link } from 'wouter-preact';
import type { JointView, SumpView } from '../../../edge/site/views.ts';
import { mayWrite } from '../../live/session.ts';
import { joints, probeName, sumps } from '../../live/store.ts';
import { focusSoon } from '../../parts/focus.ts';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { IdField, useDerivedId } from '../../parts/IdField.tsx';
import { PhaseMark } from '../../parts/PhaseMark.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { text } from '../../text/text.ts';
import { NewJoint } from './NewJoint.tsx';

/** The sumps of the site, each with its joints, and a form for the next one. */
export function Sumps() {
  const all = [...sumps.value];
  const adding = useSignal(all.length === 0);
  const done = () => {
    adding.value = false;
  };
  return (
    <>
      {all.length === 0 && <p class="soft">{text.setup.sumps.none}</p>}
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
            {text.setup.sumps.add}
          </button>
        ))}
    </>
  );
}

function Sump({ sump }: { sump: Signal<SumpView> }) {
  const view = sump.value;
  const adding = useSignal(false);
  const own = view.joints.flatMap((name) => joints.value.get(name) ?? []);
  return (
    <div class="setup-sump" id={`sump-${view.sump}`}>
      <h3 id={`sump-title-${view.sump}`} tabIndex={-1}>
        {view.label} {view.serial !== null && <span class="soft">{view.serial}</span>}
      </h3>
      {own.length === 0 ? (
        <p class="soft">{text.setup.sumps.noJoints}</p>
      ) : (
        <ul class="rows">
          {own.map((joint) => (
            <JointRow key={joint.peek().joint} joint={joint} />
          ))}
        </ul>
      )}
      {mayWrite() && (
        <button
          type="button"
          class="button"
          onClick={() => {
            adding.value = true;
          }}
        >
          {text.setup.sumps.addJoint}
        </button>
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
          {view.scheduleDetail.title}, {named.length === 0 ? text.setup.sumps.noProbe : text.listAnd(named)}
        </span>
      </span>
    </li>
  );
}

function NewSump({ onDone }: { onDone: () => void }) {
  const label = useSignal('');
  const serial = useSignal('');
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
    });
    if (!saved) return;
    onDone();
    focusSoon(`sump-title-${id}`);
  };
  return (
    <form class="form sunk" onSubmit={save}>
      <h3>{text.setup.sumps.add}</h3>
      <TextField
        label={text.setup.sumps.label}
        hint={text.setup.sumps.labelHint}
        path="label"
        problem={problem.value}
        value={label}
        required
      />
      <TextField label={text.setup.sumps.serial} path="serial" problem={problem.value} value={serial} />
      <IdField derived={derived} path="sump" problem={problem.value} />
      <ProblemNote problem={problem.value} fields={['label', 'serial', 'sump']} />
      <div class="form-actions">
        <button type="submit" class="button primary" disabled={busy.value}>
          {busy.value ? text.action.saving : text.setup.sumps.create}
        </button>
        <button type="button" class="button" disabled={busy.value} onClick={onDone}>
          {text.action.cancel}
        </button>
      </div>
    </form>
  );
}
