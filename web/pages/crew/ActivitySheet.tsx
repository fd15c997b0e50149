import { useSignal } from '@preact/signals';
import type { SumpView } from '../../../edge/site/views/sump.ts';
import type { StatementSent } from '../../api/shapes.ts';
import { offerUndo } from '../../live/undo.ts';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { Sheet, SheetActions } from '../../parts/Sheet.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { instantOf, TimePick } from '../../parts/TimePick.tsx';
import { sayingText } from '../../text/sayingText.ts';
import { workText } from '../../text/workText.ts';
import type { Asking } from './Activities.tsx';
import { needWords } from './needWords.ts';

/** Puts the start or the end of an activity, or a signed hold point, on record. */
export function ActivitySheet({ asking, sump, onClose }: { asking: Asking; sump: SumpView; onClose: () => void }) {
  const at = useSignal<number | null>(null);
  const reason = useSignal('');
  const { busy, problem, record } = useRecord();
  const words = workText.activity;
  // The newest word on it: what was missing may have come while the sheet was open.
  const activity =
    asking.kind === 'hold'
      ? null
      : (sump.activities.find((each) => each.activity === asking.activity.activity) ?? asking.activity);
  const missing = asking.kind === 'start' ? (activity?.needs.filter(({ met }) => !met) ?? []) : [];
  // A time that lies back can be before what is there by now: only the service knows, and then asks for a reason.
  const isRefused = useSignal(false);
  const isEarly = missing.length > 0 || (asking.kind === 'start' && isRefused.value);
  const shown = shownOf();

  function shownOf() {
    if (asking.kind === 'hold') {
      const { label } = asking.hold;
      return {
        title: words.holdTitle(label),
        at: words.signAt,
        confirm: words.confirmSign,
        what: sayingText.recorded.hold(label, sump.label),
      };
    }
    const { label } = asking.activity;
    if (asking.kind === 'done')
      return {
        title: words.doneTitle(label),
        at: words.doneTime,
        confirm: words.confirmDone,
        what: sayingText.recorded.activityDone(label, sump.label),
      };
    return {
      title: isEarly ? words.earlyTitle(label) : words.startTitle(label),
      at: words.startAt,
      confirm: isEarly ? words.confirmEarly : words.confirmStart,
      what: sayingText.recorded.started(label, sump.label),
    };
  }

  const statement = (): StatementSent => {
    const said = { sump: sump.sump, at: instantOf(at) };
    if (asking.kind === 'hold') return { kind: 'hold.signed', ...said, hold: asking.hold.hold };
    const named = { ...said, activity: asking.activity.activity };
    if (asking.kind === 'done') return { kind: 'activity.done', ...named };
    return { kind: 'activity.started', ...named, ...(isEarly ? { reason: reason.value } : {}) };
  };
  const save = async (submitted: Event) => {
    submitted.preventDefault();
    const recorded = await record(statement());
    if (recorded === null) {
      isRefused.value ||= problem.peek()?.faults.some(({ path }) => path === 'reason') ?? false;
      return;
    }
    // What was started before its time stays on record for good.
    if (!isEarly) offerUndo(null, recorded.seq, shown.what);
    onClose();
  };
  return (
    <Sheet title={shown.title} about={sump.label} onClose={onClose}>
      <form class="form" onSubmit={save}>
        {asking.kind === 'hold' && <p>{words.holdLead}</p>}
        {isEarly && (
          <div class="early">
            {missing.length > 0 && (
              <>
                <p>
                  <b>{words.earlyLead}</b>
                </p>
                <ul>
                  {missing.map((need) => (
                    <li key={needWords(need, sump)}>{needWords(need, sump)}</li>
                  ))}
                </ul>
              </>
            )}
            <p>{words.earlyStays}</p>
          </div>
        )}
        {isEarly && <TextField label={words.reason} path="reason" problem={problem.value} value={reason} required />}
        <TimePick at={at} label={shown.at} />
        <ProblemNote problem={problem.value} fields={isEarly ? ['reason'] : []} />
        <SheetActions confirm={shown.confirm} busy={busy.value} onCancel={onClose} />
      </form>
    </Sheet>
  );
}
