import { useSignal, useSignalEffect } from '@preact/signals';
import { call, type Problem } from '../../api/call.ts';
import type { Quarantine } from '../../api/shapes.ts';
import { now } from '../../live/clock.ts';
import { quarantined } from '../../live/store.ts';
import { capital, moment } from '../../look/format.ts';
import { ProblemNote } from '../../parts/form.tsx';
import { text } from '../../text/text.ts';

/** Messages that could not be believed, each with the reason in plain words. */
export function SetAside() {
  const list = useSignal<Quarantine | null>(null);
  const problem = useSignal<Problem | null>(null);
  // A device that keeps sending rubbish makes the count run; it is looked at again when an answer is there, not for each message.
  const asking = useSignal(false);
  useSignalEffect(() => {
    const total = quarantined.value;
    if (asking.value || (list.peek() !== null && list.peek()?.total === total)) return;
    asking.value = true;
    void call<Quarantine>('GET', '/api/quarantine').then((answer) => {
      if (answer.ok) list.value = answer.value;
      problem.value = answer.ok ? null : answer.problem;
      setTimeout(() => {
        asking.value = false;
      }, 2000);
    });
  });
  const known = list.value;
  if (known === null)
    return problem.value === null ? <p class="soft">{text.page.loading}</p> : <ProblemNote problem={problem.value} />;
  if (known.total === 0) return <p class="soft">{text.setup.quarantine.none}</p>;
  return (
    <>
      <p>{text.setup.quarantine.lead(String(known.total))}</p>
      <p class="soft">{text.setup.quarantine.newest}</p>
      <ul class="rows">
        {alike(known.items).map(({ newest, count }) => (
          <li class="row" key={newest.id}>
            <span class="row-main">
              <b>{text.setup.quarantine.reason[newest.reason] ?? newest.reason}</b>
              <span>{capital(newest.detail)}</span>
              <span class="soft">
                {moment(Date.parse(newest.at), now.value)}, {newest.probe ?? text.setup.quarantine.noProbe},{' '}
                {text.setup.quarantine.bytes(String(newest.bytes))}
                {count > 1 && `, ${text.setup.quarantine.more(String(count - 1))}`}
              </span>
              {newest.payload !== '' && <code class="payload">{newest.payload}</code>}
            </span>
          </li>
        ))}
      </ul>
    </>
  );
}

type Item = Quarantine['items'][number];

/** Items of one probe set aside for one reason stand together under the newest: a loose sensor says the same all night. */
function alike(items: readonly Item[]): { readonly newest: Item; readonly count: number }[] {
  const groups = Map.groupBy(items, ({ probe, reason }) => `${reason} ${probe ?? ''}`);
  return [...groups.values()].flatMap((group) => (group[0] === undefined ? [] : [{ newest: group[0], count: group.length }]));
}
