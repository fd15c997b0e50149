import fc from 'fast-check';
import { strToU8, Zip, ZipDeflate, ZipPassThrough, zipSync } from 'fflate';
import { describe, expect, test } from 'vitest';
import { crc32 } from '../../edge/evidence/crc32.ts';
import { readZip, ZIP_LIMITS, type ZipFaultCode } from '../../edge/evidence/zip.ts';
import { bagOf, flipped, payloadOf, zipOf } from './support/bundle.ts';
import { tinyYard } from './support/yard.ts';

const TEXT = 'warm hours, warm hours, warm hours';
const files = { 'top/a.txt': strToU8(TEXT), 'top/deep/b.bin': Uint8Array.of(0, 1, 2, 255), 'top/empty': new Uint8Array(0) };
const mtime = new Date(2026, 0, 15, 12);
const plain = () => zipSync(files, { mtime, level: 0 });

function faultOf(bytes: Uint8Array, limits = ZIP_LIMITS) {
  const read = readZip(bytes, limits);
  return 'fault' in read ? read.fault : null;
}

const codeOf = (bytes: Uint8Array, limits = ZIP_LIMITS): ZipFaultCode | null => faultOf(bytes, limits)?.code ?? null;

/** Where a signature or a name stands for the nth time. */
function placeOf(bytes: Uint8Array, sought: Uint8Array, nth = 1): number {
  let seen = 0;
  for (let at = 0; at + sought.length <= bytes.length; at++)
    if (sought.every((byte, index) => bytes[at + index] === byte) && ++seen === nth) return at;
  throw new Error('not there');
}

const CENTRAL = Uint8Array.of(0x50, 0x4b, 1, 2);
const END = Uint8Array.of(0x50, 0x4b, 5, 6);

/** A copy with some bytes at a place replaced. */
function put(bytes: Uint8Array, at: number, ...values: number[]): Uint8Array {
  const copy = Uint8Array.from(bytes);
  copy.set(values, at);
  return copy;
}

/** A copy in which one name is replaced by another of the same length, in both headers. */
function renamed(bytes: Uint8Array, from: string, to: string): Uint8Array {
  const [old, next] = [strToU8(from), strToU8(to)];
  return [1, 2].reduce((copy, _) => put(copy, placeOf(copy, old), ...next), bytes);
}

function joined(...parts: readonly Uint8Array[]): Uint8Array {
  return Uint8Array.from(parts.flatMap((part) => [...part]));
}

/** Written piece by piece, as large bundles are: sizes follow the data. */
function streamed(): Uint8Array {
  const chunks: Uint8Array[] = [];
  const zip = new Zip((fault, chunk) => {
    if (fault !== null) throw fault;
    chunks.push(chunk);
  });
  for (const [name, bytes] of Object.entries(files)) {
    const file = name.endsWith('txt') ? new ZipDeflate(name, { level: 6 }) : new ZipPassThrough(name);
    file.mtime = mtime;
    zip.add(file);
    file.push(bytes.subarray(0, 2));
    file.push(bytes.subarray(2), true);
  }
  zip.end();
  return joined(...chunks);
}

describe('a ZIP that is taken', () => {
  test.each([
    ['stored', plain()],
    ['deflated', zipSync(files, { mtime, level: 9 })],
    ['streamed', streamed()],
  ])('%s', (_, bytes) => {
    const read = readZip(bytes);
    expect('files' in read && read.files.map(({ name, bytes: own }) => [name, [...own]])).toEqual(
      Object.entries(files).map(([name, own]) => [name, [...own]]),
    );
  });

  test('names in other letters, if they say that they are UTF-8', () => {
    const read = readZip(zipSync({ 'Säge/größe.txt': strToU8('x') }, { mtime }));
    expect('files' in read && read.files.map(({ name }) => name)).toEqual(['Säge/größe.txt']);
  });

  test('the check sum is CRC-32: its published check value, and that of nothing', () => {
    // "123456789" gives CBF43926, the check value of this CRC in every catalogue [P].
    expect(crc32(strToU8('123456789'))).toBe(0xcbf43926);
    expect(crc32(new Uint8Array(0))).toBe(0);
  });
});

describe('a ZIP that is refused', () => {
  test('anything before, behind or between', () => {
    const bytes = plain();
    const list = placeOf(bytes, CENTRAL);
    expect(codeOf(joined(Uint8Array.of(1), bytes))).toBe('outside');
    expect(codeOf(joined(bytes, Uint8Array.of(1)))).toBe('not-zip');
    expect(codeOf(joined(bytes, bytes))).toBe('outside');
    const gap = joined(bytes.subarray(0, list), Uint8Array.of(9, 9), bytes.subarray(list));
    const end = placeOf(gap, END);
    expect(faultOf(put(gap, end + 16, list + 2))).toMatchObject({
      code: 'outside',
      detail: '2 bytes stand between the files and their list',
    });
    expect(codeOf(joined(put(bytes, bytes.length - 2, 1), Uint8Array.of(65)))).toBe('not-zip');
    expect(codeOf(put(bytes, bytes.length - 2, 1))).toBe('outside');
    expect(codeOf(zipSync(files, { mtime, comment: 'hidden' }))).toBe('outside');
    expect(codeOf(zipSync(files, { mtime, extra: { 28789: Uint8Array.of(1, 2) } }))).toBe('outside');
  });

  test('cut short anywhere', () => {
    for (const bytes of [plain(), streamed()])
      for (let length = 0; length < bytes.length; length++) expect(codeOf(bytes.subarray(0, length)), `${length}`).not.toBeNull();
  });

  test.each([
    ['two headers that do not agree on the name', put(plain(), 30, 0x54), 'disagreement'],
    ['on the check sum', put(plain(), 14, 1), 'disagreement'],
    ['on the method', put(plain(), 8, 8), 'disagreement'],
    ['on the time', put(plain(), 10, 1), 'disagreement'],
    [
      'a size behind the data that is another',
      put(streamed(), placeOf(streamed(), Uint8Array.of(0x50, 0x4b, 7, 8)) + 12, 99),
      'disagreement',
    ],
    ['data that do not fit the check sum', put(plain(), 30 + 'top/a.txt'.length, 0x57), 'damaged'],
    ['encryption', put(put(plain(), 6, 1), placeOf(plain(), CENTRAL) + 8, 1), 'unsupported'],
    ['a packing that is not known', put(put(plain(), 8, 12), placeOf(plain(), CENTRAL) + 10, 12), 'unsupported'],
    ['the 64-bit form', put(plain(), placeOf(plain(), END) + 16, 255, 255, 255, 255), 'unsupported'],
    ['one part of several', put(plain(), placeOf(plain(), END) + 4, 1), 'unsupported'],
    ['a link', zipSync({ link: [strToU8('/etc'), { os: 3, attrs: 0o120777 << 16 }] }, { mtime }), 'unsupported'],
    ['a folder by its attributes', zipSync({ folder: [strToU8(''), { os: 0, attrs: 0x10 }] }, { mtime }), 'unsupported'],
    ['a folder by its name', renamed(plain(), 'top/empty', 'top/empt/'), 'bad-name'],
    ['the same name twice', renamed(zipSync({ aa: strToU8('1'), bb: strToU8('2') }, { mtime }), 'bb', 'aa'), 'bad-name'],
    ['the same name in large letters', zipSync({ aa: strToU8('1'), AA: strToU8('2') }, { mtime }), 'bad-name'],
    ['a way out of the folder', renamed(plain(), 'top/deep/b.bin', 'top/../../b.bi'), 'bad-name'],
    ['an absolute path', renamed(plain(), 'top/a.txt', '/op/a.txt'), 'bad-name'],
    ['a backslash', renamed(plain(), 'top/a.txt', 'top\\a.txt'), 'bad-name'],
    ['a drive', renamed(plain(), 'top/a.txt', 'C:p/a.txt'), 'bad-name'],
    ['a control character', renamed(plain(), 'top/a.txt', 'top/a\u0000txt'), 'bad-name'],
    ['an empty step', renamed(plain(), 'top/a.txt', 'top//.txt'), 'bad-name'],
    ['letters of no said kind', renamed(plain(), 'top/a.txt', 'top/ü.tx'), 'bad-name'],
  ] as const)('%s', (_, bytes, code) => {
    expect(codeOf(bytes)).toBe(code);
  });

  test('a name that is no UTF-8', () => {
    const place = placeOf(plain(), strToU8('top/a.txt'), 2);
    expect(codeOf(put(put(plain(), 30, 0xff), place, 0xff))).toBe('bad-name');
  });

  test('one that would fill the memory: by itself, by its number of files, and all files together', () => {
    const bomb = zipSync({ zeros: new Uint8Array(20 * 2 ** 20) }, { mtime, level: 9 });
    expect(bomb.length).toBeLessThan(30_000);
    expect(codeOf(bomb)).toBe('too-large');
    expect(codeOf(plain(), { ...ZIP_LIMITS, filesMost: 2 })).toBe('too-large');
    expect(codeOf(plain(), { ...ZIP_LIMITS, bytesMost: TEXT.length })).toBe('too-large');
    expect(codeOf(plain(), { ...ZIP_LIMITS, bytesMost: TEXT.length + 4 })).toBeNull();
  });

  test('one that says a smaller or larger size than it unpacks to', () => {
    const bytes = zipSync({ a: strToU8(TEXT.repeat(20)) }, { mtime, level: 9 });
    const list = placeOf(bytes, CENTRAL);
    const size = TEXT.length * 20;
    for (const said of [size - 1, size + 1])
      expect(codeOf(put(put(bytes, 22, said & 255, said >> 8), list + 24, said & 255, said >> 8))).toBe('damaged');
  });

  test('no single byte of a bundle can be changed so that other files come out', () => {
    const bytes = zipOf(bagOf(payloadOf(tinyYard())));
    const told = (read: ReturnType<typeof readZip>) => ('files' in read ? read.files.map(({ name }) => name).join() : '');
    const right = readZip(bytes);
    const contents = 'files' in right ? right.files : [];
    let passed = 0;
    for (let index = 0; index < bytes.length; index++) {
      const read = readZip(flipped(bytes, index, 1 << (index % 8)));
      if (!('files' in read)) continue;
      passed++;
      expect(told(read), `byte ${index}`).toBe(told(right));
      const other = read.files.findIndex(
        ({ bytes: own }, place) => Buffer.compare(own, contents[place]?.bytes ?? new Uint8Array(0)) !== 0,
      );
      expect(other, `byte ${index}`).toBe(-1);
    }
    // What is left are hints, such as which system packed it.
    expect(passed).toBeLessThan(contents.length * 8);
  });

  test('never throws, whatever it is given', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 200 }), fc.nat(), fc.nat(), (noise, at, from) => {
        readZip(noise);
        const bytes = streamed();
        readZip(put(bytes, at % (bytes.length - 4), ...noise.slice(from % 200, (from % 200) + 4)));
      }),
    );
  });
});
