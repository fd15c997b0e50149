import { z } from 'zod';
import { Times } from './outlook.ts';

/** An appointment and what becomes of it. */
export const BookingView = z.strictObject({
  /** Place of its entry in the ledger. */
  seq: z.int(),
  activity: z.string(),
  label: z.string(),
  due: z.string(),
  by: z.string(),
  note: z.string().nullable(),
  /** Share of the worlds in which the hours are there by then, 0 … 1; null where no time can be named. */
  chance: z.number().nullable(),
  /** The joint that most often comes last; null: none is missing. */
  decidedBy: z.string().nullable(),
  /** When the hours that the activity needs will be there. */
  ready: Times,
  /** The first quarter of an hour by which 90 of 100 worlds have them; null: none that can be named. */
  safeFrom: z.string().nullable(),
  /** Ids of open findings that keep the activity waiting whatever the hours are. */
  waitsFor: z.array(z.string()),
});
export type BookingView = z.infer<typeof BookingView>;
