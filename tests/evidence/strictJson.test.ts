import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { canonicalJson } from '../../edge/evidence/canonical.ts';
import { parseCanonical, parseStrict } from '../../edge/evidence/strictJson.ts';
import rfc8785 from '../vectors/rfc8785.json' with { type: 'json' };

const nested = (levels: number) => `${'['.repeat(levels)}${']'.repeat(levels)}`;

describe('strict JSON', () => {
  test.each<[string, string, RegExp]>([
    ['a member twice', '{"a":1,"b":2,"a":3}', /the member "a" stands twice in one object, at place 13/],
    ['a member twice in other letters', '{"a":1,"\\u0061":2}', /the member "a" stands twice/],
    ['a member twice far down', '[{"x":[{"a":{},"a":[]}]}]', /the member "a" stands twice/],
    ['a member twice after an object in it', '{"a":{"b":1},"c":[{}],"a":2}', /the member "a" stands twice/],
    ['a member twice behind white space', '{"a" :1,"a"\n:2}', /the member "a" stands twice/],
    ['__proto__ twice', '{"__proto__":1,"__proto__":2}', /the member "__proto__" stands twice/],
    ['a lone surrogate as an escape', '["x\\ud800"]', /the string at place 1 holds a lone surrogate/],
    ['a lone surrogate in a name', '{"\\udc00":1}', /the string at place 1 holds a lone surrogate/],
    ['a lone surrogate as a character', '["\ud800"]', /the text holds a lone surrogate/],
    ['a number beyond a double', '[1e999]', /the number at place 1 is beyond the range of a double/],
    ['a negative number beyond a double', '{"n": -2E+400}', /the number at place 6 is beyond/],
    ['101 levels', nested(101), /the value at place 100 is nested deeper than 100 levels/],
    ['a hundred thousand levels', nested(100_000), /nested deeper than 100 levels|is not JSON/],
    ['NaN', '[NaN]', /is not JSON/],
    ['Infinity', '-Infinity', /is not JSON/],
    ['a comment', '[1] // one', /is not JSON/],
    ['a trailing comma', '[1,]', /is not JSON/],
    ['bytes after the value', '{} {}', /is not JSON/],
    ['a byte order mark', '\ufeff{}', /is not JSON/],
    ['a control character in a string', '["\u0001"]', /is not JSON/],
    ['a number with leading zeros', '[01]', /is not JSON/],
    ['nothing', '', /is not JSON/],
  ])('refuses %s', (_what, text, message) => {
    expect(() => parseStrict(text)).toThrow(SyntaxError);
    expect(() => parseStrict(text)).toThrow(message);
  });

  test('takes what only looks like one of these', () => {
    const value = {
      a: ['a', 'a', { a: { a: 1 } }, { a: '"a":1,"a":2' }],
      'a"': '{"',
      'a\\': '[[[',
      b: '1e999 \\ud800',
      n: -0.5e-7,
    };
    const text = JSON.stringify(value, null, 2);
    expect(parseStrict(text)).toEqual(value);
    expect(parseStrict(nested(100))).toHaveLength(1);
    expect(parseStrict(' "\\ud83d\\ude00" ')).toBe('😀');
  });

  test('gives what the engine’s own parser gives, for whatever can be written', () => {
    fc.assert(
      fc.property(fc.jsonValue({ stringUnit: 'binary', maxDepth: 4 }), fc.nat(2), (value, indent) => {
        const text = JSON.stringify(value, null, indent);
        expect(parseStrict(text)).toEqual(JSON.parse(text));
      }),
      { numRuns: 200 },
    );
  });

  test('finds a member that was written once more, wherever it stands', () => {
    const member = fc.tuple(fc.string({ unit: 'binary' }), fc.jsonValue({ maxDepth: 1 }));
    const members = fc.uniqueArray(member, { selector: ([name]) => name, minLength: 1, maxLength: 6 });
    fc.assert(
      fc.property(members, fc.nat(), fc.nat(), fc.nat(3), (pairs, from, to, depth) => {
        const written = pairs.map(([name, value]) => `${JSON.stringify(name)}:${JSON.stringify(value)}`);
        const within = (list: string[]) => `${'[{"in":'.repeat(depth)}{${list.join(',')}}${'}]'.repeat(depth)}`;
        expect(() => parseStrict(within(written))).not.toThrow();
        const again = written.toSpliced(to % (written.length + 1), 0, written[from % written.length] as string);
        expect(() => parseStrict(within(again))).toThrow(/stands twice/);
      }),
      { numRuns: 200 },
    );
  });
});

describe('canonical text', () => {
  test('of the published sample is taken, and its first form is not (RFC 8785 section 3.2)', () => {
    const canonical = Buffer.from(rfc8785.sampleCanonicalHex.join('').replaceAll(' ', ''), 'hex').toString();
    expect(parseCanonical(canonical)).toEqual(JSON.parse(rfc8785.sampleInput));
    expect(() => parseCanonical(rfc8785.sampleInput)).toThrow(/not in canonical form \(RFC 8785\) from place/);
  });

  test.each<[string, string, number]>([
    ['white space', '{"a": 1}', 5],
    ['a newline at the end', '{"a":1}\n', 7],
    ['members out of order', '{"b":1,"a":2}', 2],
    ['a number in another form', '[1.0]', 2],
    ['minus zero', '[-0]', 1],
    ['a number that a double cannot hold', '[12345678901234567890]', 18],
    ['an escape that is not needed', '["\\u0041"]', 2],
    ['an escape in capitals', '["\\u001F"]', 7],
    ['an escaped slash', '["\\/"]', 2],
  ])('refuses %s, and says from where', (_what, text, place) => {
    expect(() => parseStrict(text)).not.toThrow();
    expect(() => parseCanonical(text)).toThrow(`from place ${place} on`);
  });

  test('refuses all that strict JSON refuses', () => {
    expect(() => parseCanonical('{"a":1,"a":1}')).toThrow(/stands twice/);
    expect(() => parseCanonical('{"a":1')).toThrow(/is not JSON/);
  });

  test('is taken back as the value it was written of', () => {
    fc.assert(
      fc.property(fc.jsonValue({ stringUnit: 'grapheme', maxDepth: 3 }), (value) => {
        const text = canonicalJson(value);
        expect(canonicalJson(parseCanonical(text))).toBe(text);
      }),
      { numRuns: 200 },
    );
  });
});
