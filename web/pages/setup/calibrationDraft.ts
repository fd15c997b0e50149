import { type Calibration, calibrated } from '../../../edge/cure/sensors/calibration.ts';
import { celsiusOf, differenceOf, type Unit, writtenCelsius } from '../schedules/numbers.ts';

/** A comparison with a reference at two temperatures, as it stands in the fields. */
export interface CalibrationDraft {
  readonly coldReference: string;
  readonly coldIndicated: string;
  readonly warmReference: string;
  readonly warmIndicated: string;
  readonly referenceUncertainty: string;
  readonly reference: string;
  /** ISO date. */
  readonly on: string;
  readonly by: string;
}

/** The ice point stands ready. What the reference is uncertain by, only its certificate says. */
export function newCalibrationDraft(unit: Unit, by: string, today: string): CalibrationDraft {
  return {
    coldReference: writtenCelsius(0, unit),
    coldIndicated: '',
    warmReference: '',
    warmIndicated: '',
    referenceUncertainty: '',
    reference: '',
    on: today,
    by,
  };
}

/** An ice bath is 0 °C by what ice is; another figure for it is a slip, or it was no ice bath. */
export const isIceOff = ({ points }: Pick<Calibration, 'points'>) => points[0].referenceCelsius !== 0;

/** The calibration that the fields say, to be checked by `Calibration`. */
export function calibrationSaid(draft: CalibrationDraft, unit: Unit): unknown {
  return {
    points: [
      { referenceCelsius: celsiusOf(draft.coldReference, unit), indicatedCelsius: celsiusOf(draft.coldIndicated, unit) },
      { referenceCelsius: celsiusOf(draft.warmReference, unit), indicatedCelsius: celsiusOf(draft.warmIndicated, unit) },
    ],
    referenceUncertaintyCelsius: differenceOf(draft.referenceUncertainty, unit),
    reference: draft.reference,
    on: draft.on,
    by: draft.by,
  };
}

export interface Correction {
  /** As the probe shows it, and what becomes of it, °C. */
  readonly indicatedCelsius: number;
  readonly correctedCelsius: number;
}

/** Where a correction is shown, °C. */
const SHOWN_CELSIUS = [0, 5, 10, 15, 20, 25];

/** What a calibration makes of some readings. */
export function correctionsBy(calibration: Pick<Calibration, 'points'>): Correction[] {
  return SHOWN_CELSIUS.map((indicatedCelsius) => ({
    indicatedCelsius,
    correctedCelsius: calibrated(calibration, indicatedCelsius * 1000) / 1000,
  }));
}
