import { useSignal } from '@preact/signals';
import type { Problem } from '../../api/call.ts';
import type { ForecastTaken } from '../../api/shapes.ts';
import { linkLost } from '../../live/facts.ts';
import { offerUndo } from '../../live/undo.ts';
import { Field, ProblemNote } from '../../parts/form.tsx';
import { Icon } from '../../parts/Icon.tsx';
import { weatherText } from '../../text/weatherText.ts';
import { sendForecast } from './sendForecast.ts';

const words = weatherText.file;

/** Brings a forecast in as a file, and says what was not taken. */
export function ForecastFile() {
  const file = useSignal<File | null>(null);
  const busy = useSignal(false);
  const problem = useSignal<Problem | null>(null);
  const taken = useSignal<ForecastTaken | null>(null);
  const send = async (chosen: File, confirmed: string | null) => {
    busy.value = true;
    problem.value = null;
    taken.value = null;
    const answer = await sendForecast(chosen, confirmed);
    busy.value = false;
    if (answer.ok) {
      taken.value = answer.value;
      offerUndo(null, answer.value.seq, words.saved(chosen.name));
      return;
    }
    const asked = answer.problem.faults.find(({ confirm }) => confirm !== undefined)?.confirm;
    const take = (isRight: boolean) => {
      problem.value = null;
      if (isRight && asked !== undefined) void send(chosen, asked);
    };
    problem.value = asked === undefined ? answer.problem : { ...answer.problem, answer: take };
  };
  return (
    <section class="panel" aria-labelledby="file-title">
      <div>
        <h2 id="file-title">{words.title}</h2>
        <p class="soft">{words.lead}</p>
      </div>
      <ul class="bullets">
        {words.columns.map((column) => (
          <li key={column}>{column}</li>
        ))}
      </ul>
      <form
        class="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (file.value !== null && !busy.value) void send(file.value, null);
        }}
      >
        <Field label={words.choose} path="file" problem={null}>
          {(attributes) => (
            <input
              {...attributes}
              type="file"
              accept=".csv,.json,text/csv,application/json"
              required
              onChange={(event) => {
                file.value = event.currentTarget.files?.[0] ?? null;
                problem.value = null;
                taken.value = null;
              }}
            />
          )}
        </Field>
        <ProblemNote problem={problem.value} />
        <div role="status">{taken.value !== null && <Taken taken={taken.value} />}</div>
        {linkLost() && <p>{weatherText.noSaving}</p>}
        <button type="submit" class="button" disabled={busy.value || file.value === null || linkLost()}>
          {busy.value ? words.sending : words.send}
        </button>
      </form>
      <p class="soft">{weatherText.programs}</p>
    </section>
  );
}

function Taken({ taken: { hours, rejected, rejectedTotal } }: { taken: ForecastTaken }) {
  return (
    <>
      <p class="why is-well">
        <Icon name="check" />
        <span>
          {words.taken(hours)} {rejectedTotal === 0 && words.allTaken}
        </span>
      </p>
      {rejected.length > 0 && (
        <>
          <p>
            <b>{words.rejected(rejectedTotal)}</b>
          </p>
          <ul class="bullets">
            {rejected.map(({ line, reason }) => (
              <li key={`${line} ${reason}`}>{words.line(String(line), reason)}</li>
            ))}
          </ul>
        </>
      )}
    </>
  );
}
