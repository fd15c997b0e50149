import { z } from 'zod';
import { Law } from './law.ts';

/** A temperature on the grid of the rate table: a multiple of 0.1 °C. */
const gridCelsius = z
  .number()
  .min(-40)
  .max(100)
  .refine((celsius) => Math.abs(celsius * 10 - Math.round(celsius * 10)) < 1e-6, 'must be a multiple of 0.1 °C');

/** Names of schedules and stages: letters, digits, hyphens. */
export const Slug = z.string().regex(/^[a-z0-9][a-z0-9-]{0,63}$/, 'use small letters, digits and hyphens, at most 64');

/**
 * The cure rules of one material.
 * `requiredHours` are warm hours: hours at or above `referenceCelsius`, colder ones counted by `law`, none below `floorCelsius`.
 */
export const Schedule = z
  .strictObject({
    name: Slug,
    version: z.int().min(1),
    title: z.string().min(1).max(120),
    law: Law,
    referenceCelsius: gridCelsius,
    floorCelsius: gridCelsius,
    gapLimitMinutes: z.number().min(1).max(240).default(15),
    ambientStandIn: z.boolean().default(false),
    stages: z
      .array(z.strictObject({ stage: Slug, requiredHours: z.number().positive().max(1000) }))
      .min(1)
      .max(8),
    source: z.string().min(1).max(600),
  })
  .refine((schedule) => schedule.floorCelsius <= schedule.referenceCelsius, {
    path: ['floorCelsius'],
    error: 'must not be above referenceCelsius',
  })
  .refine((schedule) => new Set(schedule.stages.map((stage) => stage.stage)).size === schedule.stages.length, {
    path: ['stages'],
    error: 'a stage is named twice',
  });
export type Schedule = z.infer<typeof Schedule>;

const TWELVE_AND_TWENTY_FOUR = [
  { stage: 'stress', requiredHours: 12 },
  { stage: 'hydro', requiredHours: 24 },
];

/** The schedules that come with the program. A site's own copy and the maker's sheet for the lot win over them. */
export const builtInSchedules: readonly Schedule[] = [
  {
    name: 'polyester-laminate',
    version: 1,
    title: 'Polyester laminate',
    law: { kind: 'arrhenius', activationKilojoulesPerMol: 60 },
    referenceCelsius: 10,
    floorCelsius: 5,
    gapLimitMinutes: 15,
    ambientStandIn: false,
    stages: TWELVE_AND_TWENTY_FOUR,
    source:
      'Hours and the 50 °F knee: common practice, no source. Activation energy: upper end of 40–60 kJ/mol, J. Appl. Polym. Sci. 102:1870–1876 (2006). Floor: common practice, from memory. The maker’s sheet for the lot wins.',
  },
  {
    name: 'epoxy-pour',
    version: 1,
    title: 'Epoxy pour',
    law: { kind: 'arrhenius', activationKilojoulesPerMol: 61 },
    referenceCelsius: 15.6,
    floorCelsius: 5,
    gapLimitMinutes: 15,
    ambientStandIn: false,
    stages: TWELVE_AND_TWENTY_FOUR,
    source:
      'Hours: common practice, no source. Activation energy: 58.5 ± 1.3 kJ/mol plus two uncertainties, J. Appl. Polym. Sci. 92:1190–1198 (2004). Floor: after Int. J. Adhes. Adhes. 35:9–16 (2012). The maker’s sheet for the lot wins.',
  },
  {
    name: 'laminate-strict',
    version: 1,
    title: 'Laminate, strict workshop rule',
    law: { kind: 'arrhenius', activationKilojoulesPerMol: 60 },
    referenceCelsius: 18,
    floorCelsius: 15,
    gapLimitMinutes: 15,
    ambientStandIn: false,
    stages: [
      { stage: 'stress', requiredHours: 48 },
      { stage: 'hydro', requiredHours: 48 },
    ],
    source:
      'At least 48 h at 18 °C or warmer after lamination: published workmanship rules for fibre-reinforced hulls. Floor: common practice, from memory. The maker’s sheet for the lot wins.',
  },
];

export const HOUR_MS = 3_600_000;
export const PPM = 1_000_000;

/** Warm hours as the fold counts them: parts per million × milliseconds, rounded up so that a stage is never a hair early. */
export function requiredPpmMs(requiredHours: number): number {
  return Math.ceil(requiredHours * HOUR_MS) * PPM;
}

/** Credit in hours, for people to read. */
export function hoursOf(ppmMs: number): number {
  return ppmMs / PPM / HOUR_MS;
}
