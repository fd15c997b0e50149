import type { Decision, SiteState } from '../state/site.ts';
import { type FindingCode, RULES, type Rule } from './catalogue.ts';
import { findingId } from './id.ts';

/** Something that is not as it should be, before anybody has decided on it. All instants are UTC ms. */
export interface Found {
  readonly code: FindingCode;
  /** Tells it from others of its code on the same joint or sump, and stays the same while it grows. */
  readonly anchor: string;
  readonly sump: string;
  /** Null: it concerns the sump as a whole. */
  readonly joint: string | null;
  readonly probes: readonly string[];
  readonly fromMs: number;
  /** Null: it is still going on. */
  readonly toMs: number | null;
  /** Evidence in whole numbers, the unit in each name. */
  readonly numbers: Readonly<Record<string, number>>;
  /** Evidence in words of people or names of things. */
  readonly words: Readonly<Record<string, string>>;
  /** Stages that it blocks while nobody has decided. */
  readonly blocks: readonly string[];
}

export interface Finding extends Found, Rule {
  readonly id: string;
  /** The newest decision that was not taken back. */
  readonly decision: Decision | null;
  /** Nobody has decided, or it has gone on since. */
  readonly open: boolean;
}

/** A passing proof of the joint: when it was taken. */
export interface Passed {
  readonly atMs: number;
  readonly recordedMs: number;
}

/**
 * `found` with what was decided on it. `proofs` are the joint's passing ones, `relaidRecordedMs` is when its present attempt was put
 * on record: what had to be done again before that has been.
 */
export function decided(
  site: SiteState,
  found: Found,
  proofs: readonly Passed[] = [],
  relaidRecordedMs = Number.NEGATIVE_INFINITY,
): Finding {
  const rule = RULES[found.code];
  const id = findingId(found.code, found.joint ?? found.sump, found.anchor);
  const standing = (site.decisions.get(id) ?? []).filter(
    ({ decision, recordedMs }) => decision !== 'redo' || recordedMs > relaidRecordedMs,
  );
  const decision = standing.at(-1) ?? null;
  return { ...found, ...rule, id, decision, open: decision === null || !settles(decision, found, rule, proofs) };
}

function settles(decision: Decision, { toMs }: Found, { severity }: Rule, proofs: readonly Passed[]): boolean {
  switch (decision.decision) {
    case 'redo':
      // The joint is void until it is laid up anew, and this attempt's findings go with it.
      return false;
    case 'proof':
      return (
        toMs !== null &&
        proofs.some((proof) => proof.atMs >= toMs && proof.atMs <= decision.atMs && proof.recordedMs <= decision.recordedMs)
      );
    case 'accept':
      // What went on after the decision was not decided on.
      return severity !== 'stop' || (toMs !== null && decision.atMs >= toMs);
  }
}
