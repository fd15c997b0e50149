import { useSignal } from '@preact/signals';
import { useId } from 'preact/hooks';
import { mayWrite } from '../../live/session.ts';
import { head } from '../../live/store.ts';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { setupText } from '../../text/setupText.ts';
import { text } from '../../text/text.ts';

const zones = Intl.supportedValuesOf('timeZone');

/** What the site is called and which clock it lives by. */
export function SiteForm({ onSaved }: { onSaved?: () => void }) {
  const here = new Intl.DateTimeFormat().resolvedOptions().timeZone;
  const known = head.peek();
  const name = useSignal(known?.name ?? '');
  // Until somebody described the site its zone is a mere default; this device is then the better guess.
  const timeZone = useSignal(known === null || known.name === null ? here : known.timeZone);
  const saved = useSignal(false);
  const { busy, problem, record } = useRecord();
  const list = useId();
  const save = async (event: Event) => {
    event.preventDefault();
    saved.value = false;
    saved.value = (await record({ kind: 'site.described', name: name.value, timeZone: timeZone.value.trim() })) !== null;
    if (saved.value) onSaved?.();
  };
  return (
    <form class="form" onSubmit={save}>
      <TextField label={setupText.setup.site.name} path="name" problem={problem.value} value={name} required />
      <TextField
        label={setupText.setup.site.timeZone}
        hint={setupText.setup.site.timeZoneHint(here)}
        path="timeZone"
        problem={problem.value}
        value={timeZone}
        list={list}
        required
      />
      <datalist id={list}>
        {zones.map((zone) => (
          <option key={zone} value={zone} />
        ))}
      </datalist>
      {timeZone.value !== here && (
        <button
          type="button"
          class="button quiet"
          onClick={() => {
            timeZone.value = here;
          }}
        >
          {setupText.setup.site.take(here)}
        </button>
      )}
      <ProblemNote problem={problem.value} fields={['name', 'timeZone']} />
      {mayWrite() && (
        <button type="submit" class="button primary" disabled={busy.value}>
          {busy.value ? text.action.saving : setupText.setup.site.save}
        </button>
      )}
      <p role="status" class="hint">
        {saved.value ? setupText.setup.site.saved : ''}
      </p>
    </form>
  );
}
