import { execFileSync } from 'node:child_process';
import { createHash, createPublicKey, generateKeyPairSync, sign, verify as verifyByNode } from 'node:crypto';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { ed25519 } from '@noble/curves/ed25519.js';
import { describe, expect, test } from 'vitest';
import { fingerprint, isFingerprintOf, isSignedBy, publicKeyOfPem, spkiDer, spkiPem } from '../../edge/evidence/siteKey.ts';
import { tempFolder } from '../support/service.ts';
import vectors from '../vectors/ed25519.json' with { type: 'json' };

const bytesOf = (hex: string) => Uint8Array.from(Buffer.from(hex, 'hex'));
const [, , [, keyHex = '', messageHex = '', signatureHex = ''] = []] = vectors.rfc8032.rows;
const [KEY, MESSAGE, SIGNATURE] = [keyHex, messageHex, signatureHex].map(bytesOf) as [Uint8Array, Uint8Array, Uint8Array];
/** Order of the group, RFC 8032 §5.1. */
const L = 2n ** 252n + 27742317777372353535851937790883648493n;

describe('signatures', () => {
  test.each(vectors.rfc8032.rows)('RFC 8032 section 7.1: of %s', (secret = '', key = '', message = '', signature = '') => {
    expect(Buffer.from(ed25519.getPublicKey(bytesOf(secret))).toString('hex')).toBe(key);
    expect(Buffer.from(ed25519.sign(bytesOf(message), bytesOf(secret))).toString('hex')).toBe(signature);
    expect(isSignedBy(bytesOf(key), bytesOf(message), bytesOf(signature))).toBe(true);
  });

  test('hold for no other message, key or signature', () => {
    for (let bit = 0; bit < 512; bit += 7) {
      const flip = (bytes: Uint8Array) =>
        bytes.with((bit >> 3) % bytes.length, (bytes[(bit >> 3) % bytes.length] ?? 0) ^ (1 << (bit & 7)));
      expect(isSignedBy(KEY, MESSAGE, flip(SIGNATURE)), `bit ${bit}`).toBe(false);
      if (bit < 256) expect(isSignedBy(flip(KEY), MESSAGE, SIGNATURE), `bit ${bit}`).toBe(false);
    }
    expect(isSignedBy(KEY, bytesOf('af83'), SIGNATURE)).toBe(false);
  });

  test('of another length are none, nor are keys', () => {
    expect(isSignedBy(KEY, MESSAGE, SIGNATURE.slice(1))).toBe(false);
    expect(isSignedBy(KEY, MESSAGE, Uint8Array.of(...SIGNATURE, 0))).toBe(false);
    expect(isSignedBy(KEY.slice(1), MESSAGE, SIGNATURE)).toBe(false);
    expect(isSignedBy(new Uint8Array(0), MESSAGE, new Uint8Array(0))).toBe(false);
  });

  test('have one second half only: the order of the group added to it is refused (RFC 8032 section 5.1.7)', () => {
    const half = BigInt(`0x${Buffer.from(SIGNATURE.slice(32)).reverse().toString('hex')}`) + L;
    const more = Buffer.from(half.toString(16).padStart(64, '0'), 'hex').reverse();
    expect(isSignedBy(KEY, MESSAGE, Uint8Array.of(...SIGNATURE.slice(0, 32), ...more))).toBe(false);
  });

  test.each(vectors.oddPoints.rows)(
    '%#: an odd point that lenient programs take is refused: %s',
    (key = '', signature = '', message = '') => {
      const said = new TextEncoder().encode(message);
      expect(ed25519.verify(bytesOf(signature), said, bytesOf(key), { zip215: true })).toBe(true);
      expect(isSignedBy(bytesOf(key), said, bytesOf(signature))).toBe(false);
    },
  );

  test('by another program are right, and ours are right to it', () => {
    const { publicKey, privateKey } = generateKeyPairSync('ed25519');
    const raw = Uint8Array.from(publicKey.export({ type: 'spki', format: 'der' }).subarray(-32));
    for (const message of ['', 'a', 'x'.repeat(1000)].map((text) => new TextEncoder().encode(text))) {
      const signature = Uint8Array.from(sign(null, message, privateKey));
      expect(isSignedBy(raw, message, signature)).toBe(true);
      expect(verifyByNode(null, message, createPublicKey(spkiPem(raw)), signature)).toBe(true);
    }
  });
});

describe('keys in a file', () => {
  test('are what other programs write and read', () => {
    const { publicKey } = generateKeyPairSync('ed25519');
    const pem = publicKey.export({ type: 'spki', format: 'pem' }).toString();
    const raw = publicKeyOfPem(pem) ?? expect.fail('the key is not read');
    expect(spkiPem(raw)).toBe(pem);
    expect(Buffer.from(spkiDer(raw))).toEqual(publicKey.export({ type: 'spki', format: 'der' }));
  });

  test('are what the openssl command verifies with', () => {
    using folder = tempFolder();
    const [key, message, signature] = ['key.pem', 'message', 'signature'].map((name) => join(folder.path, name)) as [
      string,
      string,
      string,
    ];
    writeFileSync(key, spkiPem(KEY));
    writeFileSync(message, MESSAGE);
    writeFileSync(signature, SIGNATURE);
    const command = ['pkeyutl', '-verify', '-pubin', '-inkey', key, '-rawin', '-in', message, '-sigfile', signature];
    expect(execFileSync('openssl', command, { encoding: 'utf8' })).toContain('Verified Successfully');
    writeFileSync(message, 'other');
    expect(() => execFileSync('openssl', command, { stdio: 'pipe' })).toThrow();
  });

  const pem = spkiPem(KEY);
  test.each([
    ['nothing', ''],
    ['bytes at the end', `${pem}\n`],
    ['bytes before it', `\n${pem}`],
    ['no last newline', pem.slice(0, -1)],
    ['carriage returns', pem.replaceAll('\n', '\r\n')],
    ['another label', pem.replaceAll('PUBLIC', 'PRIVATE')],
    ['another kind of key', pem.replace('MCowBQYDK2Vw', 'MCowBQYDK2Vu')],
    ['a broken line', `${pem.slice(0, 40)}\n${pem.slice(40)}`],
    ['a key of small order', spkiPem(bytesOf('26e8958fc2b227b045c3f489f2ef98f0d5dfac05d3c63339b13802886d53fc05'))],
    ['a key that is no point', spkiPem(new Uint8Array(32).fill(0xff))],
    ['a short key', spkiPem(KEY.slice(1))],
    ['a long key', spkiPem(Uint8Array.of(...KEY, 0))],
  ])('with %s are not read', (_what, text) => {
    expect(publicKeyOfPem(pem)).toEqual(KEY);
    expect(publicKeyOfPem(text)).toBeNull();
  });
});

describe('fingerprints', () => {
  test('are the SHA-256 of the key as openssl writes it, in groups of four digits', () => {
    const hash = createHash('sha256').update('302a300506032b6570032100', 'hex').update(KEY).digest('hex');
    expect(fingerprint(KEY)).toMatch(/^[0-9a-f]{4}( [0-9a-f]{4}){15}$/);
    expect(fingerprint(KEY).replaceAll(' ', '')).toBe(hash);
  });

  test('are compared however they are written down', () => {
    const written = fingerprint(KEY);
    for (const said of [written, written.replaceAll(' ', ''), written.toUpperCase(), ` ${written.replaceAll(' ', ':')}\n`])
      expect(isFingerprintOf(said, KEY)).toBe(true);
    for (const said of ['', written.slice(1), `${written}0`, written.slice(0, -1), fingerprint(KEY.with(0, 1))])
      expect(isFingerprintOf(said, KEY)).toBe(false);
  });
});
