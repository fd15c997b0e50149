import type { Episode } from './episode.ts';
import { settledSum } from './settled.ts';
import type { Watch } from './watch.ts';

/** Time below the schedule's floor before the resin has gelled: resin that is too cold then may never cure through. */
export function coldBeforeGel(watch: Watch): Episode[] {
  const { spec, endMs } = watch;
  if (!spec.hasGelStage) return [];
  const sum = settledSum(watch, spec.gelMs ?? endMs, (piece) => piece.uncredited === 'cold');
  if (sum === null) return [];
  const { fromMs, toMs, ...numbers } = sum;
  return [{ kind: 'cold-before-gel', probes: [], fromMs, toMs, numbers: { ...numbers, floorMilliC: spec.floorMilliC } }];
}

/**
 * Time below the schedule's `proofBelow`, the cold included: the hours may add up and the resin still have stopped short of its
 * cure, so a hardness reading has to show it.
 */
export function belowProof(watch: Watch): Episode[] {
  const { proofBelow } = watch.spec;
  if (proofBelow === null) return [];
  const { milliC: proofBelowMilliC, toleratedMs } = proofBelow;
  const sum = settledSum(watch, watch.endMs, (piece) => piece.lane >= 0 && piece.milliC < proofBelowMilliC);
  if (sum === null || sum.spanMs <= toleratedMs) return [];
  const { fromMs, toMs, ...numbers } = sum;
  return [{ kind: 'below-proof', probes: [], fromMs, toMs, numbers: { ...numbers, proofBelowMilliC } }];
}
