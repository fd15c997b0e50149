import { z } from 'zod';
import { millilitresOf } from './amount.ts';
import { celsiusOf, MixCelsius, tenthsOf } from './temperature.ts';

type Point = { readonly celsius: number };

/** The temperatures of two points must differ where it is looked up, in tenths of a degree. */
function isRising(points: readonly Point[]): boolean {
  return points.every((point, index) => index === 0 || tenthsOf(point.celsius) > tenthsOf((points[index - 1] as Point).celsius));
}
const RISING = 'list the points from cold to warm, each warmer than the one before by 0.1 °C or more';

const percent = z.number().positive('must be above 0').max(10, 'use at most 10 percent');

const Times = z
  .array(z.strictObject({ celsius: MixCelsius, minutes: z.number().positive('must be above 0').max(1440, 'use at most 1440') }))
  .max(20, 'use at most 20 points')
  .refine(isRising, RISING);
export type Times = z.infer<typeof Times>;

/** How much catalyst a resin takes, as its maker or the trade says it. */
export const MixRules = z.strictObject({
  /** Catalyst that the resin allows and the part of it that is preferred, percent of the resin's mass. The ends belong to it. */
  bandPercent: z
    .strictObject({ min: percent, preferredMin: percent, preferredMax: percent, max: percent })
    .refine(
      ({ min, preferredMin, preferredMax, max }) => min <= preferredMin && preferredMin <= preferredMax && preferredMax <= max,
      'min, preferredMin, preferredMax and max must not fall',
    ),
  resinKgPerLitre: z.number().min(1, 'use kg/L between 1 and 2').max(2, 'use kg/L between 1 and 2'),
  catalystKgPerLitre: z.number().min(0.8, 'use kg/L between 0.8 and 2').max(2, 'use kg/L between 0.8 and 2'),
  /** Catalyst per litre of resin at temperatures of the resin; linear between two points, none outside. */
  doses: z
    .array(
      z.strictObject({
        celsius: MixCelsius,
        millilitresPerLitre: z.number().positive('must be above 0').max(100, 'use at most 100'),
      }),
    )
    .min(2, 'at least two temperatures are needed')
    .max(20, 'use at most 20 points')
    .refine(isRising, RISING)
    .refine(
      (doses) => doses.every((dose, index) => dose.millilitresPerLitre <= (doses[index - 1] ?? dose).millilitresPerLitre),
      'the dose must not rise with temperature',
    ),
  /** How long a mix can be worked when dosed for its temperature. A sheet may give none. */
  working: Times,
  /** How long until a wet ply is tacky. */
  tack: Times,
  source: z.string().trim().min(1, 'say where the figures come from').max(600, 'use at most 600 characters'),
});
export type MixRules = z.infer<typeof MixRules>;

const QUART_LITRES = millilitresOf({ value: 1, unit: 'quart' }, 1) / 1000;

/** Catalysed polyester as the trade mixes it. Its 5 mL dose lies below the band, and shows so. A lot's sheet wins over all of it. */
export const builtInPolyesterMix: MixRules = {
  bandPercent: { min: 1, preferredMin: 1.25, preferredMax: 2, max: 2.5 },
  resinKgPerLitre: 1.1,
  catalystKgPerLitre: 1.15,
  doses: [
    { celsius: celsiusOf(60), millilitresPerLitre: 15 / QUART_LITRES },
    { celsius: celsiusOf(70), millilitresPerLitre: 10 / QUART_LITRES },
    { celsius: celsiusOf(80), millilitresPerLitre: 5 / QUART_LITRES },
  ],
  working: [{ celsius: celsiusOf(80), minutes: 30 }],
  tack: [{ celsius: celsiusOf(80), minutes: 5 }],
  source:
    'Doses per US quart (15 mL at 60 °F, 10 mL near 70 °F, 5 mL near 80 °F) and times near 80 °F: common practice, no source. Band: Composites Manufacturing, February 2017. Densities: from memory. The maker’s sheet for the lot wins.',
};
