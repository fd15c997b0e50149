import { useSignal } from '@preact/signals';
import { sumpName } from '../../live/store.ts';
import { offerUndo } from '../../live/undo.ts';
import { Choice } from '../../parts/Choice.tsx';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { Icon } from '../../parts/Icon.tsx';
import { Sheet, SheetActions } from '../../parts/Sheet.tsx';
import { instantOf, TimePick } from '../../parts/TimePick.tsx';
import { sayingText } from '../../text/sayingText.ts';
import { text } from '../../text/text.ts';
import { workText } from '../../text/workText.ts';
import { rainOn, whereOf } from './RainNote.tsx';

/** Says that it rains, or that the rain is over. */
export function RainButtons({ sump }: { sump: string }) {
  const asking = useSignal<'begins' | 'ends' | null>(null);
  const going = rainOn(sump);
  const close = () => {
    asking.value = null;
  };
  return (
    <>
      <button
        type="button"
        class="button"
        onClick={() => {
          asking.value = going.length > 0 ? 'ends' : 'begins';
        }}
      >
        <Icon name="rain" />
        {going.length > 0 ? text.work.rain.over : text.work.rain.now}
      </button>
      {asking.value === 'begins' && <Begins sump={sump} onClose={close} />}
      {asking.value === 'ends' && <Ends scope={going[0]?.sump ?? null} onClose={close} />}
    </>
  );
}

function Begins({ sump, onClose }: { sump: string; onClose: () => void }) {
  const scope = useSignal<'sump' | 'site'>('site');
  const at = useSignal<number | null>(null);
  const { busy, problem, record } = useRecord();
  const words = workText.rainSheet;
  const save = async () => {
    const own = scope.value === 'sump' ? { sump } : {};
    const recorded = await record({ kind: 'rain.noted', at: instantOf(at), ...own });
    if (recorded === null) return;
    offerUndo(null, recorded.seq, sayingText.recorded.rain(whereOf(scope.value === 'sump' ? sump : null)));
    onClose();
  };
  return (
    <Sheet title={words.title} onClose={onClose}>
      <p>{words.lead}</p>
      <Choice
        label={words.where}
        names={{ site: words.site, sump: words.sump(sumpName(sump)) }}
        value={scope.value}
        onChoose={(value) => {
          scope.value = value;
        }}
      />
      <TimePick at={at} label={words.from} />
      <ProblemNote problem={problem.value} />
      <SheetActions confirm={words.confirm} busy={busy.value} onConfirm={save} onCancel={onClose} />
    </Sheet>
  );
}

function Ends({ scope, onClose }: { scope: string | null; onClose: () => void }) {
  const at = useSignal<number | null>(null);
  const { busy, problem, record } = useRecord();
  const words = workText.rainSheet;
  const save = async () => {
    const recorded = await record({ kind: 'rain.ended', at: instantOf(at), ...(scope === null ? {} : { sump: scope }) });
    if (recorded === null) return;
    offerUndo(null, recorded.seq, sayingText.recorded.rainEnded(whereOf(scope)));
    onClose();
  };
  return (
    <Sheet title={words.overTitle} about={whereOf(scope)} onClose={onClose}>
      <TimePick at={at} label={words.until} />
      <ProblemNote problem={problem.value} />
      <SheetActions confirm={words.confirmOver} busy={busy.value} onConfirm={save} onCancel={onClose} />
    </Sheet>
  );
}
