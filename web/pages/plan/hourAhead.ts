import { outlookAt } from '../../../edge/cure/outlook/air.ts';
import { errorAt } from '../../../edge/cure/outlook/airError.ts';
import type { AirError, AirOutlook } from '../../../edge/cure/outlook/input.ts';
import { conditionHours, storedMilliC } from '../../../edge/cure/outlook/layUp.ts';
import type { SumpOutlook } from '../../api/shapes.ts';

/** A warm room as sites have one, °C. */
export const WARM_ROOM_CELSIUS = 21;

/** How material that lies in an unheated truck stands against the range that it is to be used in. */
export type Stored =
  | { readonly kind: 'noUse' }
  | { readonly kind: 'within' }
  | {
      readonly kind: 'out';
      readonly side: 'below' | 'above';
      /** In a warm room; null: that will not do it. */
      readonly hours: number | null;
    };

export interface HourAhead {
  readonly airCelsius: number;
  /** One standard deviation of it. */
  readonly airErrorCelsius: number;
  readonly storedCelsius: number;
  readonly stored: Stored;
}

interface Around {
  readonly air: AirOutlook;
  readonly error: AirError;
  readonly nowMs: number;
}

/** What is to be expected at that hour, for whoever lays up then. */
export function hourAhead(
  { air, error, nowMs }: Around,
  past: SumpOutlook['past'],
  use: { readonly minCelsius: number; readonly maxCelsius: number } | null,
  atMs: number,
): HourAhead {
  const stored = storedMilliC(air, past, nowMs, atMs);
  return {
    airCelsius: outlookAt(air, air.milliC, atMs) / 1000,
    airErrorCelsius: errorAt(error, Math.max(0, atMs - nowMs)) / 1000,
    storedCelsius: stored / 1000,
    stored: use === null ? { kind: 'noUse' } : standing(stored, use),
  };
}

/** How a material stands against the range that it is to be used in; without one it is within. */
export function materialStanding(
  celsius: number,
  use: { readonly minCelsius: number; readonly maxCelsius: number } | null,
): 'below' | 'within' | 'above' {
  if (use === null) return 'within';
  const milliC = Math.round(celsius * 1000);
  if (milliC < Math.round(use.minCelsius * 1000)) return 'below';
  return milliC > Math.round(use.maxCelsius * 1000) ? 'above' : 'within';
}

function standing(storedMilliC: number, { minCelsius, maxCelsius }: { minCelsius: number; maxCelsius: number }): Stored {
  const use = { minMilliC: Math.round(minCelsius * 1000), maxMilliC: Math.round(maxCelsius * 1000) };
  const hours = conditionHours(storedMilliC, use, WARM_ROOM_CELSIUS * 1000);
  if (hours === 0) return { kind: 'within' };
  return { kind: 'out', side: storedMilliC < use.minMilliC ? 'below' : 'above', hours };
}
