import { createHash } from 'node:crypto';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import { compileRateTable } from '../../edge/cure/rateTable.ts';
import { canonicalJson, rateTableSha256, sha256Hex } from '../../edge/evidence/canonical.ts';
import rfc8785 from '../vectors/rfc8785.json' with { type: 'json' };

/** The double with this bit pattern. */
function doubleOf(bits: string): number {
  return Buffer.from(bits, 'hex').readDoubleBE();
}

describe('canonical JSON against RFC 8785', () => {
  test.each(rfc8785.numbers)('appendix B: %s is written %s', (bits, text) => {
    expect(canonicalJson(doubleOf(bits as string))).toBe(text);
  });

  test.each(rfc8785.refusedNumbers)('appendix B: %s is refused', (bits) => {
    expect(() => canonicalJson({ n: doubleOf(bits) })).toThrow(/at n: (NaN|Infinity) is not a JSON number/);
  });

  test('section 3.2.4: the sample of 3.2.2 becomes exactly the printed bytes', () => {
    const printed = rfc8785.sampleCanonicalHex.join(' ').replaceAll(' ', '');
    expect(Buffer.from(canonicalJson(JSON.parse(rfc8785.sampleInput))).toString('hex')).toBe(printed);
  });

  test('section 3.2.3: members are sorted by UTF-16 code units', () => {
    const sorted = canonicalJson(JSON.parse(rfc8785.sortingInput));
    const places = rfc8785.sortedValues.map((value) => sorted.indexOf(JSON.stringify(value)));
    expect(Math.min(...places)).toBeGreaterThan(0);
    expect(places).toEqual([...places].sort((a, b) => a - b));
  });
});

describe('canonical JSON', () => {
  const loop: Record<string, unknown> = {};
  loop.again = loop;

  test.each<[string, unknown, RegExp]>([
    ['undefined', { a: [1, { b: undefined }] }, /at a\.1\.b: undefined has no place/],
    ['a hole in an array', { list: new Array(2) }, /at list\.0: undefined/],
    ['NaN', Number.NaN, /at the value itself: NaN/],
    ['minus infinity', [0, Number.NEGATIVE_INFINITY], /at 1: -Infinity/],
    ['a lone surrogate in text', { note: 'bad \ud800' }, /at note: text with a lone surrogate/],
    ['a lone surrogate in a name', { 'x\udc00': 1 }, /at x\ufffd: text with a lone surrogate/],
    ['a BigInt', { n: 1n }, /at n: bigint/],
    ['a function', { f: () => 1 }, /at f: function/],
    ['a symbol', { s: Symbol('s') }, /at s: symbol/],
    ['a date', { at: new Date(0) }, /at at: only plain objects/],
    ['a map', { map: new Map() }, /at map: only plain objects/],
    ['a loop', loop, /again: nested deeper than 100 levels/],
  ])('refuses %s and says where', (_what, value, message) => {
    expect(() => canonicalJson(value)).toThrow(message);
  });

  test('takes objects without a prototype, as the database hands them out', () => {
    expect(canonicalJson(Object.assign(Object.create(null), { b: 1, a: 2 }))).toBe('{"a":2,"b":1}');
  });

  test('keeps what JSON can hold, whatever the order of the members', () => {
    fc.assert(
      fc.property(fc.jsonValue({ stringUnit: 'binary' }), (value) => {
        const text = canonicalJson(value);
        // Minus zero is written as 0 (RFC 8785 section 3.2.2.3), as JSON.stringify does.
        expect(JSON.parse(text)).toEqual(JSON.parse(JSON.stringify(value)));
        expect(canonicalJson(backwards(value))).toBe(text);
      }),
      { numRuns: 500 },
    );
  });
});

/** The same data with every object's members in the opposite order. */
function backwards(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(backwards);
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(
    Object.entries(value)
      .reverse()
      .map(([name, member]) => [name, backwards(member)]),
  );
}

describe('hashes', () => {
  test('SHA-256 of "abc" and of the empty text (FIPS 180-4 examples [p])', () => {
    expect(sha256Hex('abc')).toBe('ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad');
    expect(sha256Hex(new Uint8Array(0))).toBe('e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855');
  });

  test('a rate table is named by the hash of its members in order, without white space', () => {
    const [laminate] = builtInSchedules;
    const table = compileRateTable(laminate as (typeof builtInSchedules)[number]);
    const text = `{"floorMilliC":5000,"ratesPpm":[${table.ratesPpm.join(',')}],"topMilliC":10000}`;
    expect(rateTableSha256(table)).toBe(createHash('sha256').update(text, 'utf8').digest('hex'));
    const { floorMilliC, topMilliC, ratesPpm } = table;
    expect(rateTableSha256({ ratesPpm, topMilliC, floorMilliC })).toBe(rateTableSha256(table));
    expect(rateTableSha256({ ...table, ratesPpm: ratesPpm.with(0, (ratesPpm[0] as number) - 1) })).not.toBe(
      rateTableSha256(table),
    );
  });
});
