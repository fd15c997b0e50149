import { useSignal } from '@preact/signals';
import type { JointView } from '../../edge/site/views/joint.ts';
import type { StatementSent } from '../api/shapes.ts';
import { now } from '../live/clock.ts';
import { jointInSump, jointOfSump } from '../live/store.ts';
import { offerUndo } from '../live/undo.ts';
import { hoursDone, moment } from '../look/format.ts';
import { jointText } from '../text/jointText.ts';
import { sayingText } from '../text/sayingText.ts';
import { ColdNote } from './ColdNote.tsx';
import { Field, ProblemNote, typed, useRecord } from './form.tsx';
import { Sheet, SheetActions } from './Sheet.tsx';
import { instantOf, TimePick } from './TimePick.tsx';

/** The first lay-up, a further ply on it, or all of it anew. */
type LayUpKind = 'first' | 'ply' | 'relaid';

const words = {
  first: {
    title: jointText.layUpTitle,
    lead: () => jointText.layUpLead,
    at: jointText.layUpAt,
    confirm: jointText.layUpConfirm,
    recorded: sayingText.recorded.laidUp,
  },
  ply: {
    title: jointText.plyTitle,
    lead: jointText.plyLead,
    at: jointText.plyAt,
    confirm: jointText.plyConfirm,
    recorded: sayingText.recorded.ply,
  },
  relaid: {
    title: jointText.relaidTitle,
    lead: () => jointText.relaidLead,
    at: jointText.relaidAt,
    confirm: jointText.relaidConfirm,
    recorded: sayingText.recorded.relaid,
  },
};

interface Props {
  view: JointView;
  kind: LayUpKind;
  onClose: () => void;
}

/** Asks once more before a joint's hours start to run, with the time open to correction. */
export function LayUp({ view, kind, onClose }: Props) {
  const { joint, laidUpAt } = view;
  const at = useSignal<number | null>(null);
  const reason = useSignal('');
  const { busy, problem, record } = useRecord();
  const word = words[kind];
  const presentMs = laidUpAt === null ? null : Date.parse(laidUpAt);
  const tooEarly = presentMs !== null && (at.value ?? now.value) < presentMs;
  const confirm = async () => {
    const instant = instantOf(at);
    const recorded = await record(statement(instant));
    if (recorded === null) return;
    offerUndo(joint, recorded.seq, word.recorded(jointInSump(joint), moment(Date.parse(instant), now.value)));
    onClose();
  };
  const statement = (instant: string): StatementSent => {
    const why = reason.value.trim();
    if (kind === 'relaid') return { kind: 'joint.relaid', joint, at: instant, ...(why === '' ? {} : { reason: why }) };
    return { kind: 'joint.laidUp', joint, at: instant };
  };
  return (
    <Sheet title={word.title} about={jointOfSump(joint)} onClose={onClose}>
      <p class="lead">{word.lead(hoursDone(view.warmHours))}</p>
      <ColdNote view={view} />
      <TimePick at={at} label={word.at} />
      {tooEarly && (
        <p class="fault" role="status">
          {jointText.plyTooEarly(moment(presentMs, now.value))}
        </p>
      )}
      {kind === 'relaid' && (
        <Field label={jointText.relaidReason} path="reason" problem={problem.value}>
          {(attributes) => (
            <input
              {...attributes}
              type="text"
              value={reason.value}
              onInput={(event) => {
                reason.value = typed(event);
              }}
            />
          )}
        </Field>
      )}
      <ProblemNote problem={problem.value} fields={['reason']} />
      <SheetActions
        confirm={word.confirm(moment(at.value ?? now.value, now.value))}
        busy={busy.value}
        disabled={tooEarly}
        onConfirm={confirm}
        onCancel={onClose}
      />
    </Sheet>
  );
}
