import type { FoldState } from '../../edge/cure/fold.ts';
import type { LedgerView } from '../../edge/ledger/ledgerView.ts';
import { applyEntry } from '../../edge/site/state/apply.ts';
import { emptySite, type SiteState } from '../../edge/site/state/site.ts';
import { Tally } from '../../edge/tally/tally.ts';

/** What the entries of a ledger add up to. */
export function siteOf(view: LedgerView): SiteState {
  const site = emptySite();
  for (const { seq, entry } of view.entries()) applyEntry(site, entry, seq);
  return site;
}

/** The state of every joint's fold; null before lay-up. A copy, so that it stays as it is now. */
export function statesOf(tally: Tally, site: SiteState): Record<string, FoldState | null> {
  return Object.fromEntries([...site.joints.keys()].map((joint) => [joint, structuredClone(tally.fold(joint)?.state ?? null)]));
}

/** Every fold computed from nothing but the ledger, and again as a start of the program does it, from the folds it kept. */
export function foldedBothWays(view: LedgerView): Record<'fromNothing' | 'fromCheckpoints', Record<string, FoldState | null>> {
  const site = siteOf(view);
  return {
    fromNothing: statesOf(new Tally(site, view.readings), site),
    fromCheckpoints: statesOf(new Tally(site, view.readings, view.checkpoints()), site),
  };
}
