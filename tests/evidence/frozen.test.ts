import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { sha256Hex } from '../../edge/evidence/canonical.ts';
import { verifyBundle } from '../../edge/evidence/verify.ts';
import { flipped } from './support/bundle.ts';

const FOLDER = join(import.meta.dirname, '..', 'vectors', 'bundles');

/** What a verdict said when the bundle was frozen. */
interface Frozen {
  readonly sha256: string;
  readonly summary: { readonly fingerprint: string };
  readonly record: unknown;
}

/** A bundle that was handed out once verifies for ever, to the same hours, whatever later versions of the program do. */
describe.each([1])('a bundle of format %i, made when that was new', (format) => {
  const name = `format-${format}`;
  const bytes = new Uint8Array(readFileSync(join(FOLDER, `${name}.zip`)));
  const frozen = JSON.parse(readFileSync(join(FOLDER, `${name}.json`), 'utf8')) as Frozen;

  test('is the one that was frozen', () => {
    expect(sha256Hex(bytes)).toBe(frozen.sha256);
  });

  test('is good, and comes to the same warm hours', () => {
    const { checks, summary, record } = verifyBundle(bytes, { trustedKey: frozen.summary.fingerprint });
    expect(checks.filter(({ ok }) => !ok)).toEqual([]);
    expect(summary).toEqual({ ...frozen.summary, keyCompared: true });
    expect(record).toEqual(frozen.record);
  });

  test('is not, once anything in it is changed', () => {
    for (let index = 1000; index < bytes.length; index += 25_013)
      expect(verifyBundle(flipped(bytes, index)).ok, `byte ${index}`).toBe(false);
  });
});

test('every one that is kept is looked at', () => {
  expect(readdirSync(FOLDER).sort()).toEqual(['format-1.json', 'format-1.zip']);
});
