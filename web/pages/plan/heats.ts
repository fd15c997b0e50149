import { DEFAULT_HEATER, THERMOSTAT_SD_MILLI_C } from '../../../edge/cure/outlook/fitLag.ts';
import type { Heat } from '../../../edge/cure/outlook/input.ts';
import type { SumpOutlook } from '../../api/shapes.ts';

/** What a heater does about these joints. */
export interface HeaterChoice {
  readonly heat: Heat;
  /** It is the heat that is on there now, as far as it is known. */
  readonly isKnown: boolean;
}

/**
 * With a thermostat what it is set to; without one what a heater that is on there does, or what a heater usually does. `heated`: the
 * joints that a heater, and not just a cover, is on at.
 */
export function heaterOf(
  { joints }: Pick<SumpOutlook, 'joints'>,
  chosen: readonly string[],
  thermostatCelsius: number | null,
  heated: readonly string[],
): HeaterChoice {
  if (thermostatCelsius !== null) {
    const milliC = Math.round(thermostatCelsius * 1000);
    return { heat: { kind: 'level', milliC, sdMilliC: THERMOSTAT_SD_MILLI_C }, isKnown: false };
  }
  const known =
    joints.find(({ joint, input }) => chosen.includes(joint) && heated.includes(joint) && input?.heat?.kind === 'rise')?.input
      ?.heat ?? null;
  return known === null ? { heat: DEFAULT_HEATER, isKnown: false } : { heat: known, isKnown: true };
}
