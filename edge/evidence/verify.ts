import { lookAtBag } from './checks/bag.ts';
import { lookAtCanonical } from './checks/canonical.ts';
import { lookAtCheckpointText } from './checks/checkpointText.ts';
import { lookAtDerivedReadings } from './checks/derivedReadings.ts';
import { lookAtDerivedSchedules } from './checks/derivedSchedules.ts';
import { lookAtFormat } from './checks/format.ts';
import { lookAtHours } from './checks/hours.ts';
import { lookAtInclusion } from './checks/inclusion.ts';
import { lookAtKey } from './checks/key.ts';
import type { Looked } from './checks/looked.ts';
import { lookAtOrder } from './checks/order.ts';
import { lookAtReplay } from './checks/replay.ts';
import { lookAtSeals } from './checks/seals.ts';
import { lookAtSignature } from './checks/signature.ts';
import { lookAtZip } from './checks/zip.ts';
import { EnclosedReadings } from './readings.ts';
import type { BundleRecord } from './record.ts';
import { fingerprint } from './siteKey.ts';
import { ZIP_LIMITS, type ZipLimits } from './zip.ts';

/** What is checked, in this order, in words for somebody who has never been on a site. */
export const CHECKS = {
  zip: 'The file is whole',
  bag: 'Every file in it is there and as it was packed',
  format: 'It is a bundle of a known format',
  canonical: 'What counts is written in one way only',
  'checkpoint-text': 'All parts speak of the same checkpoint',
  signature: 'The site signed the checkpoint',
  key: 'The key is the site’s',
  inclusion: 'Every entry and reading is what was signed',
  order: 'Everything stands in its order',
  'derived-readings': 'The lists of readings are the signed readings',
  'derived-schedules': 'The cure rules are the signed ones',
  replay: 'The record can be put together',
  seals: 'Nothing was left out',
  hours: 'The warm hours follow from the readings',
} as const;
export type CheckId = keyof typeof CHECKS;

/** What came of one check. */
export interface Check {
  readonly id: CheckId;
  readonly title: string;
  readonly ok: boolean;
  /** False where one before it failed that it rests on; then it is not `ok` either. */
  readonly looked: boolean;
  readonly detail: string;
  /** What it means for whoever has to decide; null where nothing is wrong. */
  readonly consequence: string | null;
}

/** What a bundle is, as far as it could be read. Says nothing of whether it is right. */
export interface Summary {
  readonly site: string;
  readonly joints: readonly string[];
  readonly sump: string | null;
  readonly size: number;
  readonly rootHash: string;
  /** Of the enclosed key; null where there is none. */
  readonly fingerprint: string | null;
  /** Whether that is one that the reader got another way. */
  readonly keyCompared: boolean;
  readonly madeAt: string;
  readonly checkpointAt: string | null;
  /** Up to when nothing was left out; null: nothing shows it. */
  readonly completeUntil: string | null;
  readonly anchored: boolean;
}

export interface Verdict {
  readonly ok: boolean;
  readonly checks: readonly Check[];
  readonly summary: Summary | null;
  /** Warm hours and stages as they were counted anew; null where that did not come to what is claimed. */
  readonly record: BundleRecord | null;
  /** What a right bundle proves and what it does not, always to be shown with the verdict. */
  readonly proves: readonly string[];
}

/** What may be concluded, whatever the verdict. */
const PROVES: readonly string[] = [
  'If every check holds, nothing in the bundle was altered since the checkpoint was signed, and the warm hours follow from the readings.',
  'It does not prove that the probes sat where they should, or that people told the truth.',
  'Signed, not yet anchored outside the site: whoever holds the site’s key could have made another record before.',
];

export interface Judging {
  /** Fingerprint of the site's key that the reader got another way, however it is written; null: none. */
  readonly trustedKey?: string | null;
  /** How much the bundle may come to. */
  readonly limits?: ZipLimits;
  /** Told of each check as soon as it is done, for whoever waits before a screen. */
  readonly onCheck?: (check: Check) => void;
}

/** What a check builds on: values of checks before it, null where one of those failed. */
type Needs<H extends object> = { readonly [K in keyof H]: H[K] | null };

class Inspection {
  readonly checks: Check[] = [];
  readonly #onCheck: (check: Check) => void;

  constructor(onCheck: (check: Check) => void) {
    this.#onCheck = onCheck;
  }

  /** Does a check whose `needs` have all held. */
  look<H extends object, T>(id: CheckId, needs: Needs<H>, check: (held: H) => Looked<T>): T | null {
    const title = CHECKS[id];
    if (Object.values(needs).includes(null)) {
      const detail = 'Not looked at: it rests on what failed before.';
      return this.#tell({ id, title, ok: false, looked: false, detail, consequence: null }, null);
    }
    const came = guarded(() => check(needs as H));
    const { ok, detail } = came;
    const consequence = came.ok ? null : came.consequence;
    return this.#tell({ id, title, ok, looked: true, detail, consequence }, came.ok ? came.value : null);
  }

  #tell<T>(check: Check, value: T): T {
    this.checks.push(check);
    this.#onCheck(check);
    return value;
  }
}

/** Bytes that nobody foresaw must not keep the rest from being told. */
function guarded<T>(check: () => Looked<T>): Looked<T> {
  try {
    return check();
  } catch (fault) {
    return {
      ok: false,
      detail: `It could not be looked at: ${(fault as Error).message}.`,
      consequence: 'It is damaged in a way that this program does not know. Do not rely on it.',
    };
  }
}

/**
 * Judges a bundle of evidence by nothing but its own bytes, and by the fingerprint of the site's key where the reader got one
 * another way. The first check that fails is what is wrong with it. Never throws, whatever the bytes.
 */
export function verifyBundle(
  bytes: Uint8Array,
  { trustedKey = null, limits = ZIP_LIMITS, onCheck = () => {} }: Judging = {},
): Verdict {
  const inspection = new Inspection(onCheck);
  const look: Inspection['look'] = (id, needs, check) => inspection.look(id, needs, check);
  const files = look('zip', { bytes }, (held) => lookAtZip(held.bytes, limits));
  const bag = look('bag', { files }, (held) => lookAtBag(held.files));
  const bundle = look('format', { bag }, (held) => lookAtFormat(held.bag));
  const enclosed = look('canonical', { bag, bundle }, (held) => lookAtCanonical(held.bag));
  const checkpoint = look('checkpoint-text', { bag, bundle }, (held) => lookAtCheckpointText(held.bag, held.bundle));
  const key = look('signature', { bag, checkpoint }, (held) => lookAtSignature(held.bag, held.checkpoint));
  const compared = look('key', { key, bundle }, (held) => lookAtKey(held.key, held.bundle, trustedKey));
  const included = look('inclusion', { enclosed, checkpoint, compared }, (held) =>
    lookAtInclusion(held.enclosed, held.checkpoint),
  );
  const ordered = look('order', { enclosed }, (held) => lookAtOrder(held.enclosed));
  const blocks = look('derived-readings', { bag, enclosed, included }, (held) => lookAtDerivedReadings(held.bag, held.enclosed));
  look('derived-schedules', { bag, enclosed }, (held) => lookAtDerivedSchedules(held.bag, held.enclosed));
  const replayed = look('replay', { enclosed, bundle, blocks, ordered }, (held) =>
    lookAtReplay(held.enclosed, held.bundle, held.blocks),
  );
  const readings = blocks && new EnclosedReadings(blocks);
  const complete = look('seals', { replayed, readings, bundle }, (held) =>
    lookAtSeals(held.replayed, held.readings, held.bundle),
  );
  const record = look('hours', { enclosed, replayed, readings, bundle, checkpoint }, lookAtHours);
  const { checks } = inspection;
  return {
    ok: checks.every(({ ok }) => ok),
    checks,
    summary: bundle && {
      site: bundle.site,
      joints: bundle.subject.joints,
      sump: bundle.subject.sump,
      size: bundle.tree.size,
      rootHash: bundle.tree.rootHash,
      fingerprint: key && fingerprint(key),
      keyCompared: compared?.compared ?? false,
      madeAt: bundle.madeAt,
      checkpointAt: checkpoint && new Date(checkpoint.atMs).toISOString(),
      completeUntil: complete?.completeUntil ?? null,
      anchored: bundle.anchored,
    },
    record,
    proves: PROVES,
  };
}
