import { z } from 'zod';
import type { Fold } from '../../cure/fold.ts';
import { clockMsAtRate } from '../../cure/heldRate.ts';
import { requiredPpmMs, SHOWN_PPM_MS, shownHours } from '../../cure/schedule.ts';
import { iso } from './iso.ts';

export const StageView = z.strictObject({
  stage: z.string(),
  requiredHours: z.number(),
  reachedAt: z.string().nullable(),
  /** Since when it is reached and nothing blocks it; null: it is not. */
  clearAt: z.string().nullable(),
  /** Which reading proved it. */
  provenBy: z.strictObject({ probe: z.string(), at: z.string() }).nullable(),
  remainingHours: z.number(),
  /** When it would be reached if the present temperature held from now on. Null: nothing is being credited. */
  ifHeldAt: z.string().nullable(),
  /** Ids of open findings that block it. */
  blockedBy: z.array(z.string()),
});
export type StageView = z.infer<typeof StageView>;

/** A stage as its fold has it; `fold` is null before it begins, `creditPpm` while nothing is live. */
export function stageView(
  stage: string,
  requiredHours: number,
  fold: Fold | null,
  creditPpm: number | null,
  { blockedBy, decidedMs }: { readonly blockedBy: string[]; readonly decidedMs: number },
  nowMs: number,
): StageView {
  const state = fold?.state;
  const reached = state?.reached.find((done) => done.stage === stage);
  const missingPpmMs = Math.max(0, requiredPpmMs(requiredHours) - (state?.creditPpmMs ?? 0));
  const waitMs = reached || state === undefined || creditPpm === null ? null : clockMsAtRate(missingPpmMs, creditPpm);
  return {
    stage,
    requiredHours,
    reachedAt: reached ? iso(reached.reachedAtMs) : null,
    clearAt: reached && blockedBy.length === 0 ? iso(Math.max(reached.reachedAtMs, decidedMs)) : null,
    provenBy: reached ? { probe: reached.provenBy.probe, at: iso(reached.provenBy.atMs) } : null,
    remainingHours: reached ? 0 : shownHours(missingPpmMs + SHOWN_PPM_MS - 1),
    ifHeldAt: waitMs === null || state === undefined ? null : iso(Math.max(state.frontierMs + waitMs, nowMs)),
    blockedBy,
  };
}
