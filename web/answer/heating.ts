import type { JointView } from '../../edge/site/views/joint.ts';
import type { StatementSent } from '../api/shapes.ts';

export type Heated = NonNullable<JointView['heating']>;
export type HeatKind = Heated['what'];

/** A joint, or all joints of a sump. */
export type HeatScope = { readonly joint: string } | { readonly sump: string };

interface Change {
  readonly what: HeatKind;
  readonly on: boolean;
  readonly atMs: number;
  /** What its thermostat is set to; null: it has none, or nobody said. */
  readonly holdCelsius: number | null;
}

export function heatingStatement(scope: HeatScope, { what, on, atMs, holdCelsius }: Change): StatementSent {
  const hold = on && holdCelsius !== null ? { holdCelsius } : {};
  return { kind: 'heating.changed', ...scope, what, on, at: new Date(atMs).toISOString(), ...hold };
}

/** Whether `what` is on, as far as is said, on a joint; or on the whole of a sump, given all its joints. */
export function isOn(joints: readonly Pick<JointView, 'heating'>[], what: HeatKind, scope: HeatScope): boolean {
  return joints.some(({ heating }) => heating?.what === what && ('joint' in scope || heating.sump));
}

/** What the record says of heat: `heater, on, 20 °C, a note`, or the same with points between. */
export interface HeatingSaid {
  readonly what: HeatKind;
  readonly on: boolean;
  readonly holdCelsius: number | null;
  /** People's own words. */
  readonly note: string;
}

/** Null: it says something else. */
export function heatingSaid(said: string): HeatingSaid | null {
  const parts = /^(heater|cover)(?:, | · )(on|off)(?:(?:, | · )(-?\d+(?:\.\d+)?) °C)?(?:(?:, | · )(.*))?$/s.exec(said);
  if (parts === null) return null;
  const [, what, state, hold, note = ''] = parts;
  return { what: what as HeatKind, on: state === 'on', holdCelsius: hold === undefined ? null : Number(hold), note };
}
