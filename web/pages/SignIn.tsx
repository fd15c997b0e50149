import { useSignal } from '@preact/signals';
import type { Problem } from '../api/call.ts';
import { signIn } from '../live/session.ts';
import { Field, ProblemNote, typed } from '../parts/form.tsx';
import { personText } from '../text/personText.ts';
import { text } from '../text/text.ts';

export function SignIn() {
  const name = useSignal('');
  const token = useSignal('');
  const busy = useSignal(false);
  const problem = useSignal<Problem | null>(null);
  const submit = async (event: Event) => {
    event.preventDefault();
    if (busy.peek()) return;
    busy.value = true;
    const refused = await signIn(name.value.trim(), token.value.trim());
    // The service speaks to whoever set it up; at the gate stands the crew.
    problem.value = refused?.code === 'bad-token' ? { ...refused, detail: personText.signIn.badToken } : refused;
    busy.value = false;
  };
  return (
    <main class="sign-in">
      <h1>{text.appName}</h1>
      <form class="panel" onSubmit={submit}>
        <h2>{personText.signIn.title}</h2>
        <p class="soft">{personText.signIn.lead}</p>
        <Field label={personText.signIn.name} path="name" problem={problem.value}>
          {(attributes) => (
            <input
              {...attributes}
              type="text"
              autocomplete="username"
              required
              value={name.value}
              onInput={(event) => {
                name.value = typed(event);
              }}
            />
          )}
        </Field>
        <Field label={personText.signIn.token} path="token" problem={problem.value} hint={personText.signIn.tokenHint}>
          {(attributes) => (
            <input
              {...attributes}
              type="password"
              autocomplete="current-password"
              required
              value={token.value}
              onInput={(event) => {
                token.value = typed(event);
              }}
            />
          )}
        </Field>
        <ProblemNote problem={problem.value} fields={['name', 'token']} />
        <button type="submit" class="button primary" disabled={busy.value}>
          {busy.value ? personText.signIn.busy : personText.signIn.submit}
        </button>
      </form>
      <p class="caution">{text.caution}</p>
    </main>
  );
}
