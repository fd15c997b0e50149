import { z } from 'zod';
import { FINDING_CODES } from '../findings/catalogue.ts';
import type { Finding } from '../findings/finding.ts';
import type { SiteState } from '../state/site.ts';
import { iso, isoOrNull } from './iso.ts';
import { RecordLine, recordOf } from './record.ts';

export const FindingView = z.strictObject({
  id: z.string(),
  code: z.enum(FINDING_CODES),
  severity: z.enum(['note', 'warning', 'stop']),
  sump: z.string(),
  joint: z.string().nullable(),
  probes: z.array(z.string()),
  from: z.string(),
  /** Null: still going on. */
  to: z.string().nullable(),
  /** Evidence in whole numbers, the unit in each name. */
  numbers: z.record(z.string(), z.number()),
  words: z.record(z.string(), z.string()),
  /** Stages that it blocks while it is open. */
  blocks: z.array(z.string()),
  mayDecide: z.array(z.enum(['crew', 'quality', 'claims', 'admin', 'system'])),
  /** A passing proof, hardness and surface both, may settle it. */
  provable: z.boolean(),
  /** Nobody has decided, or it has gone on since. */
  open: z.boolean(),
  decision: z
    .strictObject({
      seq: z.int(),
      decision: z.enum(['accept', 'redo', 'proof']),
      reason: z.string(),
      by: z.string(),
      role: z.string(),
      at: z.string(),
    })
    .nullable(),
  /** Every decision on it, newest first; what was taken back is struck through. */
  decisions: z.array(RecordLine),
});
export type FindingView = z.infer<typeof FindingView>;

export function findingView(site: SiteState, finding: Finding): FindingView {
  const { id, code, severity, sump, joint, probes, fromMs, toMs, numbers, words, blocks, mayDecide, provable, open, decision } =
    finding;
  return {
    id,
    code,
    severity,
    sump,
    joint,
    probes: [...probes],
    from: iso(fromMs),
    to: isoOrNull(toMs),
    numbers: { ...numbers },
    words: { ...words },
    blocks: [...blocks],
    mayDecide: [...mayDecide],
    provable,
    open,
    decision: decision && {
      seq: decision.seq,
      decision: decision.decision,
      reason: decision.reason,
      by: decision.by.name,
      role: decision.by.role,
      at: iso(decision.atMs),
    },
    decisions: recordOf(site, (entry) => entry.kind === 'finding.decided' && entry.finding === id),
  };
}
