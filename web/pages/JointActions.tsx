import { type Signal, useSignal } from '@preact/signals';
import { Link } from 'wouter-preact';
import type { JointView } from '../../edge/site/views/joint.ts';
import { AddNote } from '../parts/AddNote.tsx';
import { Assign } from '../parts/Assign.tsx';
import { LayUp } from '../parts/LayUp.tsx';
import { jointText } from '../text/jointText.ts';
import { text } from '../text/text.ts';
import { HeatButtons } from './ahead/HeatButtons.tsx';
import { Prep } from './crew/Prep.tsx';
import { Proof } from './crew/Proof.tsx';
import { RainButtons } from './crew/Rain.tsx';

type Open = 'prep' | 'first' | 'ply' | 'relaid' | 'proof' | 'assign' | 'note';

/** What may be put on record about a joint, in the order of the work; the next step stands out. */
export function JointActions({ joint }: { joint: Signal<JointView> }) {
  const view = joint.value;
  const open = useSignal<Open | null>(null);
  const show = (which: Open) => () => {
    open.value = which;
  };
  const close = () => {
    open.value = null;
  };
  const which = open.value;
  const isLaidUp = view.laidUpAt !== null;
  const isVoid = view.phase === 'void';
  // A signed surface leads on to the lay-up; before it the surface comes first.
  const next: Open | null = isVoid ? 'relaid' : isLaidUp ? null : view.prepAt === null ? 'prep' : 'first';
  const action = (kind: Open, label: string) => (
    <button type="button" class={kind === next ? 'button primary' : 'button'} onClick={show(kind)}>
      {label}
    </button>
  );
  const needsNoMix = view.scheduleDetail.law === 'moisture';
  return (
    <section class="joint-record" aria-label={jointText.actions}>
      {action('prep', text.work.open.prep)}
      <Link href={`/joints/${encodeURIComponent(view.joint)}/mix`} class="button">
        {needsNoMix ? text.work.open.kit : text.work.open.mix}
      </Link>
      {isLaidUp ? (
        <>
          {action('ply', jointText.action.ply)}
          {action('relaid', jointText.action.relaid)}
          {action('proof', text.work.open.proof)}
        </>
      ) : (
        action('first', jointText.action.laidUp)
      )}
      <RainButtons sump={view.sump} />
      <HeatButtons scope={{ joint: view.joint }} />
      {action('assign', jointText.action.assign)}
      {action('note', jointText.action.note)}
      {which === 'prep' && <Prep view={view} onClose={close} />}
      {(which === 'first' || which === 'ply' || which === 'relaid') && <LayUp view={view} kind={which} onClose={close} />}
      {which === 'proof' && <Proof view={view} onClose={close} />}
      {which === 'assign' && <Assign view={view} onClose={close} />}
      {which === 'note' && <AddNote joint={view.joint} onClose={close} />}
    </section>
  );
}
