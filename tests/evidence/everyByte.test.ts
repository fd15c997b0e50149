import { expect, test, vi } from 'vitest';
import { readBag } from '../../edge/evidence/bagit.ts';
import { type CheckId, verifyBundle } from '../../edge/evidence/verify.ts';
import { bagOf, flipped, packed, payloadOf, textOf, zipOf } from './support/bundle.ts';
import { tinyYard } from './support/yard.ts';

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

const payload = payloadOf(tinyYard());
/** No signature covers these; the report says so, and the page and the program count anew. */
const FOR_READING = ['READ-ME-FIRST.txt', 'report.pdf', 'verify.html'];

test('the bundle itself is good', () => {
  expect(verifyBundle(packed(payload)).checks.filter(({ ok }) => !ok)).toEqual([]);
});

test('whichever byte of whichever file is changed, its name is told', () => {
  const files = [...bagOf(payload)].map(([name, bytes]) => ({ name, bytes }));
  let count = 0;
  for (const [place, { name, bytes }] of files.entries())
    for (let index = 0; index < bytes.length; index++) {
      count++;
      const read = readBag(files.with(place, { name, bytes: flipped(bytes, index, 1 << (index % 8)) }));
      const fault = 'fault' in read ? read.fault : null;
      expect(fault, `${name} byte ${index}`).not.toBeNull();
      // A changed list says something wrong of another file, or is itself no list any more.
      if (!name.endsWith('tagmanifest-sha256.txt')) expect(`warmhours-north-j1/${fault?.file}`).toBe(name);
    }
  expect(count).toBeGreaterThan(5000);
}, 120_000);

test('with every list of hashes made right again too: the check that fails tells where', () => {
  const failures = new Map<string, Set<CheckId | 'none'>>();
  for (const [name, bytes] of payload)
    for (let index = 0; index < bytes.length; index++) {
      // Two bits in turn: one often keeps a digit a digit, the other makes a small letter of a large one.
      const changed = flipped(bytes, index, index % 2 === 0 ? 1 : 32);
      const verdict = verifyBundle(zipOf(bagOf(new Map(payload).set(name, changed)), 0));
      const first = verdict.checks.find(({ ok }) => !ok)?.id ?? 'none';
      const ofFile = failures.get(name) ?? new Set();
      failures.set(name, ofFile.add(first));
      if (first !== 'none' || FOR_READING.includes(name)) continue;
      const [before, after] = [bytes, changed].map((each) => JSON.parse(textOf(each)) as Record<string, unknown>);
      expect({ ...after, madeAt: 0, program: 0 }, `${name} byte ${index}`).toEqual({ ...before, madeAt: 0, program: 0 });
    }
  const told = Object.fromEntries([...failures].map(([name, checks]) => [name, [...checks].sort()]));
  const rateTable = Object.keys(told).find((name) => name.startsWith('rate-tables/')) ?? '';
  expect(told).toEqual({
    'READ-ME-FIRST.txt': ['none'],
    'report.pdf': ['none'],
    'verify.html': ['none'],
    'bundle.json': ['checkpoint-text', 'format', 'key', 'none'],
    'entries.ndjson': ['canonical', 'inclusion'],
    'blocks.ndjson': ['canonical', 'inclusion'],
    'readings.csv': ['derived-readings'],
    'readings.ndjson': ['derived-readings'],
    'record.json': ['canonical', 'hours'],
    'checkpoint.note': ['checkpoint-text', 'signature'],
    'checkpoint.txt': ['checkpoint-text'],
    'checkpoint.sig': ['checkpoint-text'],
    'site-key.pem': ['signature'],
    'schedules/quick-v1.json': ['derived-schedules'],
    [rateTable]: ['derived-schedules'],
  });
}, 300_000);
