import { useSignal } from '@preact/signals';
import { verdictOf } from '../../../edge/cure/waterTest.ts';
import type { SumpView } from '../../../edge/site/views/sump.ts';
import { lengthOf } from '../../answer/typed.ts';
import { type Draft, isByHand, testOf } from '../../answer/waterTest.ts';
import type { StatementSent } from '../../api/shapes.ts';
import { session } from '../../live/session.ts';
import { offerUndo } from '../../live/undo.ts';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { sayingText } from '../../text/sayingText.ts';
import { text } from '../../text/text.ts';
import { workText } from '../../text/workText.ts';
import { JudgedNote } from './JudgedNote.tsx';
import type { Kept } from './WaterTestSteps.tsx';

/** The verdict before anything is put on record, and putting it there. */
export function VerdictStep({ view, kept }: { view: SumpView; kept: Kept }) {
  const draft = kept.draft.value;
  const words = workText.waterTest;
  const note = useSignal(draft.note);
  const { busy, problem, record } = useRecord();
  const test = testOf(draft);
  const who = session.value;
  const isEmpty = !isByHand(draft) && draft.probe === '';
  const save = async (submitted: Event) => {
    submitted.preventDefault();
    const recorded = await record(statementOf(view.sump, draft, note.value.trim()));
    if (recorded === null) return;
    offerUndo(null, recorded.seq, sayingText.recorded.waterTest(view.label));
    kept.forget();
  };
  return (
    <form class="form" onSubmit={save}>
      {test !== null && <JudgedNote judged={verdictOf(test)} method={draft.method} isPreview />}
      {draft.probe !== '' && <p>{words.probeJudged}</p>}
      {isEmpty && <p class="fault">{words.missing}</p>}
      {typeof who === 'object' && <p>{words.by(who.name)}</p>}
      <TextField label={words.note} path="note" problem={problem.value} value={note} />
      <ProblemNote problem={problem.value} fields={['note']} />
      <button type="submit" class="button primary" disabled={busy.value || isEmpty}>
        {busy.value ? text.action.saving : words.save}
      </button>
    </form>
  );
}

function statementOf(sump: string, draft: Draft, note: string): StatementSent {
  const { method, unit, resolution, probe, filledMs, startedMs, endedMs, celsiusStart, celsiusEnd } = draft;
  const level = (typed: string) => ({ value: lengthOf(typed) ?? Number.NaN, unit });
  const instant = (ms: number | null) => new Date(ms ?? Number.NaN).toISOString();
  return {
    kind: 'hydrotest.recorded',
    sump,
    method,
    fillAboveHighest: level(draft.fill),
    filledAt: instant(filledMs),
    startedAt: instant(startedMs),
    endedAt: instant(endedMs),
    ...(lengthOf(draft.depth) === null ? {} : { waterDepth: level(draft.depth) }),
    ...(isByHand(draft)
      ? { byHand: { start: level(draft.start), end: level(draft.end), resolution: { value: resolution, unit } } }
      : {}),
    ...(probe === '' ? {} : { probe }),
    ...(celsiusStart === null ? {} : { waterCelsiusStart: celsiusStart }),
    ...(celsiusEnd === null ? {} : { waterCelsiusEnd: celsiusEnd }),
    ...(note === '' ? {} : { note }),
  };
}
