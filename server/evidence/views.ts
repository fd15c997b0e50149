import { z } from 'zod';
import { BundleRecord } from '../../edge/evidence/record.ts';
import { CHECKS, type CheckId } from '../../edge/evidence/verify.ts';
import { Phase } from '../../edge/site/views/joint.ts';

/** A verdict as it goes over the wire; see `Verdict`. */
export const VerdictView = z.strictObject({
  ok: z.boolean(),
  checks: z.array(
    z.strictObject({
      id: z.enum(Object.keys(CHECKS) as [CheckId, ...CheckId[]]),
      title: z.string(),
      ok: z.boolean(),
      looked: z.boolean(),
      detail: z.string(),
      consequence: z.string().nullable(),
    }),
  ),
  summary: z
    .strictObject({
      site: z.string(),
      joints: z.array(z.string()),
      sump: z.string().nullable(),
      size: z.int(),
      rootHash: z.string(),
      fingerprint: z.string().nullable(),
      keyCompared: z.boolean(),
      madeAt: z.string(),
      checkpointAt: z.string().nullable(),
      completeUntil: z.string().nullable(),
      anchored: z.boolean(),
    })
    .nullable(),
  record: BundleRecord.nullable(),
  proves: z.array(z.string()),
});

/** A joint that evidence is there for. */
const FoundJoint = z.strictObject({
  joint: z.string(),
  label: z.string(),
  sump: z.string(),
  sumpLabel: z.string(),
  /** Of the sump. */
  serial: z.string().nullable(),
  phase: Phase,
  laidUpAt: z.string().nullable(),
  /** Who said something of it or of its sump, in the order in which each first did. */
  people: z.array(z.string()),
  /** That were mixed for it, in any attempt. */
  lots: z.array(z.string()),
  /** On the joint itself: those that nobody has decided on, and the others. */
  findings: z.strictObject({ open: z.int(), decided: z.int() }),
  /** When it was sealed last; null: never yet. */
  sealedAt: z.string().nullable(),
  /** Address of its packet. */
  packet: z.string(),
});
export type FoundJoint = z.infer<typeof FoundJoint>;

export const FoundView = z.strictObject({
  /** How many match; the first of them are given. */
  total: z.int(),
  joints: z.array(FoundJoint),
});
export type FoundView = z.infer<typeof FoundView>;

export const RecallView = z.strictObject({
  lot: z.string(),
  /** Null: it was never added to the site's lots. */
  label: z.string().nullable(),
  material: z.string().nullable(),
  joints: z.array(
    FoundJoint.extend({
      uses: z.array(
        z.strictObject({
          as: z.enum(['resin', 'catalyst']),
          at: z.string(),
          by: z.string(),
          /** Of an attempt that was done again since: false. */
          present: z.boolean(),
        }),
      ),
    }),
  ),
});
export type RecallView = z.infer<typeof RecallView>;
