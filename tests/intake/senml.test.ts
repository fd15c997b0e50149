import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  ABSOLUTE_TIME_SECONDS_MIN,
  NAME_LENGTH_MAX,
  RECORDS_MAX,
  resolveSenml,
  type SenmlRecord,
} from '../../edge/intake/senml.ts';
import rfc8428 from '../vectors/rfc8428.json' with { type: 'json' };

/** A record as senders write it. */
interface Written {
  readonly n: string;
  readonly u?: string;
  readonly v?: number;
  readonly vs?: string;
  readonly vb?: boolean;
  readonly vd?: string;
  readonly s?: number;
  readonly t?: number;
}

function recordOf(written: Written): SenmlRecord {
  const { n, u = null, v = null, vs = null, vb = null, vd = null, s = null, t = 0 } = written;
  return { name: n, unit: u, value: v, text: vs, flag: vb, data: vd, sum: s, timeSeconds: t };
}

function writtenOf(record: SenmlRecord): Record<string, unknown> {
  const { name, unit, value, text, flag, data, sum, timeSeconds } = record;
  const all = { n: name, u: unit, v: value, vs: text, vb: flag, vd: data, s: sum, t: timeSeconds };
  return Object.fromEntries(Object.entries(all).filter(([, field]) => field !== null));
}

function resolved(pack: unknown): readonly SenmlRecord[] {
  const result = resolveSenml(JSON.stringify(pack));
  if (!result.ok) throw new Error(result.detail);
  return result.records;
}

function refusal(text: string): string {
  const result = resolveSenml(text);
  if (result.ok) throw new Error(`taken: ${JSON.stringify(result.records)}`);
  return result.detail;
}

describe('the examples of RFC 8428', () => {
  test.each(rfc8428.cases)('section $section, $title', ({ pack, resolved: expected }) => {
    expect(resolveSenml(pack.join('\n'))).toEqual({ ok: true, records: (expected as Written[]).map(recordOf) });
  });
});

describe('resolving', () => {
  test('base fields hold from their own record until one replaces them (section 4)', () => {
    const pack = [
      { bn: 'a:', bu: 'Cel', bt: 1000, bv: 20, n: 'x', v: 1, t: -1 },
      { n: 'y', v: 2, u: 'K' },
      { bv: -5, n: 'z', v: 3 },
      { bn: 'b:', bt: 0, n: 'x', v: 4 },
    ];
    expect(resolved(pack)).toEqual(
      [
        { n: 'a:x', u: 'Cel', v: 21, t: 999 },
        { n: 'a:y', u: 'K', v: 22, t: 1000 },
        { n: 'a:z', u: 'Cel', v: -2, t: 1000 },
        { n: 'b:x', u: 'Cel', v: -1 },
      ].map(recordOf),
    );
  });

  test('sums add their base sum; without either there is none; a base sum alone stands for the sum (section 4.5.4)', () => {
    const pack = [
      { n: 'w', s: 7 },
      { n: 'x', v: 1 },
      { n: 'x', v: 1, bs: 100 },
      { n: 'x', s: 5 },
    ];
    expect(resolved(pack)).toEqual(
      [
        { n: 'w', s: 7 },
        { n: 'x', v: 1 },
        { n: 'x', v: 1, s: 100 },
        { n: 'x', s: 105 },
      ].map(recordOf),
    );
  });

  test('a base value is added to numbers only', () => {
    expect(resolved([{ bv: 9, n: 'x', vs: 'dry' }])).toEqual([recordOf({ n: 'x', vs: 'dry' })]);
  });

  test('time and base time together decide what is absolute (section 4.5.3)', () => {
    const half = ABSOLUTE_TIME_SECONDS_MIN / 2;
    expect(ABSOLUTE_TIME_SECONDS_MIN).toBe(268_435_456);
    expect(resolved([{ bt: half, t: half, n: 'x', v: 1 }])[0]?.timeSeconds).toBe(ABSOLUTE_TIME_SECONDS_MIN);
  });

  test('unknown fields are ignored, whatever they hold (section 4.4)', () => {
    const nested = `${'['.repeat(50_000)}${']'.repeat(50_000)}`;
    const text = `[{"n":"x","v":1,"value":null,"bzz":{"v":2},"_":"","x_y":[],"deep":${nested}}]`;
    expect(refusal(text)).toMatch(/^record 0: the field "_"/);
    expect(resolveSenml(text.replace('"_":"",', ''))).toEqual({ ok: true, records: [recordOf({ n: 'x', v: 1 })] });
  });

  test('versions up to 10 are read; naming the default is the same as naming none (sections 4.1 and 4.4)', () => {
    for (const bver of [1, 5, 10]) expect(resolved([{ bver, n: 'x', v: 1 }])).toHaveLength(1);
    expect(
      resolved([
        { n: 'x', v: 1 },
        { bver: 10, n: 'x', v: 1 },
      ]),
    ).toHaveLength(2);
  });

  test('a pack that only sets base fields measures nothing', () => {
    expect(resolved([{ bn: 'x:', bt: 1.7e9 }])).toEqual([]);
  });

  test('a key that stands twice is the JSON parser’s matter: the last one counts', () => {
    expect(resolveSenml('[{"n":"x","v":1,"v":2}]')).toEqual({ ok: true, records: [recordOf({ n: 'x', v: 2 })] });
  });

  test('a full pack and a name of full length are taken', () => {
    const records = Array.from({ length: RECORDS_MAX }, () => ({ n: 'x', v: 1 }));
    expect(resolved(records)).toHaveLength(RECORDS_MAX);
    expect(resolved([{ bn: 'a'.repeat(NAME_LENGTH_MAX - 1), n: 'b', v: 1 }])[0]?.name).toHaveLength(NAME_LENGTH_MAX);
  });
});

describe('refusals name the record, the field and what would be right', () => {
  test.each<[string, string, RegExp]>([
    ['no JSON', 'hello', /^the payload is not JSON: Unexpected token/],
    ['nothing', '', /^the payload is not JSON: /],
    ['NaN', '[{"n":"x","v":nan}]', /is not valid JSON; NaN and infinity .* leave the record out/],
    ['infinity', '[{"n":"x","v": -Infinity}]', /NaN and infinity/],
    ['a record without its array', '{"n":"x","v":1}', /^the payload must be a JSON array of records, .*; got an object$/],
    ['a bare number', '21.5', /got the number 21.5$/],
    ['no records', '[]', /^the pack holds no record/],
    ['a record that is no object', '[{"n":"x","v":1},7]', /^record 1: must be a JSON object; got the number 7$/],
    ['a record that is an array', '[[]]', /^record 0: must be a JSON object; got an array$/],
    ['a null record', '[null]', /^record 0: must be a JSON object; got null$/],
    ['a null unit', '[{"n":"x","v":1},{"n":"x","v":1,"u":null}]', /^record 1: "u" is null; leave the field out/],
    ['a null base', '[{"bn":null,"n":"x","v":1}]', /^record 0: "bn" is null/],
    ['a number in quotes', '[{"n":"x","v":"21.5"}]', /^record 0: "v" must be a number; got the string "21.5"$/],
    ['a name that is a number', '[{"n":5,"v":1}]', /^record 0: "n" must be a string; got the number 5$/],
    ['a unit that is no text', '[{"n":"x","u":true,"v":1}]', /^record 0: "u" must be a string; got the boolean true$/],
    ['a flag that is a number', '[{"n":"x","vb":1}]', /^record 0: "vb" must be a boolean; got the number 1$/],
    ['a time that is text', '[{"n":"x","v":1,"t":"2026-01-15"}]', /^record 0: "t" must be a number; got the string/],
    ['an update time that is text', '[{"n":"x","v":1,"ut":"60"}]', /^record 0: "ut" must be a number/],
    ['a value beyond doubles', '[{"n":"x","v":1e999}]', /^record 0: "v" exceeds the range of a double$/],
    ['a sum of value and base beyond doubles', '[{"bv":1e308,"n":"x","v":1e308}]', /^record 0: "v" and "bv" together exceed/],
    ['a sum of times beyond doubles', '[{"bt":1e308,"n":"x","v":1,"t":1e308}]', /^record 0: "t" and "bt" together exceed/],
    ['a sum of sums beyond doubles', '[{"bs":1e308,"n":"x","s":1e308}]', /^record 0: "s" and "bs" together exceed/],
    ['two values', '[{"n":"x","v":1,"vs":"a"}]', /^record 0: holds "v" and "vs"; one value a record$/],
    ['two values beside a sum', '[{"n":"x","vb":true,"vd":"","s":1}]', /^record 0: holds "vb" and "vd"/],
    ['no value', '[{"n":"x","v":1},{"n":"x"}]', /^record 1: holds no value; a number goes in "v"$/],
    ['a base value in place of a value', '[{"n":"x","bv":5}]', /^record 0: holds no value/],
    ['a base sum in place of a sum', '[{"n":"x","bs":5}]', /^record 0: holds no value/],
    ['nothing that is known', '[{"name":"x","value":5}]', /^record 0: holds no value/],
    ['an empty record', '[{"bn":"x"},{}]', /^record 1: holds no value/],
    ['no name', '[{"v":1}]', /^record 0: has no name; send "n", or "bn" in this record or one before it$/],
    ['an empty name', '[{"bn":"","n":"","v":1}]', /^record 0: has no name/],
    ['a name that starts wrong', '[{"n":":x","v":1}]', /^record 0: the name ":x" .* must start with a letter or digit$/],
    ['a name with a blank', '[{"bn":"my probe/","n":"temperature","v":1}]', /^record 0: the name "my probe\/temperature"/],
    ['a name with a line break at its end', '[{"n":"x\\n","v":1}]', /^record 0: the name "x\\n"/],
    ['a name with an accent', '[{"n":"température","v":1}]', /^record 0: the name "température"/],
    ['a base64 with padding', '[{"n":"x","vd":"aGkgCg=="}]', /^record 0: "vd" must be base64 .* no padding; got "aGkgCg=="$/],
    ['a base64 of impossible length', '[{"n":"x","vd":"aGkgC"}]', /^record 0: "vd" must be base64/],
    ['version 11', '[{"bver":11,"n":"x","v":1}]', /^record 0: "bver" is 11; versions up to 10 are understood here$/],
    ['version 0', '[{"bver":0,"n":"x","v":1}]', /^record 0: "bver" must be a positive integer; got 0$/],
    ['version 9.5', '[{"bver":9.5,"n":"x","v":1}]', /^record 0: "bver" must be a positive integer; got 9.5$/],
    ['a second version', '[{"n":"x","v":1},{"bver":5,"n":"x","v":1}]', /^record 1: "bver" is 5, but .* version 10; one version/],
    ['a third version', '[{"bver":5,"n":"x","v":1},{"bver":6,"n":"x","v":1}]', /^record 1: "bver" is 6, but .* version 5/],
    ['a field that must be understood', '[{"n":"x","v":1,"ct_":"60"}]', /^record 0: the field "ct_" must be understood/],
  ])('%s', (_, text, expected) => {
    expect(refusal(text)).toMatch(expected);
  });

  test('one fault late in a pack refuses the whole pack', () => {
    const records: unknown[] = Array.from({ length: 99 }, () => ({ n: 'x', v: 1 }));
    expect(refusal(JSON.stringify([...records, { n: 'x', t: null }]))).toMatch(/^record 99: "t" is null/);
  });

  test('bounds: records, length of a name, and how much of the sender’s text is repeated', () => {
    const records = Array.from({ length: RECORDS_MAX + 1 }, () => ({ n: 'x', v: 1 }));
    expect(refusal(JSON.stringify(records))).toBe('the pack holds 10001 records; send at most 10000 at a time');
    const long = 'a'.repeat(60_000);
    expect(refusal(JSON.stringify([{ bn: long, n: 'b', v: 1 }]))).toMatch(
      /^record 0: "bn" and "n" together are 60001 characters/,
    );
    for (const pack of [[{ n: 'x', v: long }], [{ n: 'x', v: 1, [`${long}_`]: 1 }], [{ n: 'x', vd: `${long}=` }]]) {
      expect(refusal(JSON.stringify(pack)).length).toBeLessThan(300);
    }
    expect(refusal(`[${long}`).length).toBeLessThan(300);
  });

  test('a detail is text that can be written down anywhere: no line breaks, no lone surrogates', () => {
    for (const text of ['[{"n":"\\ud800","v":1}]', '[{"n":"x","v":"a\\nb\\ud800"}]', '[{"n":\n\n\u0000\ud800 }]']) {
      const detail = refusal(text);
      expect(detail.isWellFormed()).toBe(true);
      expect(detail).not.toMatch(/\p{Cc}/u);
    }
  });

  test('nesting without end is refused, not crashed on', () => {
    expect(refusal('['.repeat(300_000))).toMatch(/^the payload is not JSON/);
  });
});

describe('whatever comes', () => {
  const number = fc.double({ min: -1e12, max: 1e12, noNaN: true });
  const name = fc.string({ unit: fc.constantFrom('a', 'Z', '0', ':', '/', '.', '-', '_'), maxLength: 5 });
  const unit = fc.constantFrom('Cel', '%RH', 'V', '');
  const base = fc.record({ bn: name, bt: number, bu: unit, bv: number, bs: number }, { requiredKeys: [] });
  const value = fc.oneof(
    fc.record({ v: number }),
    fc.record({ vs: fc.string() }),
    fc.record({ vb: fc.boolean() }),
    fc.record({ vd: fc.uint8Array().map((bytes) => Buffer.from(bytes).toString('base64url')) }),
    fc.record({ s: number }),
    fc.record({ v: number, s: number }),
  );
  const own = fc.record({ n: name.map((rest) => `a${rest}`), u: unit, t: number, ut: number }, { requiredKeys: ['n'] });
  const record = fc.tuple(base, own, value).map(([...parts]) => Object.assign({}, ...parts) as Record<string, unknown>);
  // A base name may start with a character that no name may start with; those packs are for the refusals above.
  const pack = fc.array(record, { minLength: 1, maxLength: 12 }).filter((records) => resolveSenml(JSON.stringify(records)).ok);

  test('resolving what is resolved already changes nothing (section 4.6)', () => {
    fc.assert(
      fc.property(pack, (records) => {
        const once = resolved(records);
        expect(once).toHaveLength(records.length);
        expect(resolved(once.map(writtenOf))).toEqual(once);
      }),
    );
  });

  test('a record depends on those before it, never on those after', () => {
    fc.assert(
      fc.property(pack, fc.nat(), (records, cut) => {
        const length = 1 + (cut % records.length);
        expect(resolved(records.slice(0, length))).toEqual(resolved(records).slice(0, length));
      }),
    );
  });

  test('every text is either resolved or refused with a reason', () => {
    const text = fc.oneof(
      fc.string(),
      fc.json(),
      fc.array(fc.oneof(record, fc.jsonValue())).map((records) => JSON.stringify(records)),
    );
    fc.assert(
      fc.property(text, (candidate) => {
        const result = resolveSenml(candidate);
        if (result.ok)
          for (const { name, timeSeconds } of result.records) expect(name !== '' && Number.isFinite(timeSeconds)).toBe(true);
        else expect(result.detail).not.toBe('');
      }),
    );
  });
});
