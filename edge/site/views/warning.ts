import { z } from 'zod';
import { WarningCode, WarningNumbers } from '../said/tomorrow.ts';

/** Something that will go wrong unless somebody acts. */
export const WarningView = z.strictObject({
  warning: z.string(),
  code: WarningCode,
  /** Joint, sump or probe. */
  owner: z.string(),
  /** The sump that it is about; null for a probe of none. */
  sump: z.string().nullable(),
  joint: z.string().nullable(),
  /** As they are now: whole numbers, the unit in the key's end (Ms: UTC ms, MilliC, Percent). */
  numbers: WarningNumbers,
  raisedAt: z.string(),
  acknowledged: z.strictObject({ by: z.string(), at: z.string() }).nullable(),
  snoozed: z.strictObject({ by: z.string(), until: z.string() }).nullable(),
});
export type WarningView = z.infer<typeof WarningView>;
