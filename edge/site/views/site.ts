import { z } from 'zod';
import { JointView } from './joint.ts';
import { ProbeView } from './probe.ts';
import { SumpView } from './sump.ts';

export const SiteView = z.strictObject({
  site: z.string(),
  name: z.string().nullable(),
  timeZone: z.string(),
  asOf: z.string(),
  recording: z.boolean(),
  sumps: z.array(SumpView),
  joints: z.array(JointView),
  probes: z.array(ProbeView),
  lots: z.array(
    z.strictObject({
      seq: z.int(),
      lot: z.string(),
      material: z.enum(['resin', 'catalyst', 'epoxy', 'sealant', 'glass']),
      label: z.string(),
      hasSheet: z.boolean(),
    }),
  ),
  /** Rain that has not ended, newest first. */
  rain: z.array(z.strictObject({ seq: z.int(), at: z.string(), sump: z.string().nullable(), by: z.string() })),
});
export type SiteView = z.infer<typeof SiteView>;
