import { type Signal, useSignal } from '@preact/signals';
import { useId } from 'preact/hooks';
import type { Problem } from '../api/call.ts';
import { session, signOut } from '../live/session.ts';
import { hourCycle, theme, unit } from '../look/settings.ts';
import { ProblemNote } from '../parts/form.tsx';
import { text } from '../text/text.ts';

export function Settings() {
  return (
    <div class="page narrow">
      <h1>{text.settings.title}</h1>
      <section class="panel">
        <Choice label={text.settings.unit} names={text.settings.unitChoice} value={unit} />
        <Choice label={text.settings.hourCycle} names={text.settings.hourCycleChoice} value={hourCycle} />
        <Choice label={text.settings.theme} names={text.settings.themeChoice} value={theme} />
        <p class="soft">{text.settings.lead}</p>
      </section>
      <Who />
    </div>
  );
}

function Choice<T extends string>({ label, names, value }: { label: string; names: Record<T, string>; value: Signal<T> }) {
  const name = useId();
  return (
    <fieldset class="choice">
      <legend>{label}</legend>
      <div class="choice-row">
        {(Object.keys(names) as T[]).map((option) => (
          <label key={option}>
            <input
              type="radio"
              name={name}
              checked={value.value === option}
              onChange={() => {
                value.value = option;
              }}
            />
            <span>{names[option]}</span>
          </label>
        ))}
      </div>
    </fieldset>
  );
}

function Who() {
  const problem = useSignal<Problem | null>(null);
  const who = session.value;
  if (typeof who === 'string') return null;
  const leave = async () => {
    problem.value = await signOut();
  };
  return (
    <section class="panel">
      <h2>{text.settings.who}</h2>
      <p>{text.settings.whoIs(who.name, text.settings.roleName[who.role])}</p>
      {who.automatic ? (
        <p class="soft">{text.settings.automatic}</p>
      ) : (
        <button type="button" class="button" onClick={leave}>
          {text.settings.signOut}
        </button>
      )}
      <ProblemNote problem={problem.value} />
    </section>
  );
}
