import { type Signal, useSignal } from '@preact/signals';
import type { JointView } from '../../edge/site/views.ts';
import { AddNote } from '../parts/AddNote.tsx';
import { Assign } from '../parts/Assign.tsx';
import { LayUp } from '../parts/LayUp.tsx';
import { text } from '../text/text.ts';

type Open = 'first' | 'ply' | 'relaid' | 'assign' | 'note';

/** What may be put on record about a joint. */
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
  return (
    <section class="joint-record" aria-label={text.joint.actions}>
      {view.laidUpAt === null ? (
        <button type="button" class="button primary" onClick={show('first')}>
          {text.joint.action.laidUp}
        </button>
      ) : (
        <>
          <button type="button" class="button" onClick={show('ply')}>
            {text.joint.action.ply}
          </button>
          <button type="button" class="button" onClick={show('relaid')}>
            {text.joint.action.relaid}
          </button>
        </>
      )}
      <button type="button" class="button" onClick={show('assign')}>
        {text.joint.action.assign}
      </button>
      <button type="button" class="button" onClick={show('note')}>
        {text.joint.action.note}
      </button>
      {(which === 'first' || which === 'ply' || which === 'relaid') && <LayUp view={view} kind={which} onClose={close} />}
      {which === 'assign' && <Assign view={view} onClose={close} />}
      {which === 'note' && <AddNote joint={view.joint} onClose={close} />}
    </section>
  );
}
