import type { Quarantine } from '../../api/shapes.ts';
import { now } from '../../live/clock.ts';
import { capital, moment } from '../../look/format.ts';
import { ProblemNote } from '../../parts/form.tsx';
import { setupText } from '../../text/setupText.ts';
import { text } from '../../text/text.ts';
import { useQuarantine } from './quarantined.ts';

/** Messages that could not be believed, each with the reason in plain words. */
export function SetAside() {
  const { list, problem } = useQuarantine();
  const known = list.value;
  if (known === null)
    return problem.value === null ? <p class="soft">{text.page.loading}</p> : <ProblemNote problem={problem.value} />;
  if (known.total === 0) return <p class="soft">{setupText.setup.quarantine.none}</p>;
  return (
    <>
      <p>{setupText.setup.quarantine.lead(known.total, known.total.toLocaleString(text.locale))}</p>
      <p class="soft">{setupText.setup.quarantine.newest}</p>
      <ul class="rows">
        {alike(known.items).map(({ newest, count }) => (
          <li class="row" key={newest.id}>
            <span class="row-main">
              <b>{setupText.setup.quarantine.reason[newest.reason] ?? newest.reason}</b>
              <span>{capital(newest.detail)}</span>
              <span class="soft">
                {moment(Date.parse(newest.at), now.value)}, {newest.probe ?? setupText.setup.quarantine.noProbe},{' '}
                {setupText.setup.quarantine.bytes(String(newest.bytes))}
                {count > 1 && `, ${setupText.setup.quarantine.more(String(count - 1))}`}
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
