import type { MappedField, Mapping } from '../../../edge/site/mapping.ts';
import type { Place } from './pointers.ts';

export type Quantity = MappedField['quantity'];
export type TimeFormat = NonNullable<Mapping['time']>['format'];

type UnitOf<Q extends Quantity> = Extract<MappedField, { quantity: Q }>['unit'];

/** Units that each quantity may come in. */
export const UNITS: { readonly [Q in Quantity]: readonly [UnitOf<Q>, ...UnitOf<Q>[]] } = {
  temperature: ['Cel', 'Far', 'K'],
  humidity: ['%RH'],
  battery: ['V', 'mV', '%EL'],
  resistance: ['Ohm', 'kOhm'],
  level: ['mm', 'cm', 'm', 'in'],
};

export interface FieldDraft {
  readonly pointer: string;
  readonly quantity: Quantity;
  /** Empty: not chosen yet. */
  readonly unit: string;
}

/** How a device is read, as it stands in the form. */
export interface DeviceDraft {
  readonly topic: string;
  /** Empty: not chosen yet. */
  readonly probe: string;
  readonly fields: readonly FieldDraft[];
  /** Null: a message is of the moment when it arrives. */
  readonly time: { readonly pointer: string; readonly format: TimeFormat } | null;
}

/** What the name of a value suggests. */
const HINTS: readonly (readonly [Quantity, RegExp])[] = [
  ['humidity', /hum|rh$/i],
  ['battery', /batt|volt|vcc/i],
  ['resistance', /ohm|resist/i],
  ['level', /level|depth|distance/i],
];

/** A unit that is guessed wrong reads wrong for weeks, so it is chosen by hand wherever there is more than one. */
const unitFor = (quantity: Quantity) => (UNITS[quantity].length === 1 ? UNITS[quantity][0] : '');

/** A value that was tapped, with what it probably measures. */
export function guessOf({ pointer }: Place): FieldDraft {
  const name = pointer.slice(pointer.lastIndexOf('/') + 1);
  const quantity = HINTS.find(([, pattern]) => pattern.test(name))?.[0] ?? 'temperature';
  return { pointer, quantity, unit: unitFor(quantity) };
}

/** Another quantity has its own units. */
export const asQuantity = (field: FieldDraft, quantity: Quantity): FieldDraft =>
  field.quantity === quantity ? field : { ...field, quantity, unit: unitFor(quantity) };

/** A time of measuring that was tapped: its form tells its format. */
export function timeOf({ pointer, value }: Place): NonNullable<DeviceDraft['time']> {
  const number = Number(value);
  const format = !Number.isFinite(number) ? 'iso' : number > 1e11 ? 'unix-milliseconds' : 'unix-seconds';
  return { pointer, format };
}

/** The mapping that the form says, to be checked by `Mapping`; what was not chosen is left out. */
export function mappingSaid({ topic, probe, fields, time }: DeviceDraft): unknown {
  return {
    topic,
    ...(probe === '' ? {} : { probe }),
    fields: fields.map(({ unit, ...field }) => (unit === '' ? field : { ...field, unit })),
    ...(time === null ? {} : { time }),
  };
}
