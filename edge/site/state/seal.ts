import type { Entry } from '../entries.ts';

type JointSealed = Extract<Entry, { kind: 'joint.sealed' }>;

/** What was sealed of a joint; see the entry `joint.sealed`. It stays, whatever is sealed later. */
export interface Seal
  extends Pick<JointSealed, 'attempt' | 'why' | 'creditPpmMs' | 'rateTableSha256' | 'reached' | 'lanes' | 'entries' | 'people'> {
  readonly seq: number;
  /** When it was put on record, UTC ms. */
  readonly atMs: number;
  readonly stage: string | null;
  readonly laidUpMs: number | null;
  readonly provenUntilMs: number | null;
}

export function sealOf(entry: JointSealed, seq: number): Seal {
  const { attempt, why, stage = null, creditPpmMs, rateTableSha256, reached, lanes, entries, people } = entry;
  return {
    seq,
    atMs: Date.parse(entry.recordedAt),
    attempt,
    why,
    stage,
    laidUpMs: entry.laidUpAt === null ? null : Date.parse(entry.laidUpAt),
    provenUntilMs: entry.provenUntil === null ? null : Date.parse(entry.provenUntil),
    creditPpmMs,
    rateTableSha256,
    reached,
    lanes,
    entries,
    people,
  };
}
