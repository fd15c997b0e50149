import { useSignal } from '@preact/signals';
import type { JointView } from '../../edge/site/views/joint.ts';
import type { ProbeView } from '../../edge/site/views/probe.ts';
import { jointInSump, jointOfSump } from '../live/store.ts';
import { offerUndo } from '../live/undo.ts';
import { jointText } from '../text/jointText.ts';
import { sayingText } from '../text/sayingText.ts';
import { ProblemNote, useRecord } from './form.tsx';
import { ProbeChoice } from './ProbeChoice.tsx';
import { Sheet, SheetActions } from './Sheet.tsx';
import { instantOf, TimePick } from './TimePick.tsx';

/** Says which probes stand for a joint. Before lay-up for all of it, afterwards from a moment on. `add` is ticked beforehand. */
export function Assign({ view, add, onClose }: { view: JointView; add?: ProbeView; onClose: () => void }) {
  const present = view.probes.filter((probe) => probe.role === 'material').map((probe) => probe.probe);
  const material = useSignal<readonly string[]>(add?.role === 'material' ? [...present, add.probe] : present);
  const air = add?.role === 'ambient' ? add.probe : view.probes.find((probe) => probe.role === 'ambient')?.probe;
  const ambient = useSignal(air ?? '');
  const from = useSignal<number | null>(null);
  const { busy, problem, record } = useRecord();
  const save = async () => {
    const recorded = await record({
      kind: 'joint.assigned',
      joint: view.joint,
      probes: [...material.value],
      ...(ambient.value === '' ? {} : { ambient: ambient.value }),
      ...(from.value === null ? {} : { at: instantOf(from) }),
    });
    if (recorded === null) return;
    offerUndo(view.joint, recorded.seq, sayingText.recorded.assigned(jointInSump(view.joint)));
    onClose();
  };
  return (
    <Sheet title={jointText.assignTitle} about={jointOfSump(view.joint)} onClose={onClose}>
      <p class="lead">{jointText.assignLead}</p>
      <ProbeChoice chosen={{ material, ambient }} joint={view.joint} problem={problem.value} />
      {view.laidUpAt !== null && <TimePick at={from} label={jointText.assignFrom} />}
      <ProblemNote problem={problem.value} fields={['probes', 'ambient']} />
      <SheetActions confirm={jointText.assignSave} busy={busy.value} onConfirm={save} onCancel={onClose} />
    </Sheet>
  );
}
