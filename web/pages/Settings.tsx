import { type Signal, useSignal } from '@preact/signals';
import { useId } from 'preact/hooks';
import type { Problem } from '../api/call.ts';
import { session, signOut } from '../live/session.ts';
import { hourCycle, theme, unit } from '../look/settings.ts';
import { ProblemNote } from '../parts/form.tsx';
import { personText } from '../text/personText.ts';

export function Settings() {
  return (
    <div class="page narrow">
      <h1>{personText.settings.title}</h1>
      <section class="panel">
        <Choice label={personText.settings.unit} names={personText.settings.unitChoice} value={unit} />
        <Choice label={personText.settings.hourCycle} names={personText.settings.hourCycleChoice} value={hourCycle} />
        <Choice label={personText.settings.theme} names={personText.settings.themeChoice} value={theme} />
        <p class="soft">{personText.settings.lead}</p>
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
      <h2>{personText.settings.who}</h2>
      <p>{personText.settings.whoIs(who.name, personText.settings.roleName[who.role])}</p>
      {who.automatic ? (
        <p class="soft">{personText.settings.automatic}</p>
      ) : (
        <button type="button" class="button" onClick={leave}>
          {personText.settings.signOut}
        </button>
      )}
      <ProblemNote problem={problem.value} />
    </section>
  );
}
