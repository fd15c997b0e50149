import { ed25519 } from '@noble/curves/ed25519.js';
import { bytesToHex } from '@noble/hashes/utils.js';
import { describe, expect, test } from 'vitest';
import { base64Of, bytesOfBase64 } from '../../edge/evidence/base64.ts';
import { decodeBlock, encodeBlock } from '../../edge/evidence/block.ts';
import { canonicalJson } from '../../edge/evidence/canonical.ts';
import { leafHash } from '../../edge/evidence/leaf.ts';
import { inclusionProof, rootOf } from '../../edge/evidence/merkle.ts';
import type { Sealed } from '../../edge/evidence/sealed.ts';
import { fingerprint } from '../../edge/evidence/siteKey.ts';
import { verifyBundle } from '../../edge/evidence/verify.ts';
import { ZIP_LIMITS } from '../../edge/evidence/zip.ts';
import {
  bagOf,
  checkpointFiles,
  edited,
  type Files,
  packed,
  payloadOf,
  publicKey,
  secretKey,
  textOf,
  zipOf,
} from './support/bundle.ts';
import { smallYard, type Yard } from './support/yard.ts';

const payload = payloadOf(smallYard());
const otherKey = new Uint8Array(32).fill(9);
const utf8 = (text: string) => new TextEncoder().encode(text);

/** The first check that fails, with what it says. */
function faultOf(files: Files, trustedKey: string | null = null) {
  const { ok, checks } = verifyBundle(packed(files), { trustedKey });
  const first = checks.find((check) => !check.ok);
  expect(ok).toBe(first === undefined);
  return first ?? null;
}

const linesOf = (name: string) => textOf(payload.get(name)).split('\n').slice(0, -1);
const withLines = (name: string, lines: readonly string[], files = payload): Files =>
  new Map(files).set(name, utf8(lines.map((line) => `${line}\n`).join('')));

/** The bundle of a yard with some leaves left out, and all that is derived from the rest made to fit. */
function payloadWithout(yard: Yard, ...seqs: readonly number[]): Files {
  const files = payloadOf(yard);
  const left = (name: string) =>
    textOf(files.get(name))
      .split('\n')
      .filter((line) => line !== '' && !seqs.some((seq) => line.endsWith(`"seq":${seq}}`)));
  const blocks = left('blocks.ndjson').map((line) => decodeBlock(bytesOfBase64(JSON.parse(line).block) ?? new Uint8Array(0)));
  const sources = new Map(
    blocks.flatMap(({ probe, readings }) => readings.map(({ atMs }) => [`${probe},${atMs}`, true] as const)),
  );
  const json = textOf(files.get('readings.ndjson')).split('\n').slice(0, -1);
  const csv = textOf(files.get('readings.csv')).split('\r\n').slice(1, -1);
  const kept = json.map((line) => sources.has(`${JSON.parse(line).source},${JSON.parse(line).at}`));
  const head = textOf(files.get('readings.csv')).split('\r\n')[0];
  return withLines('entries.ndjson', left('entries.ndjson'), withLines('blocks.ndjson', left('blocks.ndjson'), files))
    .set(
      'readings.ndjson',
      utf8(
        json
          .filter((_, row) => kept[row])
          .map((line) => `${line}\n`)
          .join(''),
      ),
    )
    .set('readings.csv', utf8([head, ...csv.filter((_, row) => kept[row])].map((line) => `${line}\r\n`).join('')));
}

describe('files', () => {
  test('each one taken out, with all lists made right again', () => {
    for (const name of payload.keys()) {
      const files = new Map(payload);
      files.delete(name);
      const fault = faultOf(files);
      expect(fault?.detail, name).toContain(name);
    }
  });

  test.each(['data.txt', 'notes/a.txt', 'schedules/quick-v2.json', `rate-tables/${'a5'.repeat(32)}.json`])('%s added', (name) => {
    expect(faultOf(new Map(payload).set(name, utf8('{}')))?.detail).toContain(name);
  });

  test('each one cut by its last byte, by half and to nothing, with all lists made right again', () => {
    for (const [name, bytes] of payload) {
      if (['READ-ME-FIRST.txt', 'report.pdf', 'verify.html'].includes(name)) continue;
      for (const length of [bytes.length - 1, bytes.length >> 1, 0])
        expect(faultOf(new Map(payload).set(name, bytes.subarray(0, length))), `${name} ${length}`).not.toBeNull();
    }
  });

  test('two of a kind of line in the other order', () => {
    for (const name of ['entries.ndjson', 'blocks.ndjson', 'readings.ndjson']) {
      const lines = linesOf(name);
      const swapped = [lines[1] ?? '', lines[0] ?? '', ...lines.slice(2)];
      expect(faultOf(withLines(name, swapped))?.id, name).toBe(name === 'readings.ndjson' ? 'derived-readings' : 'order');
      expect(faultOf(withLines(name, [lines[0] ?? '', ...lines])), name).not.toBeNull();
    }
  });

  test('a second folder beside the first, another name of the folder', () => {
    const files = bagOf(payload);
    const verdict = verifyBundle(zipOf(new Map(files).set('other/a.txt', utf8('x'))));
    expect(verdict.checks.find(({ ok }) => !ok)).toMatchObject({ id: 'bag', detail: expect.stringContaining('other/a.txt') });
    const renamed = verifyBundle(zipOf(bagOf(payload, 'warmhours-north-j9')));
    expect(renamed.checks.find(({ ok }) => !ok)).toMatchObject({ id: 'format', detail: expect.stringContaining('j9') });
  });

  test('something behind the ZIP, or before it', () => {
    const bytes = packed(payload);
    for (const around of [Uint8Array.of(...bytes, 10), Uint8Array.of(10, ...bytes)])
      expect(verifyBundle(around).checks[0]).toMatchObject({ id: 'zip', ok: false });
  });

  test('more than the reader takes', () => {
    const limits = { ...ZIP_LIMITS, bytesMost: 1000 };
    expect(verifyBundle(packed(payload), { limits }).checks[0]).toMatchObject({ id: 'zip', ok: false });
  });

  test.each([
    ['bundle.json', 'format', (text: string) => text.replace('{', '{"anchored":false,')],
    ['record.json', 'canonical', (text: string) => text.replace('"attempt":1', '"attempt":2,"attempt":1')],
    ['entries.ndjson', 'canonical', (text: string) => text.replace('"label":"S', '"label":"x","label":"S')],
    ['blocks.ndjson', 'canonical', (text: string) => text.replace('"seq"', '"seq":1,"seq"')],
    ['record.json', 'canonical', (text: string) => text.replace(':', ': ')],
    ['record.json', 'canonical', (text: string) => text.replace('"attempt":1', '"attempt":1.0')],
    ['entries.ndjson', 'canonical', (text: string) => text.replace('Sump 1', '\\u0053ump 1')],
    ['entries.ndjson', 'canonical', (text: string) => text.replace('Sump 1', '\\ud800')],
  ] as const)('%s that can be read in two ways', (name, id, edit) => {
    expect(faultOf(edited(payload, name, edit))?.id).toBe(id);
  });
});

describe('readings', () => {
  test('one dropped from the middle of both lists, all hashes made right again', () => {
    const json = linesOf('readings.ndjson').toSpliced(20, 1);
    const csv = textOf(payload.get('readings.csv')).split('\r\n').toSpliced(21, 1).join('\r\n');
    expect(faultOf(withLines('readings.ndjson', json).set('readings.csv', utf8(csv)))).toMatchObject({
      id: 'derived-readings',
      detail: 'readings.ndjson line 21 is not reading 21 of the blocks.',
      consequence: expect.stringContaining('Nothing computed from them can be relied on'),
    });
  });

  test('one dropped from its block too', () => {
    const lines = linesOf('blocks.ndjson');
    const line = JSON.parse(lines[0] ?? '');
    const block = decodeBlock(bytesOfBase64(line.block) ?? new Uint8Array(0));
    const shorter = encodeBlock({ ...block, readings: block.readings.toSpliced(5, 1) });
    const fault = faultOf(withLines('blocks.ndjson', lines.with(0, canonicalJson({ ...line, block: base64Of(shorter) }))));
    expect(fault).toMatchObject({ id: 'inclusion', detail: expect.stringContaining('blocks.ndjson line 1') });
    expect(fault?.consequence).toBe(
      'A reading was changed, added or taken out after it was signed: nothing computed from it can be relied on.',
    );
  });

  test('a whole block left out, and everything made to fit', () => {
    const yard = smallYard();
    for (const { seq, block } of yard.blocks) {
      if (block.probe === 'p3') continue;
      const fault = faultOf(payloadWithout(yard, seq));
      expect(fault).toMatchObject({ id: 'seals', detail: expect.stringContaining(`temperature of ${block.probe}`) });
      expect(fault?.consequence).toContain('not in the bundle');
    }
  });

  test('those of a probe that has nothing to do with the joint', () => {
    const files = payloadOf(smallYard(), { subject: { joints: ['j2', 'j1'], sump: null } });
    const blocks = textOf(files.get('blocks.ndjson')).split('\n').slice(0, -1);
    const more = withLines('blocks.ndjson', blocks)
      .set('readings.ndjson', files.get('readings.ndjson') ?? new Uint8Array(0))
      .set('readings.csv', files.get('readings.csv') ?? new Uint8Array(0));
    expect(faultOf(more)).toMatchObject({ id: 'replay', detail: 'A block holds readings of p3, which no joint here ever had.' });
  });

  test('a row of the list for spreadsheets that names another local time', () => {
    const shifted = edited(payload, 'readings.csv', (text) => text.replace('T01:50:00.000-06:00', 'T02:50:00.000-06:00'));
    expect(faultOf(shifted)).toMatchObject({ id: 'derived-readings', detail: expect.stringContaining('readings.csv line 2') });
    // The same instant in another offset is the same reading: time zones are decided anew now and then.
    expect(
      faultOf(edited(payload, 'readings.csv', (text) => text.replace('T01:50:00.000-06:00', 'T02:50:00.000-05:00'))),
    ).toBeNull();
  });
});

describe('what people said', () => {
  test('each entry left out, and everything made to fit', () => {
    const yard = smallYard();
    const seals = yard.site.joints.get('j1')?.seals.map(({ seq }) => seq) ?? [];
    for (const line of linesOf('entries.ndjson')) {
      const { seq, entry } = JSON.parse(line) as { seq: number; entry: { kind: string } };
      if (seq === seals.at(-1)) continue;
      const fault = faultOf(payloadWithout(yard, seq));
      expect(['derived-schedules', 'replay', 'seals'], `${seq} ${entry.kind}`).toContain(fault?.id);
    }
  });

  test('the newest seal left out: what is there still holds, and it is said until when', () => {
    const yard = smallYard();
    const newest = yard.site.joints.get('j1')?.seals.at(-1)?.seq ?? 0;
    const files = edited(payloadWithout(yard, newest), 'record.json', (text) => text.replace(`,${newest}]`, ']'));
    expect(faultOf(files)).toBeNull();
    expect(verifyBundle(packed(files)).summary?.completeUntil).toBe('2026-01-15T09:01:00.000Z');
  });

  test('all seals left out', () => {
    const yard = smallYard();
    const seals = yard.site.joints.get('j1')?.seals.map(({ seq }) => seq) ?? [];
    expect(faultOf(payloadWithout(yard, ...seals))).toMatchObject({ id: 'seals', detail: 'Joint j1 was never sealed.' });
  });

  test('one changed', () => {
    const fault = faultOf(edited(payload, 'entries.ndjson', (text) => text.replace('"role":"material"', '"role":"ambient"')));
    expect(fault).toMatchObject({
      id: 'inclusion',
      detail: expect.stringMatching(/^entries.ndjson line \d+: the entry at place \d+/),
    });
  });

  test('one changed, and proofs and root made right for it, without the key to sign', () => {
    const yard = smallYard();
    const hashes = yard.leaves.map((_, index) => leafHash(yard.bytesOf(index + 1)));
    const lines = linesOf('entries.ndjson').map((line) => JSON.parse(line));
    const lied = lines.find(({ entry }) => entry.kind === 'joint.laidUp');
    lied.entry.at = '2026-01-15T06:00:00.000Z';
    hashes[lied.seq - 1] = leafHash(utf8(canonicalJson(lied.entry)));
    const redone = (line: { seq: number }) => ({ ...line, proof: inclusionProof(hashes, line.seq - 1).map(bytesToHex) });
    const root = bytesToHex(rootOf(hashes));
    const files = withLines(
      'entries.ndjson',
      lines.map((line) => canonicalJson(redone(line))),
    );
    const blocks = linesOf('blocks.ndjson').map((line) => canonicalJson(redone(JSON.parse(line))));
    const fitting = withLines('blocks.ndjson', blocks, files);
    expect(faultOf(fitting)?.id).toBe('inclusion');
    const rooted = edited(fitting, 'bundle.json', (text) => text.replace(/"rootHash":"[0-9a-f]+"/, `"rootHash":"${root}"`));
    expect(faultOf(rooted)?.id).toBe('checkpoint-text');
    const base64 = base64Of(rootOf(hashes));
    const rewritten = (text: string) => text.split('\n').with(2, base64).join('\n');
    expect(faultOf(edited(edited(rooted, 'checkpoint.note', rewritten), 'checkpoint.txt', rewritten))?.id).toBe('signature');
  });

  test('more than bears on the joint', () => {
    const files = payloadOf(smallYard(), { subject: { joints: ['j2', 'j1'], sump: null } });
    const more = new Map(payload).set('entries.ndjson', files.get('entries.ndjson') ?? new Uint8Array(0));
    expect(faultOf(more)).toMatchObject({ id: 'replay', detail: expect.stringContaining('does not bear on') });
  });
});

describe('checkpoint and key', () => {
  const hashesOf = (yard: Yard) => yard.leaves.map((_, index) => leafHash(yard.bytesOf(index + 1)));

  test('of another tree', () => {
    const other = smallYard();
    other.say({ kind: 'note.added', text: 'one more' }, 126);
    const files = new Map([...payload, ...checkpointFiles(hashesOf(other), 130)]);
    expect(faultOf(files)?.id).toBe('checkpoint-text');
    const root = bytesToHex(rootOf(hashesOf(other)));
    const told = edited(files, 'bundle.json', (text) =>
      text.replace(/"rootHash":"[0-9a-f]+"/, `"rootHash":"${root}"`).replace('"size":28', '"size":29'),
    );
    expect(faultOf(told)?.id).toBe('inclusion');
  });

  test('signed with another key', () => {
    const files = checkpointFiles(hashesOf(smallYard()), 130, otherKey);
    const mixed = new Map(payload);
    for (const name of ['checkpoint.note', 'checkpoint.sig']) mixed.set(name, files.get(name) ?? new Uint8Array(0));
    expect(faultOf(mixed)).toMatchObject({
      id: 'signature',
      consequence: expect.stringContaining('Nothing in the bundle is vouched for'),
    });
    expect(faultOf(new Map([...payload, ...files]))).toMatchObject({
      id: 'key',
      detail: expect.stringContaining('the bundle says'),
    });
  });

  test('a whole bundle made with another key holds in itself, and fails against the fingerprint that the reader has', () => {
    const forged = payloadOf(smallYard(), { key: otherKey });
    expect(faultOf(forged)).toBeNull();
    expect(verifyBundle(packed(forged)).checks.find(({ id }) => id === 'key')?.detail).toContain('compare its fingerprint');
    expect(faultOf(forged, fingerprint(publicKey))).toMatchObject({
      id: 'key',
      consequence: 'It was not signed by the site whose key you were given. Do not rely on it.',
    });
    expect(faultOf(forged, fingerprint(ed25519.getPublicKey(otherKey)))).toBeNull();
    expect(faultOf(payloadOf(smallYard(), { key: secretKey }), '')?.id).toBe('key');
  });
});

describe('a site that signs what does not follow from its own record', () => {
  const claiming = (change: Partial<Sealed>) => {
    const yard = smallYard();
    yard.take({
      ...{ ...yard.sealed('j1', 125), why: 'asked', ...change },
      ...{ recordedAt: '2026-01-15T10:05:00.000Z', by: { name: 'warmhours', role: 'system' } },
    });
    return faultOf(payloadOf(yard));
  };

  test('a seal as it should be', () => {
    expect(claiming({})).toBeNull();
  });

  test.each([
    ['more hours', { creditPpmMs: 7e12 }],
    ['a stage that was reached earlier', { reached: [{ stage: 'stress', reachedAtMs: 1768464000000 }] }],
    ['a later lay-up', { laidUpAt: '2026-01-15T08:01:00.000Z' }],
    ['no lay-up at all', { laidUpAt: null, provenUntil: null, lanes: [], creditPpmMs: 0, reached: [] }],
    ['proof of a longer time', { provenUntil: '2026-01-15T10:00:00.000Z' }],
    ['other people', { people: ['Nobody'] }],
    ['fewer entries', { entries: { count: 3, sha256: 'a5'.repeat(32) } }],
    ['no readings', { lanes: [] }],
    ['another rate table', { rateTableSha256: 'a5'.repeat(32) }],
    ['another attempt', { attempt: 2 }],
  ] as const)('%s', (_, change) => {
    expect(claiming(change as Partial<Sealed>)).toMatchObject({ id: 'seals', detail: expect.stringContaining('at place 29') });
  });

  test.each([
    ['creditPpmMs', (text: string) => text.replace(/"creditPpmMs":\d/, '"creditPpmMs":9')],
    ['laidUpAt', (text: string) => text.replace('"laidUpAt":"2026-01-15T08', '"laidUpAt":"2026-01-15T07')],
    ['stages', (text: string) => text.replace(/"reachedAtMs":\d{13}/, '"reachedAtMs":1768464000000')],
    ['serial', (text: string) => text.replace('A-17', 'A-71')],
    ['schedule', (text: string) => text.replace('made up for a test', 'the maker’s sheet')],
    ['seals', (text: string) => text.replace('[21,', '[20,')],
  ])('a record with another %s', (field, edit) => {
    const fault = faultOf(edited(payload, 'record.json', edit));
    expect(fault).toMatchObject({ id: 'hours', detail: expect.stringContaining(`its ${field} is`) });
    expect(fault?.consequence).toContain('do not follow from its readings');
  });
});
