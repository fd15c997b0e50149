import { z } from 'zod';
import { gridCelsius, hoursThrough, Law } from './law.ts';
import { MixRules } from './mix.ts';

/** Names of schedules and stages: letters, digits, hyphens. */
export const Slug = z.string().regex(/^[a-z0-9][a-z0-9-]{0,63}$/, 'use small letters, digits and hyphens, at most 64');

/** No stage may need more, so that all credit stays an exact integer; see the fold. */
export const MOST_HOURS = 1000;

const Stages = z
  .array(z.strictObject({ stage: Slug, requiredHours: z.number().positive().max(MOST_HOURS) }))
  .min(1)
  .max(8);

const distinct = (stages: readonly { readonly stage: string }[]) =>
  new Set(stages.map(({ stage }) => stage)).size === stages.length;

/**
 * The cure rules of one material.
 * `requiredHours` are warm hours: hours at or above `referenceCelsius`, colder ones counted by `law`, none below `floorCelsius`.
 */
export const Schedule = z
  .strictObject({
    name: Slug,
    version: z.int().min(1),
    title: z.string().trim().min(1).max(120),
    /** Who wrote it down. */
    author: z.string().trim().min(1).max(120),
    /** On what its figures rest. */
    source: z.string().trim().min(1).max(600),
    law: Law,
    referenceCelsius: gridCelsius,
    floorCelsius: gridCelsius,
    gapLimitMinutes: z.number().min(1).max(240).default(15),
    /** An ambient probe may stand in while no material probe is live; its hours are provisional. */
    ambientStandIn: z.boolean().default(false),
    /** Counted from the last ply or pour. */
    stages: Stages.refine(distinct, 'a stage is named twice'),
    /** A stage that also waits until the front has come through the bead; for a moisture law. */
    throughBead: Slug.optional(),
    /** Stages counted from the mix: `gel` ends the watch over dew and rain, `tack` lets the next wrap go on. */
    fromMix: z
      .strictObject({ referenceCelsius: gridCelsius, stages: Stages.refine(distinct, 'a stage is named twice') })
      .optional(),
    /** The material's own temperature when it is used. */
    use: z
      .strictObject({ minCelsius: z.number().min(-40).max(100), maxCelsius: z.number().min(-40).max(100) })
      .refine(({ minCelsius, maxCelsius }) => minCelsius < maxCelsius, {
        path: ['maxCelsius'],
        error: 'must be above minCelsius',
      })
      .optional(),
    /** So many hours below so many degrees, and the hours alone prove no cure: a hardness reading has to. */
    proofBelow: z.strictObject({ celsius: z.number().min(-40).max(100), hours: z.number().min(0).max(1000) }).optional(),
    /** A joint warmer than this has run hot. */
    hotAboveCelsius: z.number().min(20).max(250).optional(),
    /** Resin and catalyst; without it the material comes in measured kits. */
    mix: MixRules.optional(),
  })
  .superRefine((schedule, context) => {
    const fault = (path: PropertyKey[], message: string) => context.addIssue({ code: 'custom', path, message });
    const { law, referenceCelsius, floorCelsius, stages, throughBead, fromMix } = schedule;
    if (floorCelsius > referenceCelsius) fault(['floorCelsius'], 'must not be above referenceCelsius');
    if (law.kind === 'moisture' && referenceCelsius > 40)
      fault(['referenceCelsius'], 'must not be above 40 °C for a moisture law');
    if (law.kind === 'moisture' && referenceCelsius < 0) fault(['referenceCelsius'], 'must not be below 0 °C for a moisture law');
    if (law.kind === 'moisture' && hoursThrough(law, law.beadMillimetres) > MOST_HOURS)
      fault(['law', 'beadMillimetres'], `takes more than ${MOST_HOURS} h to cure through`);
    if (throughBead !== undefined && law.kind !== 'moisture') fault(['throughBead'], 'is for a moisture law');
    if (throughBead !== undefined && !stages.some(({ stage }) => stage === throughBead))
      fault(['throughBead'], `names no stage; stages are ${stages.map(({ stage }) => stage).join(', ')}`);
    if (fromMix !== undefined && law.kind === 'moisture') fault(['fromMix'], 'is for materials that are mixed');
    if (fromMix !== undefined && fromMix.referenceCelsius < floorCelsius)
      fault(['fromMix', 'referenceCelsius'], 'must not be below floorCelsius');
    fromMix?.stages.forEach(({ stage }, index) => {
      if (stages.some((late) => late.stage === stage))
        fault(['fromMix', 'stages', index, 'stage'], 'is among the later stages too');
    });
    if (law.kind !== 'table') return;
    const coldest = law.points[0]?.celsius ?? 0;
    const warmest = law.points.at(-1)?.celsius ?? 0;
    const within = `must lie within the maker’s table, ${coldest} to ${warmest} °C: nothing is known beyond it`;
    if (referenceCelsius < coldest || referenceCelsius > warmest) fault(['referenceCelsius'], within);
    if (floorCelsius < coldest || floorCelsius > warmest) fault(['floorCelsius'], within);
    if (fromMix !== undefined && fromMix.referenceCelsius > warmest) fault(['fromMix', 'referenceCelsius'], within);
  });
export type Schedule = z.infer<typeof Schedule>;

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

/** One millionth of a warm hour, ppm·ms: what is shown is a whole number of them. */
export const SHOWN_PPM_MS = (HOUR_MS * PPM) / 1e6;

/** Warm hours to six decimals (3.6 ms), rounded down in whole numbers: what is shown never exceeds what was earned. */
export function shownHours(creditPpmMs: number): number {
  return (creditPpmMs - (creditPpmMs % SHOWN_PPM_MS)) / SHOWN_PPM_MS / 1e6;
}

/** The stages after lay-up with the warm hours that each needs on a joint whose bead is so deep, mm (null: the schedule's own). */
export function stagesFor(
  { law, stages, throughBead }: Pick<Schedule, 'law' | 'stages' | 'throughBead'>,
  beadMillimetres: number | null,
): { readonly stage: string; readonly requiredHours: number }[] {
  return stages.map(({ stage, requiredHours }) => {
    if (stage !== throughBead || law.kind !== 'moisture') return { stage, requiredHours };
    return { stage, requiredHours: Math.max(requiredHours, hoursThrough(law, beadMillimetres ?? law.beadMillimetres)) };
  });
}
