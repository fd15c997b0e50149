import type { ProbeView } from '../../../edge/site/views/probe.ts';
import { type Budget, budgetOf, type CalibratedBy } from './budget.ts';

/** What was said of a probe beside its sensor, in force now; null where nobody said. */
type Told = NonNullable<ProbeView['told']>;

const NOTHING: Told = {
  uncertaintyCelsius: null,
  humidityUncertaintyPercent: null,
  levelUncertaintyMillimetres: null,
  batteryLowVolts: null,
};

/** Each registration takes the place of the one before, so a form has to know all of it. */
export const toldOf = (view: ProbeView | null): Told => view?.told ?? NOTHING;

/** The newest calibration with what its budget needs; null: there is none. */
export function calibratedBy(view: ProbeView | null): CalibratedBy | null {
  const newest = view?.calibrations.toSorted((a, b) => Date.parse(a.at) - Date.parse(b.at)).at(-1);
  const [first, second] = newest?.points ?? [];
  if (first === undefined || second === undefined || newest === undefined) return null;
  return { points: [first, second], referenceUncertaintyCelsius: newest.referenceUncertaintyCelsius };
}

/** The budget of a probe as it is registered. */
export function budgetInForce(view: ProbeView): Budget {
  return budgetOf(view.sensor ?? { kind: 'digital' }, calibratedBy(view));
}
