import { z } from 'zod';
import { RateTable } from '../cure/rateTable.ts';
import { Schedule } from '../cure/schedule.ts';
import { jointSealed } from './said/evidence.ts';
import * as instruments from './said/instruments.ts';
import * as setup from './said/setup.ts';
import * as tomorrow from './said/tomorrow.ts';
import { Instant, Sha256 } from './said/words.ts';
import * as work from './said/work.ts';
import { Sequence } from './sequence.ts';

/** Kept as they were said. */
const plain = [
  setup.siteDescribed,
  setup.scheduleGiven,
  setup.sequenceGiven,
  setup.lotAdded,
  setup.sumpAdded,
  setup.jointAdded,
  setup.jointAssigned,
  instruments.probeRegistered,
  instruments.probeMapped,
  instruments.calibrationRecorded,
  work.prepSigned,
  work.mixRecorded,
  work.jointLaidUp,
  work.rainNoted,
  work.rainEnded,
  work.proofRecorded,
  work.findingDecided,
  work.holdSigned,
  work.activityDone,
  work.noteAdded,
  work.entryWithdrawn,
  tomorrow.forecastGiven,
  tomorrow.bookingMade,
  tomorrow.bookingCancelled,
  tomorrow.heatingChanged,
  tomorrow.warningAcknowledged,
  tomorrow.warningSnoozed,
] as const;
/** Kept with what the program saw when they were said. */
const seen = [work.jointRelaid, work.activityStarted, work.hydrotestRecorded] as const;
const seenWith = [
  work.jointRelaid.extend(work.witnessed.relaid),
  work.activityStarted.extend(work.witnessed.activity),
  work.hydrotestRecorded.extend(work.witnessed.hydrotest),
] as const;

const sayable = [...plain, ...seen] as const;
const kinds = sayable.map((each) => each.shape.kind.value);

/** What people (and programs acting for them) may say. */
export const Statement = z.discriminatedUnion('kind', sayable, {
  error: (issue) => (issue.code === 'invalid_union' ? `kind must be one of ${kinds.join(', ')}` : undefined),
});
export type Statement = z.infer<typeof Statement>;
export type StatementKind = Statement['kind'];

const scheduleRecorded = z.strictObject({
  kind: z.literal('schedule.recorded'),
  definition: Schedule,
  table: RateTable,
  rateTableSha256: Sha256,
  /** For the stages that count from the mix. */
  mixTable: RateTable.optional(),
  mixTableSha256: Sha256.optional(),
});

/** A sequence that a sump uses for the first time, as it was then. */
const sequenceRecorded = z.strictObject({ kind: z.literal('sequence.recorded'), definition: Sequence });

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

const own = [
  scheduleRecorded,
  sequenceRecorded,
  bootStarted,
  clockStepped,
  instruments.readingsImported,
  tomorrow.warningRaised,
  tomorrow.warningEnded,
  jointSealed,
] as const;

/** What the program itself puts on record. */
export const SystemStatement = z.discriminatedUnion('kind', own);
export type SystemStatement = z.infer<typeof SystemStatement>;

/** A statement as it is kept: with what the program saw when it was made. */
const Kept = z.discriminatedUnion('kind', [...plain, ...seenWith, ...own]);
export type Kept = z.infer<typeof Kept>;

const stamp = {
  /** When the ledger took it. */
  recordedAt: Instant,
  by: z.strictObject({ name: z.string().min(1).max(120), role: z.enum(['crew', 'quality', 'claims', 'admin', 'system']) }),
};
type Stamp = z.infer<z.ZodObject<typeof stamp>>;
export type By = Stamp['by'];
export type Role = By['role'];

/** One line of the ledger: a statement with who said it and when it was taken. Never changed, never removed. */
export type Entry = Kept & Stamp;
export const Entry: z.ZodType<Entry> = z.discriminatedUnion(
  'kind',
  [...plain, ...seenWith, ...own].map((each) => each.safeExtend(stamp)) as never,
);
