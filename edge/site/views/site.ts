import { z } from 'zod';
import { ForecastSummary } from './forecast.ts';
import { JointView } from './joint.ts';
import { ProbeView } from './probe.ts';
import { SumpView } from './sump.ts';
import { WarningView } from './warning.ts';

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
  /** The forecast that is gone by. */
  forecast: ForecastSummary.nullable(),
  /** Raised and not ended, newest first; also those that somebody has acknowledged or put off. */
  warnings: z.array(WarningView),
});
export type SiteView = z.infer<typeof SiteView>;
