import { z } from 'zod';
import { RateTable } from '../cure/rateTable.ts';
import { Schedule, Slug } from '../cure/schedule.ts';

/** Identifier of a site, sump, joint or probe: it stands in MQTT topics and web addresses, so no blanks, slashes or wildcards. */
export const Id = z
  .string()
  .regex(
    /^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$/,
    'use letters, digits, dots, hyphens and underscores, at most 64, starting with a letter or digit',
  );

/** Text that can be written down and hashed: no half of a surrogate pair alone. */
const Written = z.string().refine((text) => text.isWellFormed(), 'has half a character in it');
const Label = Written.trim().min(1, 'must not be empty').max(120, 'use at most 120 characters');
const Text = Written.trim().min(1, 'must not be empty').max(2000, 'use at most 2000 characters');

/** An instant as people and machines write it: ISO 8601 with an offset. */
export const Instant = z.iso.datetime({ offset: true, error: 'use ISO 8601 with an offset, such as 2026-01-15T14:30:00-08:00' });

const TimeZone = z.string().refine(isTimeZone, 'use an IANA time zone, such as America/Chicago');

function isTimeZone(name: string): boolean {
  try {
    new Intl.DateTimeFormat('en', { timeZone: name });
    return true;
  } catch {
    return false;
  }
}

/** Default expanded uncertainty of a digital ±0.5 °C probe, °C. */
export const DEFAULT_UNCERTAINTY_CELSIUS = 0.5;

export const ProbeRole = z.enum(['material', 'ambient']);

const noRepeats = (probes: readonly string[]) => new Set(probes).size === probes.length;
const JointProbes = z.array(Id).max(12).refine(noRepeats, 'a probe is named twice');

const siteDescribed = z.strictObject({ kind: z.literal('site.described'), name: Label, timeZone: TimeZone });

const probeRegistered = z.strictObject({
  kind: z.literal('probe.registered'),
  probe: Id,
  role: ProbeRole,
  label: Label.optional(),
  sensor: z.enum(['digital']).default('digital'),
  uncertaintyCelsius: z.number().min(0).max(5).default(DEFAULT_UNCERTAINTY_CELSIUS),
});

const sumpAdded = z.strictObject({ kind: z.literal('sump.added'), sump: Id, label: Label, serial: Label.optional() });

const jointAdded = z.strictObject({
  kind: z.literal('joint.added'),
  joint: Id,
  sump: Id,
  label: Label,
  schedule: Slug,
  probes: JointProbes,
  ambient: Id.optional(),
});

const jointAssigned = z.strictObject({
  kind: z.literal('joint.assigned'),
  joint: Id,
  probes: JointProbes,
  ambient: Id.optional(),
  /** From when; without it, from the moment the entry is made. */
  at: Instant.optional(),
});

const jointLaidUp = z.strictObject({ kind: z.literal('joint.laidUp'), joint: Id, at: Instant, note: Text.optional() });
const jointRelaid = z.strictObject({ kind: z.literal('joint.relaid'), joint: Id, at: Instant, reason: Text.optional() });

const noteAdded = z.strictObject({
  kind: z.literal('note.added'),
  text: Text,
  joint: Id.optional(),
  sump: Id.optional(),
  probe: Id.optional(),
  at: Instant.optional(),
});

/** Takes back what was said about a joint by mistake. The entry stays, struck through; what is right is said anew. */
const entryWithdrawn = z.strictObject({
  kind: z.literal('entry.withdrawn'),
  /** The entry's place in the ledger. */
  seq: z.int().min(1),
  reason: Text,
});

/** What people (and programs acting for them) may say. */
export const Statement = z.discriminatedUnion(
  'kind',
  [siteDescribed, probeRegistered, sumpAdded, jointAdded, jointAssigned, jointLaidUp, jointRelaid, noteAdded, entryWithdrawn],
  {
    error: (issue) =>
      issue.code === 'invalid_union'
        ? 'kind must be one of site.described, probe.registered, sump.added, joint.added, joint.assigned, joint.laidUp, joint.relaid, note.added, entry.withdrawn'
        : undefined,
  },
);
export type Statement = z.infer<typeof Statement>;
export type StatementKind = Statement['kind'];

const scheduleRecorded = z.strictObject({
  kind: z.literal('schedule.recorded'),
  definition: Schedule,
  table: RateTable,
  rateTableSha256: z.string().regex(/^[0-9a-f]{64}$/),
});

const bootStarted = z.strictObject({
  kind: z.literal('boot.started'),
  boot: z.int().min(1),
  /** Unique to this run of the program. */
  bootId: z.uuid(),
  program: z.string(),
});

/** Somebody set this machine's wall clock while the program ran. */
const clockStepped = z.strictObject({
  kind: z.literal('clock.stepped'),
  boot: z.int().min(1),
  /** Monotonic clock when it was noticed, ms since the boot began. */
  monoMs: z.int().min(0),
  /** What the wall clock would have shown then, and what it showed. */
  from: Instant,
  to: Instant,
});

/** What the program itself puts on record. */
export const SystemStatement = z.discriminatedUnion('kind', [scheduleRecorded, bootStarted, clockStepped]);
export type SystemStatement = z.infer<typeof SystemStatement>;

const stamped = {
  /** When the ledger took it. */
  recordedAt: Instant,
  by: z.strictObject({ name: z.string().min(1).max(120), role: z.enum(['crew', 'quality', 'claims', 'admin', 'system']) }),
};

/** One line of the ledger: a statement with who said it and when it was taken. Never changed, never removed. */
export const Entry = z.discriminatedUnion('kind', [
  siteDescribed.extend(stamped),
  probeRegistered.extend(stamped),
  sumpAdded.extend(stamped),
  jointAdded.extend(stamped),
  jointAssigned.extend(stamped),
  jointLaidUp.extend(stamped),
  jointRelaid.extend(stamped),
  noteAdded.extend(stamped),
  entryWithdrawn.extend(stamped),
  scheduleRecorded.extend(stamped),
  bootStarted.extend(stamped),
  clockStepped.extend(stamped),
]);
export type Entry = z.infer<typeof Entry>;
export type By = Entry['by'];

/** UTC milliseconds of an instant that has passed the schema. */
export function msOf(instant: string): number {
  return Date.parse(instant);
}
