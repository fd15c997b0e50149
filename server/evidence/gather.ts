import { setImmediate as others } from 'node:timers/promises';
import { bearsOnSubject, probesOf, type Subject } from '../../edge/evidence/bearing.ts';
import { type Bundle, FORMAT, originOf, VERSION } from '../../edge/evidence/bundle.ts';
import { type BundleRecord, recordOf } from '../../edge/evidence/record.ts';
import type { Placed } from '../../edge/evidence/sealed.ts';
import { fingerprint } from '../../edge/evidence/siteKey.ts';
import type { LedgerView } from '../../edge/ledger/ledgerView.ts';
import type { SignedCheckpoint } from '../../edge/ledger/signedCheckpoints.ts';
import { foldSpecOf, historyFromMs } from '../../edge/site/cureSpec.ts';
import { applyEntry } from '../../edge/site/state/apply.ts';
import { emptySite, type SiteState, toldOf } from '../../edge/site/state/site.ts';
import { iso } from '../../edge/site/views/iso.ts';
import type { LiveSite } from '../../edge/tally/liveSite.ts';
import { type BlockPlace, BlockReadings, blocksOf } from './ledgerBlocks.ts';

/** Entries looked at before others on this thread have their turn. */
const ENTRIES_AT_ONCE = 500;
const MINUTE_MS = 60_000;

/** All that a packet is made of: what bears on its subject, as the ledger was when it was signed for. */
export interface Evidence {
  readonly ledger: LedgerView;
  readonly bundle: Bundle;
  readonly checkpoint: SignedCheckpoint;
  readonly publicKey: Uint8Array;
  /** What was said, in ledger order … */
  readonly entries: readonly Placed[];
  /** … and what it adds up to. */
  readonly site: SiteState;
  /** What was measured, in ledger order … */
  readonly blocks: readonly BlockPlace[];
  /** … and the readings in it. */
  readonly readings: BlockReadings;
  /** What the site claims. */
  readonly record: BundleRecord;
}

/** Gathers the evidence on a subject whose joints are sealed, from the first leaves of the ledger, as many as the checkpoint is over. */
export async function gather(
  live: Pick<LiveSite, 'site' | 'ledger' | 'state' | 'publicKey' | 'nowMs'>,
  subject: Subject,
  checkpoint: SignedCheckpoint,
  program: string,
): Promise<Evidence> {
  const { ledger, publicKey } = live;
  const { size, root, atMs } = checkpoint;
  const { entries, site } = bearing(await saidOf(ledger, live.state, subject, size), subject);
  const fromMs = beginOf(entries, site, subject);
  const probes = probesOf(site, subject);
  const blocks = await blocksOf(ledger, { probes, fromMs, after: sealedAfter(entries, site, fromMs), size });
  const readings = new BlockReadings(ledger, blocks);
  const bundle: Bundle = {
    format: FORMAT,
    version: VERSION,
    site: live.site,
    madeAt: iso(live.nowMs),
    program,
    subject: { joints: [...subject.joints], sump: subject.sump },
    tree: { size, rootHash: Buffer.from(root).toString('hex') },
    key: { name: originOf(live.site), fingerprint: fingerprint(publicKey) },
    anchored: false,
  };
  return {
    ...{ ledger, bundle, checkpoint, publicKey, entries, site, blocks, readings },
    record: recordOf(site, subject, readings, atMs),
  };
}

/** Entries among the first `size` leaves that may bear on the subject: by all that is known today, those that did then and others. */
async function saidOf(ledger: LedgerView, today: SiteState, subject: Subject, size: number): Promise<Placed[]> {
  const bears = bearsOnSubject(today, subject);
  const said: Placed[] = [];
  for (let seen = 0, more = true; more; await others()) {
    more = false;
    let count = 0;
    for (const placed of ledger.entries(seen)) {
      if (placed.seq > size) break;
      more = count === ENTRIES_AT_ONCE;
      if (more) break;
      seen = placed.seq;
      count++;
      if (bears(placed.entry, placed.seq)) said.push(placed);
    }
  }
  return said;
}

/** Those of `said` that bear on the subject by nothing but themselves, as whoever verifies sees it. */
function bearing(said: readonly Placed[], subject: Subject): Pick<Evidence, 'entries' | 'site'> {
  const bears = bearsOnSubject(stateOf(said), subject);
  const entries = said.filter(({ entry, seq }) => bears(entry, seq));
  return { entries, site: stateOf(entries) };
}

function stateOf(entries: readonly Placed[]): SiteState {
  const site = emptySite();
  for (const { entry, seq } of entries) applyEntry(site, entry, seq);
  return site;
}

/** Before this nothing that was measured bears on the subject, UTC ms: all work on it, its hours, seals and water tests lie later. */
function beginOf(entries: readonly Placed[], site: SiteState, { joints }: Subject): number {
  const own = joints.flatMap((name) => site.joints.get(name) ?? []);
  const gapLimitMs = Math.max(0, ...own.map(({ schedule }) => schedule.definition.gapLimitMinutes * MINUTE_MS));
  let beginMs = Number.POSITIVE_INFINITY;
  const from = (ms: number) => {
    beginMs = Math.min(beginMs, ms);
  };
  for (const { entry, seq } of entries) {
    if (entry.kind === 'joint.sealed') for (const { firstMs } of entry.lanes) from(firstMs ?? beginMs);
    else if (entry.kind === 'hydrotest.recorded') from(Date.parse(entry.startedAt));
    else if ('joint' in entry && entry.kind !== 'joint.added') from(toldOf(seq, entry).atMs - gapLimitMs);
  }
  for (const joint of own) {
    const spec = foldSpecOf(site, joint);
    if (spec !== null) from(historyFromMs(spec));
  }
  return beginMs;
}

/**
 * The place before which no block has readings from `fromMs` on. What is sealed has been measured before, unless the clock was set:
 * then nothing can be said.
 */
function sealedAfter(entries: readonly Placed[], site: SiteState, fromMs: number): number {
  if (site.clockSteps.length > 0) return 0;
  const later = entries.findIndex(({ entry }) => Date.parse(entry.recordedAt) >= fromMs);
  return entries[(later < 0 ? entries.length : later) - 1]?.seq ?? 0;
}
