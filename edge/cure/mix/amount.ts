import { z } from 'zod';

/** Millilitres in one of each. US quart and gallon: exact by definition, a gallon being 231 cubic inches. */
const MILLILITRES = { mL: 1, L: 1000, quart: 946.352946, gallon: 3785.411784 } as const;

/** More resin than this is mixed by no hand: a slip of the unit. Resin is not lighter than water, so 200 kg are not more. */
const MOST_LITRES = 200;
const MOST_KILOGRAMS = 200;

/** How much resin, in the unit on the can: millilitres, litres, US liquid quarts, US liquid gallons or kilograms. */
export const Amount = z
  .strictObject({
    value: z.number('use a number').positive('must be above 0'),
    unit: z.enum(['mL', 'L', 'quart', 'gallon', 'kg'], 'use "mL", "L", "quart", "gallon" or "kg"'),
  })
  .refine(({ value, unit }) => (unit === 'kg' ? value <= MOST_KILOGRAMS : value * MILLILITRES[unit] <= MOST_LITRES * 1000), {
    path: ['value'],
    error: 'is more than 200 L or 200 kg, which nobody mixes at once; check the unit',
  });
export type Amount = z.infer<typeof Amount>;

/** Volume of an amount of a liquid of `kgPerLitre`, mL. */
export function millilitresOf({ value, unit }: Amount, kgPerLitre: number): number {
  return unit === 'kg' ? (value / kgPerLitre) * 1000 : value * MILLILITRES[unit];
}
