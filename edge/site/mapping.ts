import { z } from 'zod';
import { Id } from './said/words.ts';

const isWellFormed = (text: string) => text.isWellFormed();

/** RFC 6901 section 3: nothing for the whole document, or tokens that each begin with a slash. */
const POINTER = /^(?:\/(?:[^~/]|~[01])*)*$/;

const Pointer = z
  .string()
  .max(256, 'use at most 256 characters')
  .regex(POINTER, 'use a JSON Pointer (RFC 6901) such as /sensors/0/value; in a name, ~ is written ~0 and / is written ~1')
  .refine(isWellFormed, 'has half a character in it');

const Topic = z
  .string()
  .min(1, 'must not be empty')
  .max(256, 'use at most 256 characters')
  .regex(/^[^+#\p{Cc}]*$/u, 'use one plain topic, without the wildcards + and # and without control characters')
  .regex(/^(?!\$)/, 'topics that start with $ are the broker’s own')
  .regex(/^(?!cure\/)/, 'topics under cure/ have their meaning already')
  .refine(isWellFormed, 'has half a character in it');

/** One value in a message: where it stands, what it measures, and in which unit the device gives it. */
const field = <const Q extends string, const U extends string>(quantity: Q, units: readonly U[]) =>
  z.strictObject({ pointer: Pointer, quantity: z.literal(quantity), unit: z.enum(units) });

const Field = z.discriminatedUnion(
  'quantity',
  [
    field('temperature', ['Cel', 'Far', 'K']),
    field('humidity', ['%RH', '%']),
    field('battery', ['V', 'mV', '%EL', '%']),
    field('resistance', ['Ohm', 'kOhm']),
    field('level', ['m', 'mm', 'cm', 'in']),
  ],
  {
    error: (issue) =>
      issue.code === 'invalid_union' ? 'quantity must be one of temperature, humidity, battery, resistance, level' : undefined,
  },
);
export type MappedField = z.infer<typeof Field>;

/** A battery's voltage and its charge are two things; of everything else a probe has one. */
function measuredBy({ quantity, unit }: MappedField): string {
  return quantity === 'battery' ? `${quantity} ${unit.endsWith('V') ? 'voltage' : 'charge'}` : quantity;
}

const noRepeats = (fields: readonly MappedField[]) => new Set(fields.map(measuredBy)).size === fields.length;

/**
 * How another device's messages are read as those of a probe: on which topic they come, where in their JSON each value stands,
 * and where the time of measuring stands if the device tells it.
 */
export const Mapping = z.strictObject({
  probe: Id,
  topic: Topic,
  fields: z
    .array(Field)
    .min(1, 'name at least one value')
    .max(6, 'name at most 6 values')
    .refine(noRepeats, 'one probe is one place: name each quantity once, and give a second sensor a probe of its own'),
  time: z.strictObject({ pointer: Pointer, format: z.enum(['iso', 'unix-seconds', 'unix-milliseconds']) }).optional(),
});
export type Mapping = z.infer<typeof Mapping>;
