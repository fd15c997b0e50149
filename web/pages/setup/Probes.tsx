import { type Signal, useSignal } from '@preact/signals';
import type { JointView, ProbeView } from '../../../edge/site/views.ts';
import { mayWrite } from '../../live/session.ts';
import { jointInSump, joints, probes } from '../../live/store.ts';
import { temperature } from '../../look/format.ts';
import { Age } from '../../parts/Age.tsx';
import { Assign } from '../../parts/Assign.tsx';
import { focusSoon } from '../../parts/focus.ts';
import { ProblemNote, typed, useRecord } from '../../parts/form.tsx';
import { text } from '../../text/text.ts';
import { ProbeForm } from './ProbeForm.tsx';

/** The probes of the site, strangers first: they wait for somebody. */
export function Probes() {
  const all = [...probes.value.values()];
  const strangers = all.filter((probe) => !probe.value.registered);
  const registered = all.filter((probe) => probe.value.registered);
  const editing = useSignal<ProbeView | 'new' | null>(null);
  return (
    <>
      <p class="safety">{text.setup.probes.caution}</p>
      {strangers.length > 0 && (
        <div class="part">
          <h3>{text.setup.probes.strangers}</h3>
          <p class="soft">{text.setup.probes.strangersLead}</p>
          <ul class="rows">
            {strangers.map((probe) => (
              <Stranger key={probe.peek().probe} probe={probe} />
            ))}
          </ul>
        </div>
      )}
      <div class="part">
        <h3>{text.setup.probes.registered}</h3>
        {registered.length === 0 ? (
          <p class="soft">{text.setup.probes.none}</p>
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
          {text.setup.probes.add}
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

/** A probe that is heard but counts for nothing yet: one tap says where it measures. */
function Stranger({ probe }: { probe: Signal<ProbeView> }) {
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
          <button type="button" class="button" disabled={busy.value} onClick={register('material')}>
            {text.setup.probes.registerMaterial}
          </button>
          <button type="button" class="button" disabled={busy.value} onClick={register('ambient')}>
            {text.setup.probes.registerAmbient}
          </button>
        </span>
      )}
    </li>
  );
}

function Registered({ probe, onEdit }: { probe: Signal<ProbeView>; onEdit: () => void }) {
  const view = probe.value;
  const joining = useSignal<JointView | null>(null);
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
          {named.length === 0 ? text.setup.probes.onNone : text.setup.probes.onJoints(text.listAnd(named))}
        </span>
      </span>
      {mayWrite() && (
        <span class="row-actions">
          <PutOn view={view} onChoose={(joint) => (joining.value = joint)} />
          <button type="button" class="button" onClick={onEdit}>
            {text.setup.probes.edit}
          </button>
        </span>
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
        aria-label={text.setup.probes.putOn}
        value={joint?.joint ?? ''}
        onChange={(event) => {
          chosen.value = typed(event);
        }}
      >
        <option value="">{text.setup.probes.putOn}</option>
        {others.map((joint) => (
          <option key={joint.joint} value={joint.joint}>
            {jointInSump(joint.joint)}
          </option>
        ))}
      </select>
      <button type="button" class="button" disabled={joint === undefined} onClick={() => joint !== undefined && onChoose(joint)}>
        {text.setup.probes.putOnChosen}
      </button>
    </>
  );
}

function Newest({ view }: { view: ProbeView }) {
  return (
    <span>
      {view.latest === null ? (
        text.now.neverRead
      ) : (
        <>
          {temperature(view.latest.celsius)}, <Age atMs={Date.parse(view.latest.at)} />
        </>
      )}
      {view.online === false && `, ${text.setup.probes.offline}`}
    </span>
  );
}
