import type { Calibration } from '../../../edge/cure/sensors/calibration.ts';
import type { Sensor } from '../../../edge/cure/sensors/sensor.ts';
import {
  type Contribution,
  defaultBudget,
  expandedUncertainty,
  guardMilliC,
  oneSided95,
} from '../../../edge/cure/sensors/uncertainty.ts';
import { DEFAULT_UNCERTAINTY_CELSIUS } from '../../../edge/site/said/instruments.ts';

export type CalibratedBy = Pick<Calibration, 'points' | 'referenceUncertaintyCelsius'>;

/** What a probe can be off by, and what the program takes off its readings for it. All in °C. */
export interface Budget {
  readonly contributions: readonly Contribution[];
  /** U, k = 2. */
  readonly expandedCelsius: number;
  /** In 95 of 100 cases the true value is no further below the reading. */
  readonly oneSidedCelsius: number;
  /** Taken off each reading when nobody gives a figure of their own. */
  readonly guardCelsius: number;
  /** The guard band is the maker's hard limit and not U. */
  readonly isLimit: boolean;
}

export function budgetOf(sensor: Sensor, calibration: CalibratedBy | null): Budget {
  const contributions = defaultBudget(sensor, calibration);
  const isLimit = sensor.kind === 'digital' && calibration === null;
  return {
    contributions,
    expandedCelsius: expandedUncertainty(contributions),
    oneSidedCelsius: oneSided95(contributions),
    guardCelsius: isLimit ? DEFAULT_UNCERTAINTY_CELSIUS : guardMilliC(contributions) / 1000,
    isLimit,
  };
}
