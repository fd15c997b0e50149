import { z } from 'zod';
import { MixRules } from '../../cure/mix.ts';
import { Schedule, Slug } from '../../cure/schedule.ts';
import { Sequence } from '../sequence.ts';
import { asked, Id, Instant, Label, Text, TimeZone } from './words.ts';

const noRepeats = (probes: readonly string[]) => new Set(probes).size === probes.length;
const JointProbes = z.array(Id).max(12).refine(noRepeats, 'a probe is named twice');

export const siteDescribed = z.strictObject({ kind: z.literal('site.described'), name: Label, timeZone: TimeZone, ...asked });

/** A schedule of the site's own: a changed copy of another, or new. Its version is one above the newest of its name. */
export const scheduleGiven = z.strictObject({
  kind: z.literal('schedule.given'),
  definition: Schedule,
  reason: Text,
  ...asked,
});

/** An order of work of the site's own. Its version is one above the newest of its name. */
export const sequenceGiven = z.strictObject({
  kind: z.literal('sequence.given'),
  definition: Sequence,
  reason: Text,
  ...asked,
});

export const lotAdded = z.strictObject({
  kind: z.literal('lot.added'),
  lot: Id,
  material: z.enum(['resin', 'catalyst', 'epoxy', 'sealant', 'glass']),
  label: Label,
  /** The lot's own sheet, where it differs from the schedule's rules for the mix. */
  sheet: MixRules.optional(),
  ...asked,
});

export const sumpAdded = z.strictObject({
  kind: z.literal('sump.added'),
  sump: Id,
  label: Label,
  serial: Label.optional(),
  /** The order of work that it follows; without one, only the water test and the backfill are guarded. */
  sequence: Slug.optional(),
  ...asked,
});

export const jointAdded = z.strictObject({
  kind: z.literal('joint.added'),
  joint: Id,
  sump: Id,
  label: Label,
  schedule: Slug,
  probes: JointProbes,
  ambient: Id.optional(),
  /** Which joint of the sump's sequence it is. */
  part: Slug.optional(),
  /** Depth of its sealant bead, mm; for a schedule with a moisture law. */
  beadMillimetres: z.number().positive().max(50).optional(),
  ...asked,
});

export const jointAssigned = z.strictObject({
  kind: z.literal('joint.assigned'),
  joint: Id,
  probes: JointProbes,
  ambient: Id.optional(),
  /** From when; without it, from the moment the entry is made. */
  at: Instant.optional(),
  ...asked,
});
