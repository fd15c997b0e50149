import { Calibration } from '../../../edge/cure/sensors/calibration.ts';
import type { ProbeView } from '../../../edge/site/views/probe.ts';
import { capital, temperature } from '../../look/format.ts';
import { unit } from '../../look/settings.ts';
import { setupText } from '../../text/setupText.ts';
import { checked } from '../schedules/faults.ts';
import { fine } from './BudgetNote.tsx';
import { budgetOf } from './budget.ts';
import { type CalibrationDraft, calibrationSaid, correctionsBy } from './calibrationDraft.ts';
import { toldOf } from './told.ts';

const words = setupText.setup.calibration;

/** What a calibration would make of the readings, and of what is taken off them, before it is recorded. */
export function CalibrationEffect({ view, draft }: { view: ProbeView; draft: CalibrationDraft }) {
  // What it was compared with and by whom changes no figure.
  const { value: calibration, problem } = checked(
    Calibration,
    calibrationSaid({ ...draft, reference: '-', by: '-' }, unit.value),
    'calibration',
  );
  const { coldIndicated, coldReference, warmIndicated, warmReference, referenceUncertainty } = draft;
  const isComplete = [coldIndicated, coldReference, warmIndicated, warmReference, referenceUncertainty].every(
    (written) => written.trim() !== '',
  );
  const own = toldOf(view).uncertaintyCelsius;
  return (
    <section class="budget" aria-label={words.effect}>
      <h3>{words.effect}</h3>
      {calibration === null ? (
        <p class={isComplete ? 'fault' : 'soft'}>{isComplete ? capital(problem.faults[0]?.message ?? '') : words.later}</p>
      ) : (
        <>
          <div class="table-frame">
            <table class="numbers">
              <thead>
                <tr>
                  <th scope="col">{words.shows}</th>
                  <th scope="col">{words.becomes}</th>
                  <th scope="col">{words.correction}</th>
                </tr>
              </thead>
              <tbody>
                {correctionsBy(calibration).map(({ indicatedCelsius, correctedCelsius }) => (
                  <tr key={indicatedCelsius}>
                    <th scope="row">{temperature(indicatedCelsius)}</th>
                    <td>{temperature(correctedCelsius)}</td>
                    <td>{signedFine(correctedCelsius - indicatedCelsius)}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </div>
          <p>
            <b>
              {own === null
                ? words.guardBefore(
                    fine(view.uncertaintyCelsius ?? 0),
                    fine(budgetOf(view.sensor ?? { kind: 'digital' }, calibration).guardCelsius),
                  )
                : words.guardOwn(fine(own))}
            </b>
          </p>
        </>
      )}
    </section>
  );
}

function signedFine(celsius: number): string {
  const size = fine(Math.abs(celsius));
  return celsius < 0 ? `−${size}` : `+${size}`;
}
