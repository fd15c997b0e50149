import { useSignal } from '@preact/signals';
import type { MixRules } from '../../../edge/cure/mix.ts';
import { call, type Problem } from '../../api/call.ts';
import type { Lots } from '../../api/shapes.ts';
import { limit } from '../../look/format.ts';
import { unit } from '../../look/settings.ts';
import { ProblemNote } from '../../parts/form.tsx';
import { setupText } from '../../text/setupText.ts';
import { text } from '../../text/text.ts';
import { mixDraftOf } from '../schedules/mixDraft.ts';
import { written } from '../schedules/numbers.ts';
import '../../style/chart.css';

const words = setupText.setup.lots;
const fields = setupText.schedules.mix;

/** The sheet of a lot, fetched when somebody opens it: it never changes. */
export function LotSheet({ lot }: { lot: string }) {
  const sheet = useSignal<MixRules | null>(null);
  const problem = useSignal<Problem | null>(null);
  const ask = async () => {
    if (sheet.peek() !== null) return;
    const answer = await call<Lots>('GET', '/api/lots');
    if (answer.ok) sheet.value = answer.value.lots.find((each) => each.lot === lot)?.sheet ?? null;
    problem.value = answer.ok ? null : answer.problem;
  };
  return (
    <details class="more" onToggle={(event) => event.currentTarget.open && void ask()}>
      <summary>{words.sheet}</summary>
      {sheet.value === null ? (
        problem.value === null ? (
          <p class="soft">{text.page.loading}</p>
        ) : (
          <ProblemNote problem={problem.value} />
        )
      ) : (
        <Rules rules={sheet.value} />
      )}
    </details>
  );
}

function Rules({ rules }: { rules: MixRules }) {
  const { bandPercent: band, resinKgPerLitre, catalystKgPerLitre, working, tack, source } = rules;
  const { doses, doseUnit } = mixDraftOf(rules, unit.value);
  const minutes = (points: MixRules['working']) =>
    points.map(({ celsius, minutes }): Row => ({ celsius, amount: words.minutes(written(minutes)) }));
  const tables: readonly (readonly [title: string, rows: readonly Row[]])[] = [
    [
      words.doses(fields.doseUnitName[doseUnit]),
      rules.doses.map(({ celsius }, index) => ({ celsius, amount: words.millilitres(doses[index]?.amount ?? '') })),
    ],
    [fields.working, minutes(working)],
    [fields.tack, minutes(tack)],
  ];
  return (
    <div class="lot-sheet">
      <p>{words.band(written(band.min), written(band.max), written(band.preferredMin), written(band.preferredMax))}</p>
      {tables.map(([title, rows]) => rows.length > 0 && <Table key={title} title={title} rows={rows} />)}
      <p>{words.densities(written(resinKgPerLitre), written(catalystKgPerLitre))}</p>
      <p class="soft">{setupText.schedules.list.source(source)}</p>
    </div>
  );
}

interface Row {
  readonly celsius: number;
  readonly amount: string;
}

function Table({ title, rows }: { title: string; rows: readonly Row[] }) {
  return (
    <table class="numbers">
      <caption>{title}</caption>
      <tbody>
        {rows.map(({ celsius, amount }) => (
          <tr key={celsius}>
            <th scope="row">{limit(celsius)}</th>
            <td>{amount}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
