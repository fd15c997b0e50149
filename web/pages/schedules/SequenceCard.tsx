import { type Sequence, testAndBackfill } from '../../../edge/site/sequence.ts';
import { setupText } from '../../text/setupText.ts';
import { isBuiltInOrder, mayState, scheduleTitle } from './known.ts';
import { needWords } from './needWords.ts';

const words = setupText.schedules.sequences;
const listed = setupText.schedules.list;

/** An order of work: its joints, its steps, and what each step waits for. */
export function SequenceCard({ sequence, onEdit }: { sequence: Sequence; onEdit: (isNewVersion: boolean) => void }) {
  const builtIn = isBuiltInOrder(sequence);
  return (
    <article class="schedule-card" id={`sequence-${sequence.name}`} tabIndex={-1}>
      <h3>
        {sequence.title} <span class="soft">{listed.version(String(sequence.version))}</span>
      </h3>
      <p class="soft">
        {builtIn ? listed.builtIn : listed.own}, {listed.by(sequence.author)}
      </p>
      {sequence.parts.length === 0 ? (
        <p>{words.noParts}</p>
      ) : (
        <>
          <h4>{words.parts}</h4>
          <ul class="plain-list">
            {sequence.parts.map(({ part, label, schedule }) => (
              <li key={part}>{words.part(label, scheduleTitle(schedule))}</li>
            ))}
          </ul>
        </>
      )}
      <h4>{words.order}</h4>
      <ol class="steps">
        {sequence.activities.map(({ activity, label, needs }) => (
          <li key={activity}>
            <b>{label}</b>
            {needs.length === 0 ? (
              <p class="soft">{words.freely}</p>
            ) : (
              <>
                <p class="soft">{words.waits}</p>
                <ul class="plain-list">
                  {needs.map((need) => {
                    const said = needWords(need, sequence);
                    return <li key={said}>{said}</li>;
                  })}
                </ul>
              </>
            )}
          </li>
        ))}
      </ol>
      <p class="soft">{listed.source(sequence.source)}</p>
      {sequence.name === testAndBackfill.name && <p class="soft">{words.guard}</p>}
      {mayState('sequence.given') && (
        <div class="form-actions">
          <button type="button" class="button" onClick={() => onEdit(false)}>
            {listed.copy}
          </button>
          {!builtIn && (
            <button type="button" class="button" onClick={() => onEdit(true)}>
              {listed.change}
            </button>
          )}
        </div>
      )}
    </article>
  );
}
