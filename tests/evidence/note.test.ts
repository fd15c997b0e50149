import { createPublicKey, verify as verifyByNode } from 'node:crypto';
import { ed25519 } from '@noble/curves/ed25519.js';
import { concatBytes } from '@noble/hashes/utils.js';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { base64Of, bytesOfBase64 } from '../../edge/evidence/base64.ts';
import { type Checkpoint, checkpointText, parseCheckpoint } from '../../edge/evidence/checkpoint.ts';
import { EMPTY_ROOT } from '../../edge/evidence/merkle.ts';
import { keyHashOf, noteOf, parseNote, verifierKey, verifyNote } from '../../edge/evidence/note.ts';
import { isSignedBy } from '../../edge/evidence/siteKey.ts';
import published from '../vectors/signed-note.json' with { type: 'json' };

const hexOf = (bytes: Uint8Array) => Buffer.from(bytes).toString('hex');
const utf8 = (text: string) => new TextEncoder().encode(text);

const { text, lines, verifierKeys } = published.note;
const [peterLine = '', enochLine = ''] = lines;
/** The key in a verifier key: what stands after the second plus sign, without its type. */
const keyIn = (written = '') => (bytesOfBase64(written.slice(written.indexOf('+', written.indexOf('+') + 1) + 1)) ?? []).slice(1);
const [peter, enoch] = verifierKeys.map((written) => Uint8Array.from(keyIn(written))) as [Uint8Array, Uint8Array];
const SECRET = new Uint8Array(32).fill(7);
const PUBLIC = ed25519.getPublicKey(SECRET);
const NAME = 'warmhours/kestrel-yard';

describe('the published note', () => {
  const note = parseNote(`${text}\n${peterLine}${enochLine}`);

  test('comes apart into its text and its signatures', () => {
    expect(note.text).toBe(text);
    expect(note.signatures.map(({ name, keyHash }) => `${name}+${hexOf(keyHash)}`)).toEqual([
      'PeterNeumann+c74f20a3',
      'EnochRoot+af0cfe78',
    ]);
  });

  test('its keys have their names and hashes', () => {
    expect(hexOf(keyHashOf('PeterNeumann', peter))).toBe('c74f20a3');
    expect([verifierKey('PeterNeumann', peter), verifierKey('EnochRoot', enoch)]).toEqual(verifierKeys);
  });

  test('is signed by each of its keys, alone and together', () => {
    expect(verifyNote(note, 'PeterNeumann', peter)).toBe(true);
    expect(verifyNote(note, 'EnochRoot', enoch)).toBe(true);
    expect(verifyNote(parseNote(`${text}\n${peterLine}`), 'PeterNeumann', peter)).toBe(true);
  });

  test('is not signed by a key that is not in it, nor under another name', () => {
    expect(verifyNote(parseNote(`${text}\n${peterLine}`), 'EnochRoot', enoch)).toBe(false);
    expect(verifyNote(note, 'PeterNeuman', peter)).toBe(false);
    expect(verifyNote(note, 'PeterNeumann', enoch)).toBe(false);
    expect(verifyNote(note, NAME, PUBLIC)).toBe(false);
  });

  test('is written as it was', () => {
    const [, signature] = note.signatures;
    expect(noteOf(text, 'EnochRoot', enoch, signature?.signature as Uint8Array)).toBe(`${text}\n${enochLine}`);
  });

  test('is not signed once any one byte of its text is another', () => {
    for (let place = 0; place < text.length - 1; place += 3) {
      const other = text[place] === 'x' ? 'y' : 'x';
      const changed = parseNote(`${text.slice(0, place)}${other}${text.slice(place + 1)}\n${peterLine}`);
      expect(verifyNote(changed, 'PeterNeumann', peter), `place ${place}`).toBe(false);
    }
  });

  test('a wrong signature of the key spoils the note, also beside a right one', () => {
    const spoilt = peterLine.replace('ZJkuBS9UG', 'ZJkuBS9UH');
    expect(verifyNote(parseNote(`${text}\n${spoilt}`), 'PeterNeumann', peter)).toBe(false);
    expect(verifyNote(parseNote(`${text}\n${peterLine}${spoilt}`), 'PeterNeumann', peter)).toBe(false);
    expect(verifyNote(parseNote(`${text}\n${enochLine}${spoilt}`), 'EnochRoot', enoch)).toBe(true);
  });
});

describe('notes', () => {
  test('may hold empty lines and any script; the last empty line parts text from signatures', () => {
    const said = 'süd №2 🛠\n\n— not a signature\n\nend\n';
    const note = noteOf(said, NAME, PUBLIC, ed25519.sign(utf8(said), SECRET));
    expect(parseNote(note).text).toBe(said);
    expect(verifyNote(parseNote(note), NAME, PUBLIC)).toBe(true);
  });

  test('may bear sixteen signatures, and not one more', () => {
    expect(parseNote(`${text}\n${peterLine.repeat(16)}`).signatures).toHaveLength(16);
    expect(() => parseNote(`${text}\n${peterLine.repeat(17)}`)).toThrow('it has 17 signature lines, and 16 are the most');
  });

  test.each<[string, string, string]>([
    ['nothing', '', 'its last line does not end in a newline'],
    ['text alone', text, 'no empty line parts the text from the signatures'],
    ['no signature', `${text}\n`, 'it has no signature line'],
    ['no last newline', `${text}\n${peterLine.slice(0, -1)}`, 'its last line does not end in a newline'],
    ['bytes at the end', `${text}\n${peterLine}x`, 'its last line does not end in a newline'],
    ['a newline at the end', `${text}\n${peterLine}\n`, 'it has no signature line'],
    ['a line that is no signature', `${text}\n${peterLine}Unexpected line.\n`, 'signature line 2 does not begin with an em dash'],
    ['another dash', `${text}\n${peterLine.replace('—', '–')}`, 'signature line 1 does not begin with an em dash'],
    ['carriage returns', `${text}\n${peterLine}`.replaceAll('\n', '\r\n'), 'its lines end in carriage returns'],
    ['a control character', `\u0001${text}\n${peterLine}`, 'it holds a control character'],
    ['a tab', `\t${text}\n${peterLine}`, 'it holds a control character'],
    ['a zero', `${text}\n${peterLine}`.replace('If', 'I\u0000'), 'it holds a control character'],
    ['half a character', `\ud83d${text}\n${peterLine}`, 'it holds a lone surrogate'],
    ['a name with a space', `${text}\n— Bad Name x08go/ZJkg==\n`, 'signature line 1 is not a name, a space and a signature'],
    ['a name with another space', `${text}\n— Bad\u2003Name x08go/ZJkg==\n`, 'signature line 1 has a name that no key can have'],
    ['a name with a next line', `${text}\n— Bad\u0085Name x08go/ZJkg==\n`, 'signature line 1 has a name that no key can have'],
    ['a name with a plus', `${text}\n— a+b x08go/ZJkg==\n`, 'signature line 1 has a name that no key can have'],
    ['no name', `${text}\n—  x08go/ZJkg==\n`, 'signature line 1 has a name that no key can have'],
    ['a space at the end', `${text}\n${peterLine.replace('\n', ' \n')}`, 'signature line 1 is not a name, a space'],
    ['no base64', `${text}\n— a x08go_ZJkg==\n`, 'signature line 1 holds no base64'],
    ['base64 without its padding', `${text}\n— a x08go/ZJkg\n`, 'signature line 1 holds no base64'],
    ['base64 with bits of no byte', `${text}\n— a x08go/ZJkh==\n`, 'signature line 1 holds no base64'],
    ['a key hash alone', `${text}\n— a x08gow==\n`, 'signature line 1 is too short'],
    ['a long line', `${'x'.repeat(10_001)}\n\n${peterLine}`, 'line 1 is longer than 10000 characters'],
    ['a long note', `${'x\n'.repeat(100_001)}\n${peterLine}`, 'it is longer than 200000 characters'],
  ])('with %s are refused', (_what, note, message) => {
    expect(() => parseNote(note)).toThrow(SyntaxError);
    expect(() => parseNote(note)).toThrow(`not a signed note: ${message}`);
  });

  test('that cannot be taken apart as they were put together are not written', () => {
    const signature = new Uint8Array(64);
    expect(() => noteOf('no newline', NAME, PUBLIC, signature)).toThrow('no empty line');
    expect(() => noteOf('a\n\n— x AAAAAAA=', NAME, PUBLIC, signature)).toThrow('the text does not end in a newline');
    expect(() => noteOf('a\n', 'two words', PUBLIC, signature)).toThrow('not a name, a space and a signature');
    expect(() => noteOf('a\r\n', NAME, PUBLIC, signature)).toThrow('carriage returns');
  });
});

describe('checkpoints', () => {
  const rootHash = Uint8Array.from({ length: 32 }, (_, index) => index * 5);
  const root = base64Of(rootHash);

  test('the published one is read, and written as it was', () => {
    const { note, origin, size, rootHashHex, keyHashHex } = published.checkpoint;
    const signed = parseNote(note);
    const checkpoint = parseCheckpoint(signed.text);
    expect({ ...checkpoint, rootHash: hexOf(checkpoint.rootHash) }).toEqual({
      origin,
      size,
      rootHash: rootHashHex,
      extensions: [],
    });
    expect(signed.signatures.map(({ name, keyHash }) => [name, hexOf(keyHash)])).toEqual([[origin, keyHashHex]]);
    expect(checkpointText(checkpoint)).toBe(signed.text);
  });

  test('are lines: origin, size, root, and what else there is to say', () => {
    const checkpoint = { origin: NAME, size: 12, rootHash, extensions: ['time 2026-01-15T14:30:00.000Z'] };
    const written = checkpointText(checkpoint);
    expect(written).toBe(`${NAME}\n12\n${root}\ntime 2026-01-15T14:30:00.000Z\n`);
    expect(parseCheckpoint(written)).toEqual(checkpoint);
    const note = noteOf(written, NAME, PUBLIC, ed25519.sign(utf8(written), SECRET));
    expect(verifyNote(parseNote(note), NAME, PUBLIC)).toBe(true);
  });

  test('come back as they were written, whatever they say in visible characters', () => {
    const line = fc.string({ unit: 'grapheme', minLength: 1 }).filter((said) => [...said].every((char) => char >= ' '));
    const size = fc.integer({ min: 1, max: Number.MAX_SAFE_INTEGER });
    const hash = fc.uint8Array({ minLength: 32, maxLength: 32 }).map((bytes) => Uint8Array.from(bytes));
    const any = fc.record({ origin: line, size, rootHash: hash, extensions: fc.array(line) });
    fc.assert(
      fc.property(any, (checkpoint) => {
        expect(parseCheckpoint(checkpointText(checkpoint))).toEqual(checkpoint);
      }),
      { numRuns: 200 },
    );
  });

  test.each<[string, string, string]>([
    ['nothing', '', 'its last line does not end in a newline'],
    ['two lines', `o\n1\n`, 'it has fewer than three lines'],
    ['no last newline', `o\n1\n${root}`, 'its last line does not end in a newline'],
    ['carriage returns', `o\r\n1\r\n${root}\r\n`, 'its lines end in carriage returns'],
    ['a control character', `o\u0007\n1\n${root}\n`, 'it holds a control character'],
    ['no origin', `\n1\n${root}\n`, 'line 1 is empty'],
    ['an empty further line', `o\n1\n${root}\nx\n\n`, 'line 5 is empty'],
    ['leading zeros', `o\n01\n${root}\n`, 'line 2 is not a number of leaves'],
    ['a sign', `o\n+1\n${root}\n`, 'line 2 is not a number of leaves'],
    ['a minus', `o\n-1\n${root}\n`, 'line 2 is not a number of leaves'],
    ['a space at the size', `o\n1 \n${root}\n`, 'line 2 is not a number of leaves'],
    ['a fraction', `o\n1.0\n${root}\n`, 'line 2 is not a number of leaves'],
    ['a power', `o\n1e3\n${root}\n`, 'line 2 is not a number of leaves'],
    ['other digits', `o\n١\n${root}\n`, 'line 2 is not a number of leaves'],
    ['a size beyond exact numbers', `o\n9007199254740992\n${root}\n`, 'line 2 is not a number of leaves'],
    ['a short root', `o\n1\n${base64Of(rootHash.slice(1))}\n`, 'line 3 is not a root hash'],
    ['a long root', `o\n1\n${base64Of(concatBytes(rootHash, rootHash))}\n`, 'line 3 is not a root hash'],
    ['a root in hexadecimal', `o\n1\n${hexOf(rootHash)}\n`, 'line 3 is not a root hash'],
    ['leaves gone, root kept', `o\n0\n${root}\n`, 'it has no leaves, but not the root of the empty tree'],
    ['a long line', `o\n1\n${root}\n${'x'.repeat(10_001)}\n`, 'line 4 is longer than 10000 characters'],
  ])('with %s are refused', (_what, written, message) => {
    expect(() => parseCheckpoint(written)).toThrow(SyntaxError);
    expect(() => parseCheckpoint(written)).toThrow(`not a checkpoint: ${message}`);
  });

  test('of an empty tree are taken under its root', () => {
    expect(parseCheckpoint(`o\n0\n${base64Of(EMPTY_ROOT)}\n`)).toMatchObject({ size: 0, extensions: [] });
  });

  test.each<[string, Partial<Checkpoint>, string]>([
    ['an origin of two lines', { origin: 'a\nb' }, 'one of its parts holds a newline'],
    ['a further line of two', { extensions: ['a\nb'] }, 'one of its parts holds a newline'],
    ['an empty further line', { extensions: [''] }, 'line 4 is empty'],
    ['half a leaf', { size: 1.5 }, 'line 2 is not a number of leaves'],
    ['half a root', { rootHash: new Uint8Array(16) }, 'line 3 is not a root hash'],
  ])('with %s are not written', (_what, part, message) => {
    expect(() => checkpointText({ origin: 'o', size: 1, rootHash, extensions: [], ...part })).toThrow(message);
  });
});

describe('what a note says to other programs', () => {
  test('the text and the bare signature are what Node’s own Ed25519 verifies', () => {
    const note = parseNote(`${text}\n${peterLine}`);
    const key = createPublicKey({
      key: { kty: 'OKP', crv: 'Ed25519', x: Buffer.from(peter).toString('base64url') },
      format: 'jwk',
    });
    const [{ signature } = { signature: new Uint8Array(64) }] = note.signatures;
    expect(verifyByNode(null, utf8(note.text), key, signature)).toBe(true);
    expect(isSignedBy(peter, utf8(note.text), signature)).toBe(true);
  });
});
