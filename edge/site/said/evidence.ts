import { z } from 'zod';
import { Slug } from '../../cure/schedule.ts';
import { Id, Instant, Sha256 } from './words.ts';

/**
 * Why the program sealed a joint: a stage was reached and nothing blocks it (`stage`), that was the last of them (`done`), what was
 * sealed before looks different now that something came late (`late`), somebody decided on one of its findings (`decided`), or
 * somebody asked for the evidence (`asked`).
 */
export const SEAL_REASONS = ['stage', 'done', 'late', 'decided', 'asked'] as const;

/** The readings of one source and quantity that a joint's hours rest on, so that none can be left out unnoticed. */
const SealedLane = z.strictObject({
  /** A probe's own series, or that of a file. */
  source: z.string().min(1).max(200),
  quantity: z.enum(['temperature', 'resistance', 'humidity']),
  readings: z.int().min(0),
  /** UTC ms; null without readings. */
  firstMs: z.int().nullable(),
  lastMs: z.int().nullable(),
  /** Between two neighbours; 0 with fewer than two. */
  longestGapMs: z.int().min(0),
  /** Over a line `atMs,value` and a line feed for each, as stored. */
  sha256: Sha256,
});

/** What the ledger said of a joint when it was sealed. */
export const jointSealed = z.strictObject({
  kind: z.literal('joint.sealed'),
  joint: Id,
  attempt: z.int().min(0),
  why: z.enum(SEAL_REASONS),
  stage: Slug.optional(),
  /** Null before lay-up, and then there are no lanes. */
  laidUpAt: Instant.nullable(),
  provenUntil: Instant.nullable(),
  creditPpmMs: z.int().min(0),
  rateTableSha256: Sha256,
  reached: z.array(z.strictObject({ stage: Slug, reachedAtMs: z.int() })),
  lanes: z.array(SealedLane),
  /** Those that bear on the joint before this one: how many, and SHA-256 over a line with the place of each. */
  entries: z.strictObject({ count: z.int().min(0), sha256: Sha256 }),
  /** Who said something of them, in order. */
  people: z.array(z.string()),
});
