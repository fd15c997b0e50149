import { z } from 'zod';
import { Slug } from '../../cure/schedule.ts';
import { asked, Id, Instant, Label, Text } from './words.ts';

/** Hours of a forecast at most: ten days. */
export const FORECAST_HOURS_MOST = 240;

/** Air to come on the site, in rising order of time, at least every six hours. `humidity` is relative, %RH. */
export const forecastGiven = z.strictObject({
  kind: z.literal('forecast.given'),
  hours: z
    .array(
      z.strictObject({
        at: Instant,
        celsius: z.number().min(-60).max(60),
        humidity: z.number().min(0).max(100).optional(),
      }),
    )
    .min(2, 'at least two hours are needed')
    .max(FORECAST_HOURS_MOST, `use at most ${FORECAST_HOURS_MOST} hours`),
  /** Where it comes from, in words. */
  source: Label,
  ...asked,
});

/** An appointment: others have been told that this activity can begin then. A newer one for the same activity takes its place. */
export const bookingMade = z.strictObject({
  kind: z.literal('booking.made'),
  sump: Id,
  activity: Slug,
  due: Instant,
  note: Text.optional(),
  ...asked,
});

export const bookingCancelled = z.strictObject({
  kind: z.literal('booking.cancelled'),
  sump: Id,
  activity: Slug,
  note: Text.optional(),
  ...asked,
});

/** A heater, a heated tent or a blanket was put on or taken off. On one joint, or on all joints of a sump: exactly one is named. */
export const heatingChanged = z.strictObject({
  kind: z.literal('heating.changed'),
  sump: Id.optional(),
  joint: Id.optional(),
  what: z.enum(['heater', 'cover']),
  on: z.boolean(),
  /** What its thermostat is set to, °C. */
  holdCelsius: z.number().min(0).max(60).optional(),
  at: Instant,
  note: Text.optional(),
  ...asked,
});

/** Somebody has seen a warning. */
export const warningAcknowledged = z.strictObject({
  kind: z.literal('warning.acknowledged'),
  warning: z.string().min(1).max(300),
  note: Text.optional(),
  ...asked,
});

/** Not to be shown in front until then. It comes back by itself. */
export const warningSnoozed = z.strictObject({
  kind: z.literal('warning.snoozed'),
  warning: z.string().min(1).max(300),
  until: Instant,
  ...asked,
});

export const WARNING_CODES = ['cold-ahead', 'booking-at-risk', 'material-ahead', 'reading-stopped'] as const;
export const WarningCode = z.enum(WARNING_CODES);
export type WarningCode = z.infer<typeof WarningCode>;

/** Evidence of a warning: whole numbers, the unit in the key's end (Ms: UTC ms, MilliC, Percent). */
export const WarningNumbers = z.record(z.string().max(60), z.int());

/** The program warned. `warning` is `code:owner:UTC ms when it was first raised`. */
export const warningRaised = z.strictObject({
  kind: z.literal('warning.raised'),
  warning: z.string().min(1).max(300),
  code: WarningCode,
  /** Joint, sump or probe that it is about. */
  owner: Id,
  numbers: WarningNumbers,
});

/** What it warned of has passed, or need not be feared any more. */
export const warningEnded = z.strictObject({ kind: z.literal('warning.ended'), warning: z.string().min(1).max(300) });
