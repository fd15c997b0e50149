import { useSignal } from '@preact/signals';
import type { FindingView } from '../../../edge/site/views/finding.ts';
import type { Decision } from '../../answer/findings.ts';
import { jointOfSump } from '../../live/store.ts';
import { offerUndo } from '../../live/undo.ts';
import { findingWords, sumpOf } from '../../parts/findingWords.ts';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { Sheet, SheetActions } from '../../parts/Sheet.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { sayingText } from '../../text/sayingText.ts';
import { workText } from '../../text/workText.ts';
import { TakeBackEntry } from './TakeBackEntry.tsx';

/** Where a finding stands, in words. */
export const placeOf = (finding: FindingView) => (finding.joint === null ? sumpOf(finding) : jointOfSump(finding.joint));

/** Asks for the reason of a decision on a finding. */
export function DecideFinding({ finding, decision, onClose }: { finding: FindingView; decision: Decision; onClose: () => void }) {
  const reason = useSignal('');
  const { busy, problem, record } = useRecord();
  const { title, said } = findingWords(finding);
  const save = async (submitted: Event) => {
    submitted.preventDefault();
    const recorded = await record({ kind: 'finding.decided', finding: finding.id, decision, reason: reason.value });
    if (recorded === null) return;
    offerUndo(null, recorded.seq, sayingText.recorded.decided(title, placeOf(finding)));
    onClose();
  };
  return (
    <Sheet title={workText.deciding.decideTitle[decision]} about={placeOf(finding)} onClose={onClose}>
      <form class="form" onSubmit={save}>
        <div class="quoted">
          <b>{title}</b>
          <p>{said}</p>
        </div>
        <p>{workText.deciding.decideLead[decision]}</p>
        <TextField label={workText.deciding.reason} path="reason" problem={problem.value} value={reason} required />
        <ProblemNote problem={problem.value} fields={['reason']} />
        <SheetActions confirm={workText.deciding.confirm[decision]} busy={busy.value} onCancel={onClose} />
      </form>
    </Sheet>
  );
}

/** Asks why a decision is taken back. `about`: the joint or sump that it concerns. */
export function TakeBackDecision(props: { about: string; seq: number; onClose: () => void }) {
  const { undoTitle, undoLead } = workText.deciding;
  return <TakeBackEntry title={undoTitle} lead={undoLead} {...props} />;
}
