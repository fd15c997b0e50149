import type { Change, Heat, OutlookInput } from '../../../edge/cure/outlook/input.ts';
import type { SumpOutlook } from '../../api/shapes.ts';
import { lateJoints } from './aims.ts';
import { type Aim, planAnswer } from './planAnswer.ts';

/** How far something that is not enough lifts a chance, when it is begun now on every joint that is late. */
export interface Lift {
  readonly joints: readonly string[];
  readonly from: number;
  readonly to: number;
}

type Outlooks = Pick<SumpOutlook, 'joints'>;

/** What the probe has to show at least to be judged at or above a limit, m°C above it. */
export function guardOf({ follows, guardMilliC, airGuardMilliC, table }: OutlookInput): number {
  return table.referenceHumidityMilliPercent !== undefined && follows === 'air' ? airGuardMilliC : guardMilliC;
}

/** At this, as its probe shows it, more warmth brings nothing: m°C. A moisture law that follows the air alone gains nothing above its floor. */
function fullCreditMilliC(input: OutlookInput): number {
  const { table, follows } = input;
  const isAirAlone = table.referenceHumidityMilliPercent !== undefined && follows === 'air';
  return (isAirAlone ? table.floorMilliC : table.topMilliC) + guardOf(input);
}

/** Null: no chance can be named, or it is no better for it. */
function liftBy(
  { joints }: Outlooks,
  aim: Aim,
  changeFor: (late: readonly OutlookInput[], nowMs: number) => Change,
): Lift | null {
  const before = planAnswer({ joints }, aim);
  const inputs = joints.flatMap(({ input }) => input ?? []);
  const nowMs = Math.max(...inputs.map((input) => input.nowMs));
  const names = lateJoints(before, aim, nowMs);
  const late = inputs.filter(({ joint }) => names.includes(joint));
  if (before.chance === null || late.length === 0) return null;
  const lateNames = late.map(({ joint }) => joint);
  const after = planAnswer({ joints }, aim, { joints: lateNames, change: changeFor(late, nowMs) });
  return after.chance === null || after.chance <= before.chance
    ? null
    : { joints: lateNames, from: before.chance, to: after.chance };
}

/** As warm as earns anything, from now on. */
export function liftByWarmth(outlook: Outlooks, aim: Aim): (Lift & { readonly milliC: number }) | null {
  let milliC = 0;
  const lift = liftBy(outlook, aim, (late, fromMs) => {
    milliC = Math.max(...late.map(fullCreditMilliC));
    return { hold: { fromMs, milliC } };
  });
  return lift === null ? null : { ...lift, milliC };
}

/** This heat, from now on. */
export function liftByHeat(outlook: Outlooks, aim: Aim, heat: Heat): Lift | null {
  return liftBy(outlook, aim, (_, fromMs) => ({ heat: { fromMs, heat } }));
}
