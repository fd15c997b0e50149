import { readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { describe, expect, test } from 'vitest';
import { folderOf } from '../../edge/evidence/bundle.ts';
import { fingerprint } from '../../edge/evidence/siteKey.ts';
import { CHECKS, type CheckId, type Verdict, verifyBundle } from '../../edge/evidence/verify.ts';
import { bagOf, edited, packed, payloadOf, publicKey, zipOf } from './support/bundle.ts';
import { every, smallYard } from './support/yard.ts';

const own = fingerprint(publicKey);
const checkOf = ({ checks }: Verdict, id: CheckId) => checks.find((check) => check.id === id);
const payload = payloadOf(smallYard());

describe('a good bundle', () => {
  const verdict = verifyBundle(packed(payload));

  test('holds in every check, in a fixed order', () => {
    expect(verdict.checks.filter(({ ok }) => !ok)).toEqual([]);
    expect(verdict.ok).toBe(true);
    expect(verdict.checks.map(({ id }) => id)).toEqual(Object.keys(CHECKS));
  });

  test('tells of each as soon as it is done', () => {
    const told: CheckId[] = [];
    const { checks } = verifyBundle(packed(payload), { onCheck: ({ id }) => told.push(id) });
    expect(told).toEqual(checks.map(({ id }) => id));
  });

  test('says what it is, and what was counted anew', () => {
    expect(verdict.summary).toMatchObject({
      site: 'north',
      joints: ['j1'],
      size: 28,
      fingerprint: own,
      keyCompared: false,
      checkpointAt: '2026-01-15T10:10:00.000Z',
      completeUntil: '2026-01-15T10:02:00.000Z',
      anchored: false,
    });
    const [joint] = verdict.record?.joints ?? [];
    // 10.75 °C and more is above the reference of 10 °C, where an hour counts as one: half an hour after the lay-up.
    expect(joint?.stages[0]).toMatchObject({ stage: 'stress', reachedAtMs: Date.parse('2026-01-15T08:30:00Z') });
    expect(joint).toMatchObject({ serial: 'A-17', attempt: 1, seals: [21, 27] });
  });

  test('says what it proves, and that nothing outside the site vouches for it yet', () => {
    expect(verdict.proves.join(' ')).toContain('Signed, not yet anchored outside the site');
    expect(verdict.proves.join(' ')).toContain('does not prove that the probes sat where they should');
  });

  test('without a fingerprint to compare with, the key is said to be the bundle’s own', () => {
    expect(checkOf(verdict, 'key')).toMatchObject({ ok: true, detail: expect.stringContaining('compare its fingerprint') });
  });

  test('with one it is compared, however it is written', () => {
    for (const trustedKey of [own, own.toUpperCase(), own.replaceAll(' ', ':'), ` ${own.replaceAll(' ', '')} `]) {
      const compared = verifyBundle(packed(payload), { trustedKey });
      expect(compared).toMatchObject({ ok: true, summary: { keyCompared: true } });
    }
  });
});

describe('other subjects', () => {
  test('a sump with all its joints', () => {
    const subject = { joints: ['j1', 'j2'], sump: 's1' };
    const files = bagOf(payloadOf(smallYard(), { subject }), folderOf('north', subject));
    const verdict = verifyBundle(zipOf(files));
    expect(verdict.checks.filter(({ ok }) => !ok)).toEqual([]);
    expect(verdict.record?.joints.map(({ joint, laidUpAt }) => [joint, laidUpAt === null])).toEqual([
      ['j1', false],
      ['j2', true],
    ]);
    // One sealed before the other: for both, nothing is missing up to the earlier one.
    expect(verdict.summary?.completeUntil).toBe('2026-01-15T10:01:00.000Z');
  });

  test('a sump of which a joint is left out is none', () => {
    const subject = { joints: ['j2', 'j1'], sump: 's1' };
    const files = payloadOf(smallYard(), { subject });
    const left = edited(files, 'bundle.json', (text) => text.replace('"j2","j1"', '"j1"'));
    const verdict = verifyBundle(zipOf(bagOf(left, 'warmhours-north-s1')));
    expect(checkOf(verdict, 'replay')).toMatchObject({ ok: false, detail: expect.stringContaining('j1, j2') });
  });

  test('several joints in one packet', () => {
    const subject = { joints: ['j1', 'j2'], sump: null };
    const verdict = verifyBundle(zipOf(bagOf(payloadOf(smallYard(), { subject }), 'warmhours-north-2-joints')));
    expect(verdict.checks.filter(({ ok }) => !ok)).toEqual([]);
  });
});

describe('readings that come late', () => {
  const late = () => {
    const yard = smallYard();
    yard.measure(
      'p1',
      every(5, 2, 22, () => 9.9),
    );
    return yard;
  };

  test('need a new seal: the newest one tells of a joint as it is now', () => {
    const verdict = verifyBundle(packed(payloadOf(late())));
    expect(checkOf(verdict, 'seals')).toMatchObject({ ok: false, detail: expect.stringContaining('rests on 25 readings') });
  });

  test('the earlier seals stay, and hold', () => {
    const yard = late();
    yard.seal('j1', 129, 'late');
    const verdict = verifyBundle(packed(payloadOf(yard)));
    expect(verdict.checks.filter(({ ok }) => !ok)).toEqual([]);
    expect(verdict.record?.joints[0]?.seals).toHaveLength(3);
  });
});

describe('a joint that is laid up anew', () => {
  test('has a seal of each attempt', () => {
    const yard = smallYard();
    yard.say({ kind: 'joint.relaid', joint: 'j1', at: new Date(Date.parse('2026-01-15T10:00:00Z')).toISOString() }, 124);
    yard.measure(
      'p1',
      every(5, 120, 160, () => 12),
    );
    yard.measure(
      'p2',
      every(5, 120, 160, () => 12),
    );
    yard.seal('j1', 170);
    const verdict = verifyBundle(packed(payloadOf(yard, { minute: 180 })));
    expect(verdict.checks.filter(({ ok }) => !ok)).toEqual([]);
    expect(verdict.record?.joints[0]).toMatchObject({
      attempt: 2,
      creditPpmMs: 40 * 60_000 * 1e6,
      stages: [{ reachedAtMs: expect.any(Number) }, { reachedAtMs: null }],
    });
  });
});

describe('what this program does not know', () => {
  const changed = (edit: (text: string) => string) => verifyBundle(packed(edited(payload, 'bundle.json', edit)));

  test('another version, another format', () => {
    const newer = changed((text) => text.replace('"version":1', '"version":2'));
    expect(checkOf(newer, 'format')).toMatchObject({
      ok: false,
      detail: 'The bundle is of format version 2; this program knows version 1.',
    });
    expect(newer.summary).toBeNull();
    expect(
      checkOf(
        changed((text) => text.replace('warmhours-bundle', 'lukewarm-bundle')),
        'format',
      )?.ok,
    ).toBe(false);
  });

  test('what rests on it is not looked at, and does not hold', () => {
    const { checks } = changed((text) => text.replace('"version":1', '"version":2'));
    for (const { id, ok, looked } of checks) {
      const before = ['zip', 'bag'].includes(id);
      expect({ id, ok, looked }).toEqual({ id, ok: before, looked: before || id === 'format' });
    }
  });

  test('an entry of a kind that came later', () => {
    const yard = smallYard();
    const files = payloadOf(yard);
    const verdict = verifyBundle(packed(edited(files, 'entries.ndjson', (text) => text.replace('note.added', 'note.sung'))));
    expect(checkOf(verdict, 'inclusion')?.ok).toBe(false);
  });
});

describe('the verifier', () => {
  test('never throws, whatever the bytes', () => {
    for (const bytes of [
      new Uint8Array(0),
      new Uint8Array(100),
      new TextEncoder().encode('PK\u0003\u0004 not a ZIP'),
      packed(new Map()),
    ])
      expect(verifyBundle(bytes)).toMatchObject({ ok: false, summary: null, record: null });
  });

  test('takes in nothing that can sign, nor anything of the machine', () => {
    const seen = new Set<string>();
    const reach = (file: string) => {
      if (seen.has(file)) return;
      seen.add(file);
      for (const [, from = ''] of readFileSync(file, 'utf8').matchAll(/ from '([^']+)'/g)) {
        if (from.startsWith('.')) reach(resolve(file, '..', from));
        else
          expect(
            ['zod', 'fflate', '@noble/hashes/sha2.js', '@noble/hashes/utils.js', '@noble/curves/ed25519.js'],
            file,
          ).toContain(from);
      }
    };
    reach(resolve(import.meta.dirname, '../../edge/evidence/verify.ts'));
    expect(seen.size).toBeGreaterThan(60);
    const folders = [...seen].map((file) =>
      file
        .slice(resolve(import.meta.dirname, '../..').length + 1)
        .split('/')
        .slice(0, 2)
        .join('/'),
    );
    expect([...new Set(folders)].sort()).toEqual([join('edge', 'cure'), join('edge', 'evidence'), join('edge', 'site')]);
    for (const file of seen) expect(readFileSync(file, 'utf8'), file).not.toMatch(/\bsign\(|randomSecretKey|createPrivateKey/);
  });
});
