import type { Episode } from './episode.ts';
import { settledSum } from './settled.ts';
import type { Watch } from './watch.ts';

/** Time that was credited though only an ambient probe stood for it: the air is not the joint, so somebody has to decide. */
export function provisional(watch: Watch): Episode[] {
  const sum = settledSum(watch, watch.endMs, (piece) => piece.provisional && piece.ratePpm > 0);
  if (sum === null) return [];
  const { fromMs, toMs, ...numbers } = sum;
  return [{ kind: 'provisional', probes: [], fromMs, toMs, numbers }];
}
