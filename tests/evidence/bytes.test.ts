import { beforeAll, describe, expect, test, vi } from 'vitest';
import { readBag } from '../../edge/evidence/bagit.ts';
import { CHECKS, type CheckId, verifyBundle } from '../../edge/evidence/verify.ts';
import { readZip } from '../../edge/evidence/zip.ts';
import { bagOf, type Files, flipped, textOf, zipOf } from './support/bundle.ts';
import { barePacketOf, layUp, quickSite } from './support/packing.ts';

/** Thousands of verdicts ask the same slow question of the same key, so its answers are remembered. */
vi.mock('../../edge/evidence/siteKey.ts', async (original) => {
  const real = await original<typeof import('../../edge/evidence/siteKey.ts')>();
  const remembered = <A extends readonly unknown[], R>(ask: (...asked: A) => R) => {
    const answers = new Map<string, R>();
    return (...asked: A): R => {
      const key = asked.map(String).join('/');
      if (!answers.has(key)) answers.set(key, ask(...asked));
      return answers.get(key) as R;
    };
  };
  return { ...real, isSignedBy: remembered(real.isSignedBy), publicKeyOfPem: remembered(real.publicKeyOfPem) };
});

/** No signature covers these, and the verdict says so. */
const FOR_READING = ['READ-ME-FIRST.txt', 'report.pdf', 'verify.html'];
/** Of a bundle's own words, those that nothing hangs on: when it was packed, and by which version. */
const UNSIGNED = { madeAt: '', program: '' };
const FOLDER = 'warmhours-yard-j1';
/** Of larger files, one byte in so many. */
const LARGE_BYTES = 2048;
const STEP = 7;

let bundle: Uint8Array;
let payload: Files;

beforeAll(async () => {
  await using site = await quickSite();
  await layUp(site, 'j1', { resinLot: 'r1' });
  await site.cure(1, 14, 'p1');
  bundle = await barePacketOf(site, { joints: ['j1'], sump: null });
  const zip = readZip(bundle);
  const bag = 'files' in zip ? readBag(zip.files) : null;
  if (bag === null || !('bag' in bag)) throw new Error('the packet is no bag');
  payload = new Map(bag.bag.payload);
});

function firstFailure(bytes: Uint8Array): CheckId | null {
  return verifyBundle(bytes).checks.find(({ ok }) => !ok)?.id ?? null;
}

describe('a bundle that a site has packed', () => {
  test('is good, and so is the same one packed by somebody else', () => {
    expect(firstFailure(bundle)).toBeNull();
    expect(firstFailure(zipOf(bagOf(payload, FOLDER)))).toBeNull();
  });

  test('is not, with a bit of the ZIP turned, unless that says nothing of what is in it', () => {
    const files = readZip(bundle);
    let failures = 0;
    for (let index = 0; index < bundle.length; index += STEP) {
      const changed = flipped(bundle, index, 1 << (index % 8));
      if (firstFailure(changed) !== null) failures++;
      // Rights of the unpacked file, by which system it was packed, the last bits behind what is deflated.
      else expect(readZip(changed), `byte ${index}`).toEqual(files);
    }
    expect(failures).toBeGreaterThan((bundle.length / STEP) * 0.9);
  }, 120_000);

  test('is not, with a byte of any of its files changed, all hashes of the bag redone', () => {
    const told = new Map<CheckId, number>();
    for (const [name, bytes] of payload) {
      if (FOR_READING.includes(name)) continue;
      for (let index = 0; index < bytes.length; index += bytes.length < LARGE_BYTES ? 1 : STEP) {
        const changed = flipped(bytes, index, index % 2 === 0 ? 1 : 32);
        const failed = firstFailure(zipOf(bagOf(new Map(payload).set(name, changed), FOLDER), 0));
        if (failed !== null) told.set(failed, (told.get(failed) ?? 0) + 1);
        else expect({ ...parsed(changed), ...UNSIGNED }, `${name} byte ${index}`).toEqual({ ...parsed(bytes), ...UNSIGNED });
      }
    }
    const few: CheckId[] = ['format', 'key'];
    for (const id of Object.keys(CHECKS) as CheckId[])
      if (!few.includes(id)) expect([id, (told.get(id) ?? 0) > 20], id).toEqual([id, BY_A_BYTE.includes(id)]);
  }, 300_000);
});

/** The checks that meet a single changed byte first; the others are for what takes more than that. */
const BY_A_BYTE: readonly CheckId[] = [
  'canonical',
  'checkpoint-text',
  'signature',
  'inclusion',
  'derived-readings',
  'derived-schedules',
  'hours',
];

function parsed(bytes: Uint8Array): Readonly<Record<string, unknown>> {
  return JSON.parse(textOf(bytes)) as Readonly<Record<string, unknown>>;
}
