import { createHash } from 'node:crypto';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type CsvReadings, readingsIn, slicesOf, UnreadableFile } from '../../edge/intake/csv.ts';

const bytesOf = (content: string | Uint8Array) => (typeof content === 'string' ? new TextEncoder().encode(content) : content);
const read = (content: string | Uint8Array): Promise<CsvReadings> => readingsIn(slicesOf(bytesOf(content)), 'log.csv');
const at = (minute: number) => new Date(Date.UTC(2026, 0, 15, 6, minute)).toISOString();
const START_MS = Date.parse(at(0));

const plain = `time,celsius,humidity\n${at(0)},12,60\n${at(1)},8.25,\n${at(2)},-0.0004,100.5\n`;
const columns = {
  atMs: [0, 60_000, 120_000].map((ms) => START_MS + ms),
  milliC: [12_000, 8250, 0],
  milliRh: [60_000, null, 100_500],
};

describe('a logger’s file', () => {
  test('becomes columns of whole numbers, with the hash of its bytes', async () => {
    const file = await read(plain);
    const sha256 = createHash('sha256').update(plain).digest('hex');
    expect(file).toEqual({ ...columns, rejected: [], sha256 });
  });

  test('in degrees Fahrenheit means the same', async () => {
    const fahrenheit = `time,fahrenheit\n${at(0)},53.6\n${at(1)},46.85\n${at(2)},32\n`;
    expect(await read(fahrenheit)).toMatchObject({ atMs: columns.atMs, milliC: columns.milliC, milliRh: [null, null, null] });
  });

  const utf16 = (text: string, mark: boolean, bigEndian = false) => {
    const bytes = Buffer.from(mark ? `\ufeff${text}` : text, 'utf16le');
    return bigEndian ? bytes.swap16() : bytes;
  };

  test.each<[string, string | Uint8Array]>([
    ['UTF-8 with a byte order mark', `\ufeff${plain}`],
    ['UTF-16', utf16(plain, true)],
    ['UTF-16, big end first', utf16(plain, true, true)],
    ['UTF-16 with tabs and the line ends of Windows', utf16(plain.replaceAll(',', '\t').replaceAll('\n', '\r\n'), true)],
  ])('in %s means the same', async (_, content) => {
    expect(await read(content)).toMatchObject({ ...columns, rejected: [] });
  });

  test.each<[string, string | Uint8Array, RegExp]>([
    ['nothing', '', /^log\.csv is empty; the first line must name the columns/],
    ['blank lines only', '\n\n  \n', /^log\.csv is empty/],
    ['a byte order mark only', '\ufeff', /^log\.csv is empty/],
    ['UTF-16 without a byte order mark', utf16(plain, false), /without a byte order mark; save it as CSV in UTF-8/],
    ['an image', Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10, 0, 0, 0, 13), /^this is no text/],
    ['no header', `${at(0)},12\n`, /^no header found/],
    ['an unclosed quote', `time,celsius\n"${at(0)},12\n`, /^log\.csv cannot be read: .*[Qq]uote/],
    ['a line without end', `time,celsius\n${'9'.repeat(70_000)}`, /^log\.csv cannot be read: .*(?:record|size)/i],
  ])('that is %s is refused in a sentence', async (_, content, words) => {
    const fault = await read(content).catch((caught: unknown) => caught);
    expect(fault).toBeInstanceOf(UnreadableFile);
    expect((fault as Error).message).toMatch(words);
  });

  test('in another encoding loses the rows that it spoils, and no others', async () => {
    const latin1 = Buffer.from(`time,celsius\n${at(0)},12\n${at(1)},8.25°\n${at(2)},0\n`, 'latin1');
    const { milliC, rejected } = await read(latin1);
    expect(milliC).toEqual([12_000, 0]);
    expect(rejected).toEqual([{ line: 3, reason: 'celsius "8.25\ufffd" is not a number' }]);
  });

  test('keeps what counts beside what does not, and lists what does not by line', async () => {
    const rows = [
      `${at(3)},20,50`,
      `${at(0)},-127,50`,
      `${at(1)},warm,50`,
      `x,20,50`,
      `${at(2)},20`,
      `${at(3)},20,50`,
      `${at(3)},21,50`,
    ];
    const { atMs, rejected } = await read(`time,celsius,humidity\n${rows.join('\n')}\n`);
    expect(atMs).toEqual([Date.parse(at(3))]);
    expect(rejected.map(({ line }) => line)).toEqual([3, 4, 5, 6, 8]);
  });

  test.each([
    ['nan', 'humidity "nan" is not a number; the temperature counts without it'],
    ['-0.1', 'humidity -0.1 lies outside 0 … 100.5 %RH; the temperature counts without it'],
    ['100.501', 'humidity 100.501 lies outside 0 … 100.5 %RH; the temperature counts without it'],
  ])('a humidity of %s costs the row nothing else', async (written, reason) => {
    const file = await read(`time,celsius,humidity\n${at(0)},12,${written}\n${at(1)},12,55\n`);
    expect(file).toMatchObject({ milliC: [12_000, 12_000], milliRh: [null, 55_000], rejected: [{ line: 2, reason }] });
  });

  test('of two rows of one instant a humidity is taken from whichever has one, and contradictions are named', async () => {
    const filled = await read(`time,celsius,humidity\n${at(0)},12,\n${at(0)},12,60\n${at(0)},12,\n`);
    expect(filled).toMatchObject({ milliC: [12_000], milliRh: [60_000], rejected: [] });
    const torn = await read(`time,celsius,humidity\n${at(0)},12,60\n${at(0)},12,61\n`);
    expect(torn).toMatchObject({
      milliRh: [60_000],
      rejected: [{ line: 3, reason: 'contradicts line 2, which has the same time and another humidity' }],
    });
  });

  test('is read the same wherever its bytes are cut', async () => {
    const text = `\ufefftime;celsius;humidity\n${Array.from({ length: 50 }, (_, minute) => `${at(minute)};${minute / 8};5${minute % 10}\n`).join('')}`;
    const bytes = bytesOf(`${text}${at(50)};7°;50\n`);
    const whole = await read(bytes);
    expect(whole.rejected).toHaveLength(1);
    const header = text.indexOf('\n') + 3;
    await fc.assert(
      fc.asyncProperty(fc.uniqueArray(fc.integer({ min: header, max: bytes.length })), async (cuts) => {
        const chunks = async function* () {
          let from = 0;
          for (const cut of [...cuts.sort((a, b) => a - b), bytes.length]) {
            yield bytes.subarray(from, cut);
            from = cut;
          }
        };
        expect(await readingsIn(chunks(), 'log.csv')).toEqual(whole);
      }),
      { numRuns: 25 },
    );
  });

  test('of hundreds of thousands of rows is read whole, and others have their turn meanwhile', async () => {
    const count = 200_000;
    const rows = Array.from(
      { length: count },
      (_, index) => `${new Date(START_MS + index * 10_000).toISOString()},${index % 40}`,
    );
    let turns = 0;
    const timer = setInterval(() => turns++, 5);
    const { atMs, milliC } = await read(`time,celsius\n${rows.join('\n')}`);
    clearInterval(timer);
    expect([atMs.length, atMs.at(-1), milliC.at(-1)]).toEqual([
      count,
      START_MS + (count - 1) * 10_000,
      ((count - 1) % 40) * 1000,
    ]);
    expect(turns).toBeGreaterThan(20);
  });
});
