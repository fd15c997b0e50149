import type { JointView } from '../../edge/site/views/joint.ts';
import { probes } from '../live/store.ts';
import { limit } from '../look/format.ts';

/** What a probe on a joint has to show, ready to read. */
export interface Thresholds {
  /** From here on an hour counts in full. */
  readonly full: string;
  /** Below this nothing counts. */
  readonly floor: string;
  /** Nothing is known of a probe yet, so no uncertainty was added. */
  readonly bare: boolean;
}

/** The largest uncertainty among the probes of a joint, °C: it is taken off a reading before that is judged. Null: none is known. */
export function guardOf(view: JointView): number | null {
  const known = view.probes.flatMap(({ probe, role }) =>
    role === 'material' ? (probes.value.get(probe)?.value.uncertaintyCelsius ?? []) : [],
  );
  if (view.governing !== null) known.push(view.governing.guardCelsius);
  return known.length === 0 ? null : Math.max(...known);
}

export function thresholdsOf(view: JointView): Thresholds {
  const { referenceCelsius, floorCelsius } = view.scheduleDetail;
  const guard = guardOf(view);
  return { full: limit(referenceCelsius + (guard ?? 0)), floor: limit(floorCelsius + (guard ?? 0)), bare: guard === null };
}
