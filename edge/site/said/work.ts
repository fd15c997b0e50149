import { z } from 'zod';
import { Amount } from '../../cure/mix.ts';
import { Slug } from '../../cure/schedule.ts';
import { Level } from '../../cure/waterTest.ts';
import { asked, Id, Instant, Text } from './words.ts';

const celsius = z.number().min(-60).max(150);

/** The surface of a joint is ready: a hold point. It is signed only when all three are done. */
export const prepSigned = z.strictObject({
  kind: z.literal('prep.signed'),
  joint: Id,
  at: Instant,
  sanded: z.literal(true, 'sign only a surface that is sanded'),
  wiped: z.literal(true, 'sign only a surface that is wiped with solvent'),
  dry: z.literal(true, 'sign only a surface that is dry'),
  /** As measured by hand, °C and %RH: surface, air and humidity together give the margin over the dew point. */
  surfaceCelsius: celsius.optional(),
  airCelsius: celsius.optional(),
  humidityPercent: z.number().gt(0).max(100).optional(),
  note: Text.optional(),
  ...asked,
});

/** Resin was mixed for a joint: `gel` and `tack` count from here. */
export const mixRecorded = z.strictObject({
  kind: z.literal('mix.recorded'),
  joint: Id,
  at: Instant,
  /** How much resin; without it, a measured kit. */
  resin: Amount.optional(),
  catalystMillilitres: z.number().positive().max(10_000).optional(),
  /** Temperature of the material when it was used. */
  resinCelsius: celsius,
  airCelsius: celsius.optional(),
  resinLot: Id.optional(),
  catalystLot: Id.optional(),
  note: Text.optional(),
  ...asked,
});

export const jointLaidUp = z.strictObject({
  kind: z.literal('joint.laidUp'),
  joint: Id,
  at: Instant,
  note: Text.optional(),
  ...asked,
});

export const jointRelaid = z.strictObject({
  kind: z.literal('joint.relaid'),
  joint: Id,
  at: Instant,
  reason: Text.optional(),
  ...asked,
});

/** It rained, on the whole site or on one sump; without an end it did until `rain.ended` says otherwise. */
export const rainNoted = z.strictObject({
  kind: z.literal('rain.noted'),
  at: Instant,
  until: Instant.optional(),
  sump: Id.optional(),
  note: Text.optional(),
  ...asked,
});

/** The rain that was noted without an end is over, on the whole site or on one sump. */
export const rainEnded = z.strictObject({ kind: z.literal('rain.ended'), at: Instant, sump: Id.optional(), ...asked });

/** A proof beside the hours: hardness (ASTM D2583, as read) and a solvent-wipe surface check. */
export const proofRecorded = z
  .strictObject({
    kind: z.literal('proof.recorded'),
    joint: Id,
    at: Instant,
    hardness: z
      .strictObject({
        readings: z.array(z.number().min(0).max(100)).min(1).max(50),
        /** The resin maker's minimum for a full cure. */
        makerMinimum: z.number().min(1).max(100),
      })
      .optional(),
    surface: z.enum(['firm', 'tacky']).optional(),
    note: Text.optional(),
    ...asked,
  })
  .refine(({ hardness, surface }) => hardness !== undefined || surface !== undefined, {
    path: ['hardness'],
    error: 'give hardness readings, a surface check, or both',
  });

export const findingDecided = z.strictObject({
  kind: z.literal('finding.decided'),
  finding: z.string().min(3).max(400),
  /** `proof`: a proof on record settles it. `redo`: the joint is void until it is laid up anew. */
  decision: z.enum(['accept', 'redo', 'proof']),
  reason: Text,
  /** When it was decided; without it, when the entry is made. */
  at: Instant.optional(),
  ...asked,
});

/** A hold point of the sump's sequence is released. */
export const holdSigned = z.strictObject({
  kind: z.literal('hold.signed'),
  sump: Id,
  hold: Slug,
  at: Instant,
  note: Text.optional(),
  ...asked,
});

export const activityStarted = z.strictObject({
  kind: z.literal('activity.started'),
  sump: Id,
  activity: Slug,
  at: Instant,
  /** Why it is started before its time; needed only then, and it leaves a finding for good. */
  reason: Text.optional(),
  ...asked,
});

export const activityDone = z.strictObject({
  kind: z.literal('activity.done'),
  sump: Id,
  activity: Slug,
  at: Instant,
  ...asked,
});

export const hydrotestRecorded = z.strictObject({
  kind: z.literal('hydrotest.recorded'),
  sump: Id,
  method: z.enum(['full-height', 'low-level']),
  /** Water above the highest penetration or side seam. */
  fillAboveHighest: Level,
  /** Depth of the water from the floor of the sump: from it and the temperatures follows what cooling alone does to the level. */
  waterDepth: Level.optional(),
  /** When filling ended, when the hold began, and when it ended. */
  filledAt: Instant,
  startedAt: Instant,
  endedAt: Instant,
  /** As read by hand. */
  byHand: z.strictObject({ start: Level, end: Level, resolution: Level }).optional(),
  /** A level probe: its readings during the hold are looked up when the entry is made. */
  probe: Id.optional(),
  waterCelsiusStart: z.number().min(-1).max(50).optional(),
  waterCelsiusEnd: z.number().min(-1).max(50).optional(),
  note: Text.optional(),
  ...asked,
});

export const noteAdded = z.strictObject({
  kind: z.literal('note.added'),
  text: Text,
  joint: Id.optional(),
  sump: Id.optional(),
  probe: Id.optional(),
  at: Instant.optional(),
  ...asked,
});

/** Takes back what was said by mistake. The entry stays, struck through; what is right is said anew. */
export const entryWithdrawn = z.strictObject({
  kind: z.literal('entry.withdrawn'),
  /** The entry's place in the ledger. */
  seq: z.int().min(1),
  reason: Text,
  ...asked,
});

/** What the program saw when the statement was made, written down with it. */
export const witnessed = {
  /** Stages that the joint had reached and loses. */
  relaid: { lost: z.array(Slug).max(16).optional() },
  /** What the activity still needed. */
  activity: {
    early: z
      .array(z.strictObject({ need: z.string().max(200), missingHours: z.number().nullable() }))
      .max(100)
      .optional(),
  },
  /** The level probe's readings during the hold, µm. */
  hydrotest: {
    measured: z
      .strictObject({
        startMicrometres: z.int(),
        endMicrometres: z.int(),
        leastMicrometres: z.int(),
        greatestMicrometres: z.int(),
        readings: z.int().min(2),
        longestGapMs: z.int().min(0),
        /** What the level probe was good for then. */
        uncertaintyMicrometres: z.int().min(1),
      })
      .optional(),
  },
};
