import type { WarningView } from '../../../edge/site/views/warning.ts';
import { remindTimes } from '../../answer/remind.ts';
import { comesMs } from '../../answer/warning.ts';
import { serverNowMs } from '../../live/clock.ts';
import { siteZone } from '../../live/store.ts';
import { offerUndo } from '../../live/undo.ts';
import { moment } from '../../look/format.ts';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { Sheet } from '../../parts/Sheet.tsx';
import { aheadText } from '../../text/aheadText.ts';
import { whereOf } from './warningWords.ts';

interface Props {
  warning: WarningView;
  title: string;
  onClose: () => void;
}

/** Asks when a warning shall come back. Each time is one tap. */
export function Remind({ warning, title, onClose }: Props) {
  const { busy, problem, record } = useRecord();
  const words = aheadText.warnings;
  const times = remindTimes(serverNowMs(), siteZone(), comesMs(warning, serverNowMs()));
  const save = (untilMs: number) => async () => {
    const until = new Date(untilMs).toISOString();
    const recorded = await record({ kind: 'warning.snoozed', warning: warning.warning, until });
    if (recorded === null) return;
    offerUndo(null, recorded.seq, words.recordedSnoozed(title, whereOf(warning), moment(untilMs, serverNowMs())));
    onClose();
  };
  return (
    <Sheet title={words.remindTitle} about={title} onClose={onClose}>
      <p>{times.length === 0 ? words.remindNone : words.remindLead}</p>
      <div class="warning-times">
        {times.map(({ name, atMs }) => (
          <button key={name} type="button" class="button" disabled={busy.value} onClick={save(atMs)}>
            {name === 'morning' ? words.at6(moment(atMs, serverNowMs())) : words.in[name]}
          </button>
        ))}
      </div>
      <ProblemNote problem={problem.value} />
    </Sheet>
  );
}
