import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { Schedule } from '../../edge/cure/schedule.ts';
import type { Sequence } from '../../edge/site/sequence.ts';
import { focusSoon } from '../parts/focus.ts';
import { ProblemNote } from '../parts/form.tsx';
import { setupText } from '../text/setupText.ts';
import { editing, editSchedule, editSequence } from './schedules/editing.ts';
import { knownProblem, loadKnown, mayState, schedules, sequences } from './schedules/known.ts';
import { ScheduleCard } from './schedules/ScheduleCard.tsx';
import { ScheduleEditor } from './schedules/ScheduleEditor.tsx';
import { SequenceCard } from './schedules/SequenceCard.tsx';
import { SequenceEditor } from './schedules/SequenceEditor.tsx';
import { WhatIf } from './schedules/WhatIf.tsx';
import '../style/setup.css';
import '../style/schedules.css';

const words = setupText.schedules;

/** The rules that hours are counted by and that work waits for: to read, to try out, to copy and change. */
export function Schedules() {
  const saved = useSignal('');
  useEffect(() => {
    void loadKnown();
  }, []);
  const all = schedules.value;
  const orders = sequences.value;
  if (all === null || orders === null)
    return knownProblem.value === null ? <p class="waiting">{words.loading}</p> : <ProblemNote problem={knownProblem.value} />;

  const close = (id: string, told = '') => {
    editing.value = null;
    saved.value = told;
    focusSoon(id);
  };
  const tell = ({ title, version }: Schedule | Sequence) => words.list.saved(title, String(version));
  const open = editing.value;
  if (open?.what === 'schedule')
    return (
      <ScheduleEditor
        editing={open}
        onClose={() => close(`schedule-${open.from.name}`)}
        onSaved={(schedule) => close(`schedule-${schedule.name}`, tell(schedule))}
      />
    );
  if (open?.what === 'sequence')
    return (
      <SequenceEditor
        editing={open}
        onClose={() => close(`sequence-${open.from.name}`)}
        onSaved={(sequence) => close(`sequence-${sequence.name}`, tell(sequence))}
      />
    );
  return (
    <div class="setup">
      <div class="setup-head">
        <h1 tabIndex={-1}>{words.title}</h1>
        <nav aria-label={words.contents}>
          <ul>
            {[
              ['in-force', words.list.title],
              ['what-if', words.whatIf.title],
              ['orders', words.sequences.title],
            ].map(([id, title]) => (
              <li key={id}>
                <a href={`#${id}`}>{title}</a>
              </li>
            ))}
          </ul>
        </nav>
      </div>
      <div class="setup-parts">
        <p role="status" class={saved.value === '' ? 'only-heard' : 'saved-note'}>
          {saved.value}
        </p>
        <section id="in-force" class="panel" aria-labelledby="in-force-title">
          <h2 id="in-force-title">{words.list.title}</h2>
          <p>{words.lead}</p>
          <p>{words.keeps}</p>
          {!mayState('schedule.given') && <p class="soft">{words.list.qualityOnly}</p>}
          {all.map((schedule) => (
            <ScheduleCard
              key={schedule.name}
              schedule={schedule}
              onEdit={(isNewVersion) => editSchedule(schedule, isNewVersion)}
            />
          ))}
        </section>
        <section id="what-if" class="panel" aria-labelledby="what-if-title">
          <h2 id="what-if-title">{words.whatIf.title}</h2>
          <WhatIf all={all} />
        </section>
        <section id="orders" class="panel" aria-labelledby="orders-title">
          <h2 id="orders-title">{words.sequences.title}</h2>
          <p>{words.sequences.lead}</p>
          {orders.map((sequence) => (
            <SequenceCard
              key={sequence.name}
              sequence={sequence}
              onEdit={(isNewVersion) => editSequence(sequence, isNewVersion)}
            />
          ))}
        </section>
      </div>
    </div>
  );
}
