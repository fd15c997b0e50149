import { normalOf } from '../../../edge/cure/outlook/chance.ts';
import { noiseAt } from '../../../edge/demo/noise.ts';

/** What a number is drawn for: each purpose has draws of its own. */
export type Purpose = 'layUp' | 'joint' | 'front' | 'air' | 'airProbe' | 'forecast' | 'before' | 'longBefore';
const PURPOSES: readonly Purpose[] = ['layUp', 'joint', 'front', 'air', 'airProbe', 'forecast', 'before', 'longBefore'];

/** A seed for one purpose of one trial. */
export function seedOf(trial: number, purpose: Purpose): number {
  return trial * PURPOSES.length + PURPOSES.indexOf(purpose);
}

/** Evenly between two numbers; the same for the same seed and index. */
export function uniform(seed: number, index: number, from: number, to: number): number {
  return from + ((to - from) * (noiseAt(seed, index) + 1)) / 2;
}

/** Normally distributed about 0. */
export function normal(seed: number, index: number, sd: number): number {
  return sd * normalOf(Math.max(1e-9, uniform(seed, index, 0, 1)));
}
