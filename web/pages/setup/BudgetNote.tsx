import { type Contribution, standardUncertainty } from '../../../edge/cure/sensors/uncertainty.ts';
import { unitSign } from '../../look/format.ts';
import { unit } from '../../look/settings.ts';
import { setupText } from '../../text/setupText.ts';
import type { Budget } from './budget.ts';

const words = setupText.setup.budget;

/** A small difference of temperatures, to two figures after the point. */
export function fine(celsius: number): string {
  return `${(unit.value === 'F' ? celsius * 1.8 : celsius).toFixed(2)}\u202f${unitSign()}`;
}

const sizeOf = (contribution: Contribution) =>
  contribution.distribution === 'normal' ? '–' : `±\u202f${fine(contribution.halfWidthCelsius)}`;

/** What a probe can be off by, share by share, and what is taken off its readings for it. */
export function BudgetNote({
  budget,
  ownCelsius,
  note,
}: {
  budget: Budget;
  ownCelsius: number | null;
  note?: string | undefined;
}) {
  return (
    <section class="budget" aria-label={words.title}>
      <h3>{words.title}</h3>
      {note !== undefined && <p class="soft">{note}</p>}
      <div class="table-frame">
        <table class="numbers">
          <thead>
            <tr>
              <th scope="col">{words.name}</th>
              <th scope="col">{words.size}</th>
              <th scope="col">{words.standard}</th>
            </tr>
          </thead>
          <tbody>
            {budget.contributions.map((contribution) => (
              <tr key={contribution.name}>
                <th scope="row">{words.contribution[contribution.name] ?? contribution.name}</th>
                <td>{sizeOf(contribution)}</td>
                <td>{fine(standardUncertainty([contribution]))}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <p>
        {words.expanded(fine(budget.expandedCelsius))} {words.oneSided(fine(budget.oneSidedCelsius))}
      </p>
      <p>
        <b>{ownCelsius === null ? words.guard(fine(budget.guardCelsius)) : words.own(fine(ownCelsius))}</b>{' '}
        {ownCelsius === null && budget.isLimit && words.isLimit}
      </p>
    </section>
  );
}
