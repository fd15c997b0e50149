import { lengthOf } from '../../answer/typed.ts';
import { signed } from '../../look/format.ts';
import { unit } from '../../look/settings.ts';
import { workText } from '../../text/workText.ts';

const MM_PER_INCH = 25.4;

/** `1.59 mm (0.063 in)`: what a stick in either unit would show. Who reads °F reads inches first. */
export function millimetresWords(mm: number): string {
  const { inchesFirst, mmFirst } = workText.waterTest;
  const words = unit.value === 'F' ? inchesFirst : mmFirst;
  return words(signed(mm.toFixed(2)), signed((mm / MM_PER_INCH).toFixed(3)));
}

/** What was typed, with its unit; a dash where nothing was. */
export function lengthWords(typed: string, unit: 'in' | 'mm'): string {
  return lengthOf(typed) === null ? '–' : `${typed.trim()} ${unit}`;
}
