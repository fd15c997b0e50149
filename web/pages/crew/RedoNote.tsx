import { useSignal } from '@preact/signals';
import type { JointView } from '../../../edge/site/views/joint.ts';
import { mayTakeBack } from '../../live/session.ts';
import { jointOfSump } from '../../live/store.ts';
import { dated } from '../../look/format.ts';
import { roleName } from '../../parts/roleName.ts';
import { findingText } from '../../text/findingText.ts';
import { TakeBackDecision } from './DecideFinding.tsx';

/** Who has a joint done again, and why: the finding behind it may be gone by now. */
export function RedoNote({ view: { joint, redo } }: { view: JointView }) {
  const taking = useSignal(false);
  if (redo === null) return null;
  const { by, role, at, reason, seq } = redo;
  return (
    <div class="finding-decision">
      <p>
        <b>{findingText.decidedBy(findingText.decision.redo, by, roleName(role), dated(Date.parse(at)))}</b>
      </p>
      <p>{findingText.because(reason)}</p>
      {mayTakeBack(by, role) && (
        <button
          type="button"
          class="button quiet"
          onClick={() => {
            taking.value = true;
          }}
        >
          {findingText.undo}
        </button>
      )}
      {taking.value && (
        <TakeBackDecision
          about={jointOfSump(joint)}
          seq={seq}
          onClose={() => {
            taking.value = false;
          }}
        />
      )}
    </div>
  );
}
