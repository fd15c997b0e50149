import { heatingSaid } from '../answer/heating.ts';
import { temperature } from '../look/format.ts';
import { aheadText } from '../text/aheadText.ts';
import { jointText } from '../text/jointText.ts';

/** What was done about heat, such as `Heater on`. */
export function heatingTitle(said: string): string {
  const heating = heatingSaid(said);
  if (heating === null) return jointText.event.heating ?? '';
  return heating.on ? aheadText.heat.on[heating.what] : aheadText.heat.off[heating.what];
}

/** What was said beside it: what the thermostat is set to, and people's own words. */
export function heatingMore(said: string): string {
  const heating = heatingSaid(said);
  if (heating === null) return said;
  const { holdCelsius, note } = heating;
  const set = holdCelsius === null ? [] : [aheadText.heat.set(temperature(holdCelsius))];
  return [...set, ...(note === '' ? [] : [note])].join(', ');
}
