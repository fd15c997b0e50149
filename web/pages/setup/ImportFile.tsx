import { useSignal } from '@preact/signals';
import type { ProbeView } from '../../../edge/site/views/probe.ts';
import type { Problem } from '../../api/call.ts';
import { dated, percent } from '../../look/format.ts';
import { Field, ProblemNote } from '../../parts/form.tsx';
import { Sheet, SheetActions } from '../../parts/Sheet.tsx';
import { setupText } from '../../text/setupText.ts';
import { text } from '../../text/text.ts';
import { type Taken, upload } from './upload.ts';

const words = setupText.setup.file;

/** Takes a logger's CSV file in for a probe. */
export function ImportFile({ view, onClose }: { view: ProbeView; onClose: () => void }) {
  const file = useSignal<File | null>(null);
  /** Share of the file that is through; null: nothing is being sent. */
  const share = useSignal<number | null>(null);
  const problem = useSignal<Problem | null>(null);
  const taken = useSignal<Taken | null>(null);
  const send = async (event: Event) => {
    event.preventDefault();
    if (file.value === null || share.value !== null) return;
    share.value = 0;
    problem.value = null;
    const answer = await upload(view.probe, file.value, (sent) => {
      share.value = sent;
    });
    share.value = null;
    if (answer.ok) taken.value = answer.value;
    else problem.value = answer.problem;
  };
  if (taken.value !== null)
    return (
      <Sheet title={words.title(view.label)} onClose={onClose}>
        <Result taken={taken.value} />
        <div class="form-actions">
          <button type="button" class="button primary" onClick={onClose}>
            {text.action.close}
          </button>
          <button
            type="button"
            class="button"
            onClick={() => {
              taken.value = null;
              file.value = null;
            }}
          >
            {words.another}
          </button>
        </div>
      </Sheet>
    );
  return (
    <Sheet title={words.title(view.label)} onClose={onClose}>
      <form class="form" onSubmit={send}>
        <p>{words.lead}</p>
        <div>
          <p>{words.columns}</p>
          <ul class="plain-list">
            <li>{words.columnTime}</li>
            <li>{words.columnTemperature}</li>
            <li>{words.columnHumidity}</li>
          </ul>
        </div>
        <Field label={words.choose} path="file" problem={null}>
          {(attributes) => (
            <input
              {...attributes}
              type="file"
              accept=".csv,text/csv"
              required
              onChange={(event) => {
                file.value = event.currentTarget.files?.[0] ?? null;
                problem.value = null;
              }}
            />
          )}
        </Field>
        {share.value !== null && (
          <div role="status">
            <progress value={share.value} max={1} />
            <p>{share.value < 1 ? words.sending(percent(share.value)) : words.reading}</p>
          </div>
        )}
        <ProblemNote problem={problem.value} />
        <SheetActions confirm={words.send} busy={share.value !== null} disabled={file.value === null} onCancel={onClose} />
      </form>
    </Sheet>
  );
}

function Result({ taken }: { taken: Taken }) {
  const { rows, from, to, sha256, rejected, rejectedTotal } = taken;
  const at = (instant: string) => dated(Date.parse(instant));
  return (
    <>
      <p class="saved-note" role="status">
        {words.done(rows, rows.toLocaleString(text.locale))} {words.span(at(from), at(to))}
      </p>
      <dl class="facts">
        <div>
          <dt>{words.hash}</dt>
          <dd>
            <code>{sha256}</code>
          </dd>
        </div>
      </dl>
      {rejectedTotal === 0 ? (
        <p>{words.rejectedNone}</p>
      ) : (
        <div>
          <p>
            <b>{words.rejected(rejectedTotal, rejectedTotal.toLocaleString(text.locale))}</b>
          </p>
          <ul class="plain-list">
            {rejected.map(({ line, reason }) => (
              <li key={`${line} ${reason}`}>{words.line(String(line), reason)}</li>
            ))}
          </ul>
          {rejectedTotal > rejected.length && <p>{words.rejectedMore(String(rejectedTotal - rejected.length))}</p>}
        </div>
      )}
    </>
  );
}
