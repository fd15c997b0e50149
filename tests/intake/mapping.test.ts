import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { applyMapping } from '../../edge/intake/mapping.ts';
import { readingsOf } from '../../edge/intake/quantities.ts';
import { type MappedField, Mapping } from '../../edge/site/mapping.ts';

const ARRIVAL_MS = Date.UTC(2026, 0, 15, 12);

function mapping(fields: readonly MappedField[], time?: Mapping['time']): Mapping {
  return Mapping.parse({ probe: 'p1', topic: 'shed/sensor', fields, ...(time === undefined ? {} : { time }) });
}

const celsiusAt = (pointer: string): MappedField => ({ pointer, quantity: 'temperature', unit: 'Cel' });
const humidityAt = (pointer: string): MappedField => ({ pointer, quantity: 'humidity', unit: '%RH' });

/** What one pointer finds: the value taken, or the fault. */
function found(pointer: string, payload: string): number | string {
  const { records, faults } = applyMapping(mapping([celsiusAt(pointer)]), payload);
  expect(records.length + faults.length).toBe(1);
  return records[0]?.value ?? faults[0] ?? '';
}

describe('a JSON Pointer', () => {
  // RFC 6901 section 5: the document and every pointer into it, with what it evaluates to [P].
  const document = '{"foo":["bar","baz"],"":0,"a/b":1,"c%d":2,"e^f":3,"g|h":4,"i\\\\j":5,"k\\"l":6," ":7,"m~n":8}';
  test.each<[string, number | RegExp]>([
    ['', /^temperature: the message holds an object or array, where a number is expected$/],
    ['/foo', /^temperature: "\/foo" holds an object or array/],
    ['/foo/0', /^temperature: "\/foo\/0" holds the text "bar"; .* plain decimal/],
    ['/', 0],
    ['/a~1b', 1],
    ['/c%d', 2],
    ['/e^f', 3],
    ['/g|h', 4],
    ['/i\\j', 5],
    ['/k"l', 6],
    ['/ ', 7],
    ['/m~0n', 8],
  ])('%j of the standard’s document', (pointer, expected) => {
    if (typeof expected === 'number') expect(found(pointer, document)).toBe(expected);
    else expect(found(pointer, document)).toMatch(expected);
  });

  test('may be nothing at all where the message is the number itself', () => {
    expect(found('', '21.5')).toBe(21.5);
    expect(found('', '"21.5"')).toBe(21.5);
    expect(found('', 'null')).toBe('temperature: the message holds null, where a number is expected');
    expect(found('/a', '21.5')).toBe('temperature: "/a" is not there, where a number is expected');
    expect(found('/a', 'null')).toBe('temperature: "/a" is not there, where a number is expected');
  });

  test('reads ~01 as ~1, and array places as the standard writes them', () => {
    expect(found('/~01', '{"~1":1,"/":2}')).toBe(1);
    expect(found('/a/2', '{"a":[5,6,7]}')).toBe(7);
    for (const place of ['02', '-', '-1', '3', '1.0', '1e0', ' 1', 'length'])
      expect(found(`/a/${place}`, '{"a":[5,6,7]}')).toMatch(/ is not there/);
  });

  test.each([
    '__proto__',
    'constructor',
    'constructor/name',
    'toString',
    'hasOwnProperty',
    '__proto__/x',
    'a/length',
    'b/length',
  ])('finds nothing that the language brings along: /%s', (path) => {
    expect(found(`/${path}`, '{"a":[1,2],"b":"text"}')).toMatch(/ is not there/);
  });

  test('finds what a message names like that itself', () => {
    expect(found('/__proto__/length', '{"__proto__":{"length":4}}')).toBe(4);
    expect(found('/constructor', '{"constructor":5}')).toBe(5);
    expect(Object.prototype).not.toHaveProperty('length');
  });

  test('finds any number under any names, by their escaped spelling', () => {
    const names = fc.array(fc.string({ unit: 'grapheme', maxLength: 8 }), { minLength: 1, maxLength: 5 });
    const own = (name: string, inner: unknown) => Object.defineProperty({}, name, { value: inner, enumerable: true });
    fc.assert(
      fc.property(names, fc.double({ noNaN: true, noDefaultInfinity: true }), (path, value) => {
        const pointer = path.map((name) => `/${name.replaceAll('~', '~0').replaceAll('/', '~1')}`).join('');
        const payload = path.reduceRight<unknown>((inner, name) => ({ [`not ${name}`]: 1, ...own(name, inner) }), value);
        // JSON knows no negative zero.
        expect(found(pointer, JSON.stringify(payload))).toBe(value + 0);
      }),
    );
  });
});

describe('a value', () => {
  test.each<[string, string]>([
    ['null', 'null'],
    ['true', 'true'],
    ['false', 'false'],
    ['{"v":1}', 'an object or array'],
    ['[1]', 'an object or array'],
  ])('%s is no number', (written, words) => {
    expect(found('/t', `{"t":${written}}`)).toBe(`temperature: "/t" holds ${words}, where a number is expected`);
  });

  test.each([
    '',
    ' ',
    '21,5',
    '2.15e1',
    '0x15',
    ' 21.5',
    '21.5 ',
    '21.',
    'NaN',
    'Infinity',
    '1_000',
    '+',
    '--1',
    '21.5 °C',
    '٢١',
  ])('as text must be a plain decimal: %j is none', (text) => {
    expect(found('/t', JSON.stringify({ t: text }))).toMatch(/^temperature: "\/t" holds the text ".*"; a number that is written/);
  });

  test.each([
    ['21.5', 21.5],
    ['-3', -3],
    ['+4.25', 4.25],
    ['.5', 0.5],
    ['007', 7],
  ])('as text: %j is %d', (text, value) => {
    expect(found('/t', JSON.stringify({ t: text }))).toBe(value);
  });

  test('beyond the range of a double is a fault, as number and as text', () => {
    expect(found('/t', '{"t":1e999}')).toBe('temperature: "/t" holds a number beyond the range of a double');
    expect(found('/t', JSON.stringify({ t: '9'.repeat(400) }))).toMatch(/beyond the range/);
  });

  test('that cannot be read does not keep out the others, and every fault names its pointer', () => {
    const { records, faults } = applyMapping(
      mapping([celsiusAt('/gone'), humidityAt('/h'), { pointer: '/b', quantity: 'battery', unit: 'mV' }]),
      '{"h":55,"b":null}',
    );
    expect(records).toMatchObject([{ name: 'humidity', unit: '%RH', value: 55 }]);
    expect(faults).toEqual([
      'temperature: "/gone" is not there, where a number is expected',
      'battery: "/b" holds null, where a number is expected',
    ]);
  });

  test('repeats no more of a sender’s text than a line, and no half character', () => {
    const fault = found('/t', JSON.stringify({ t: `\ud800${'x'.repeat(5000)}` }));
    expect(String(fault).length).toBeLessThan(200);
    expect(String(fault).isWellFormed()).toBe(true);
  });
});

describe('a message', () => {
  test.each([
    ['warm', /^the payload is not JSON: /],
    ['', /^the payload is not JSON: /],
    ['{"t":NaN}', /NaN and infinity have no place/],
    ['{"t":1}{', /^the payload is not JSON: /],
    ['['.repeat(32_000) + ']'.repeat(32_000), /^the payload is nested too deep$/],
  ])('that cannot be read is one fault: %.20j', (payload, words) => {
    const { records, faults } = applyMapping(mapping([celsiusAt('/t'), humidityAt('/h')]), payload);
    expect(records).toEqual([]);
    expect(faults).toHaveLength(1);
    expect(faults[0]).toMatch(words);
  });

  test('never throws, whatever it is, and tells of every field once', () => {
    const fields = mapping([celsiusAt('/0'), humidityAt('/a/b'), { pointer: '', quantity: 'level', unit: 'in' }]);
    fc.assert(
      fc.property(
        fc.oneof(
          fc.string(),
          fc.json(),
          fc.jsonValue().map((value) => JSON.stringify(value)),
        ),
        (payload) => {
          const { records, faults } = applyMapping(fields, payload);
          const unreadable = faults[0]?.startsWith('the payload is not JSON') === true;
          expect(records.length + faults.length).toBe(unreadable ? 1 : 3);
          for (const { value } of records) expect(Number.isFinite(value)).toBe(true);
        },
      ),
    );
  });
});

describe('units', () => {
  const only = (field: MappedField, value: number) => {
    const { records, faults } = applyMapping(mapping([field]), JSON.stringify(value));
    expect(faults).toEqual([]);
    return records[0];
  };
  const field = (quantity: string, unit: string) => ({ pointer: '', quantity, unit }) as MappedField;

  test.each<[string, string, number, string, number]>([
    ['temperature', 'Cel', 21.5, 'Cel', 21.5],
    // Definitions: 0 °C is 32 °F and 273.15 K, 100 °C is 212 °F; both scales meet at −40.
    ['temperature', 'Far', 32, 'Cel', 0],
    ['temperature', 'Far', 212, 'Cel', 100],
    ['temperature', 'Far', -40, 'Cel', -40],
    ['temperature', 'Far', 50, 'Cel', 10],
    ['temperature', 'K', 273.15, 'Cel', 0],
    ['humidity', '%RH', 55, '%RH', 55],
    ['humidity', '%', 55, '%RH', 55],
    ['battery', 'V', 3.6, 'V', 3.6],
    ['battery', 'mV', 3600, 'V', 3.6],
    ['battery', '%EL', 90, '%EL', 90],
    ['battery', '%', 90, '%EL', 90],
    ['resistance', 'Ohm', 107.79, 'Ohm', 107.79],
    ['resistance', 'kOhm', 10, 'Ohm', 10_000],
    ['level', 'm', 1.25, 'm', 1.25],
    ['level', 'cm', 125, 'm', 1.25],
    ['level', 'mm', 1250, 'm', 1.25],
    // The inch is 25.4 mm exactly: the limit of an eighth of one is 3.175 mm.
    ['level', 'in', 0.125, 'm', 0.003175],
  ])('%s in %s: %d becomes %s %d', (quantity, unit, given, senmlUnit, value) => {
    const record = only(field(quantity, unit), given);
    expect(record).toMatchObject({ name: quantity, unit: senmlUnit });
    expect(record?.value).toBeCloseTo(value, 12);
  });

  // The inverse of each unit, and the part of the SenML unit that a reading is stored in.
  test.each<[string, string, (value: number) => number, number]>([
    ['temperature', 'Far', (celsius) => (celsius * 9) / 5 + 32, 1000],
    ['temperature', 'K', (celsius) => celsius + 273.15, 1000],
    ['battery', 'mV', (volts) => volts * 1000, 1000],
    ['resistance', 'kOhm', (ohms) => ohms / 1000, 1000],
    ['level', 'mm', (metres) => metres * 1000, 1_000_000],
    ['level', 'cm', (metres) => metres * 100, 1_000_000],
    ['level', 'in', (metres) => metres / 0.0254, 1_000_000],
  ])('%s in %s: every stored value comes back whole', (quantity, unit, inverse, parts) => {
    const [least, most] = quantity === 'temperature' ? [-60, 150] : quantity === 'resistance' ? [1, 2_000_000] : [0, 20];
    fc.assert(
      fc.property(fc.integer({ min: least * parts, max: most * parts }), (stored) => {
        const { records } = applyMapping(mapping([field(quantity, unit)]), JSON.stringify(inverse(stored / parts)));
        expect(readingsOf(records, ARRIVAL_MS, true).readings.map(({ value }) => value)).toEqual([stored]);
      }),
    );
  });
});

describe('the time of a message', () => {
  const atMs = ARRIVAL_MS - 90_500;
  const seconds = (format: NonNullable<Mapping['time']>['format'], time: unknown) =>
    applyMapping(mapping([celsiusAt('/t')], { pointer: '/at', format }), JSON.stringify({ t: 7, at: time }));

  test('is the arrival where none is mapped', () => {
    expect(applyMapping(mapping([celsiusAt('/t')]), '{"t":7,"at":5}').records).toMatchObject([{ timeSeconds: 0 }]);
  });

  test.each<[NonNullable<Mapping['time']>['format'], unknown]>([
    ['iso', new Date(atMs).toISOString()],
    ['iso', '2026-01-15T05:58:29.500-06:00'],
    ['iso', '2026-01-15 11:58:29.5Z'],
    ['unix-seconds', atMs / 1000],
    ['unix-seconds', String(atMs / 1000)],
    ['unix-milliseconds', atMs],
    ['unix-milliseconds', String(atMs)],
  ])('as %s: %j', (format, time) => {
    const { records, faults } = seconds(format, time);
    expect(faults).toEqual([]);
    expect(readingsOf(records, ARRIVAL_MS, true).readings).toEqual([
      { quantity: 'temperature', atMs, basis: 'own', value: 7000 },
    ]);
  });

  test.each<[NonNullable<Mapping['time']>['format'], unknown, RegExp]>([
    [
      'iso',
      '2026-01-15T12:00:00',
      /^time: "\/at" holds the text "2026-01-15T12:00:00", which is no ISO 8601 time with an offset$/,
    ],
    ['iso', 1_768_478_400, /^time: "\/at" holds 1768478400, where a time as text is expected$/],
    ['iso', null, /^time: "\/at" holds null/],
    ['iso', undefined, /^time: "\/at" is not there/],
    ['iso', '1970-01-01T00:00:05Z', /^time: "\/at" holds a time before July 1978; set the clock .*\(iso\)$/],
    // To SenML each of these would count from the arrival: a clock that was never set must not pass for "just now".
    ['unix-seconds', 0, /^time: "\/at" holds a time before July 1978; set the clock of the device/],
    ['unix-seconds', 0.25, /before July 1978/],
    ['unix-seconds', -60, /before July 1978/],
    ['unix-milliseconds', 1_768_478_400, /before July 1978; .*\(unix-milliseconds\)$/],
    ['unix-seconds', 'yesterday', /^time: "\/at" holds the text "yesterday"/],
    ['unix-seconds', true, /^time: "\/at" holds true/],
  ])('that cannot be read keeps out all values: %s %j', (format, time, words) => {
    const { records, faults } = seconds(format, time);
    expect(records).toEqual([]);
    expect(faults).toHaveLength(1);
    expect(faults[0]).toMatch(words);
  });

  test('in milliseconds where seconds are mapped is told by its instant', () => {
    const { records } = seconds('unix-seconds', ARRIVAL_MS);
    expect(readingsOf(records, ARRIVAL_MS, true).refused).toMatchObject([
      { reason: 'time-out-of-range', detail: expect.stringMatching(/beyond the year 2100/) },
    ]);
  });
});

describe('the schema of a mapping', () => {
  const good = { probe: 'p1', topic: 'shed/sensor', fields: [celsiusAt('/t')] };
  const faultsOf = (value: unknown) =>
    Mapping.safeParse(value).error?.issues.map(({ path, message }) => `${path.join('.')}: ${message}`);

  test('takes what it says', () => {
    expect(Mapping.parse(good)).toEqual(good);
    const full = { ...good, time: { pointer: '/at', format: 'iso' }, topic: '/äöü/ß 1$' };
    expect(Mapping.parse(full)).toEqual(full);
    const batteries = [
      { pointer: '/v', quantity: 'battery', unit: 'mV' },
      { pointer: '/p', quantity: 'battery', unit: '%' },
    ];
    expect(Mapping.safeParse({ ...good, fields: batteries }).success).toBe(true);
  });

  test.each<[string, object, RegExp]>([
    ['a wildcard', { topic: 'shed/+' }, /^topic: use one plain topic/],
    ['every topic', { topic: '#' }, /^topic: use one plain topic/],
    ['a NUL', { topic: 'a\0b' }, /^topic: use one plain topic/],
    ['our own topics', { topic: 'cure/yard/probe/p1/senml' }, /^topic: topics under cure\//],
    ['the broker’s topics', { topic: '$SYS/x' }, /^topic: topics that start with \$/],
    ['no topic', { topic: '' }, /^topic: must not be empty/],
    ['a long topic', { topic: 'x'.repeat(257) }, /^topic: use at most 256/],
    ['half a character', { topic: 'x\ud800' }, /^topic: has half a character/],
    ['no fields', { fields: [] }, /^fields: name at least one/],
    ['a pointer without its slash', { fields: [celsiusAt('t')] }, /^fields\.0\.pointer: use a JSON Pointer/],
    ['a tilde that escapes nothing', { fields: [celsiusAt('/a~2')] }, /^fields\.0\.pointer: use a JSON Pointer/],
    ['a tilde at the end', { fields: [celsiusAt('/a~')] }, /^fields\.0\.pointer: use a JSON Pointer/],
    [
      'a unit of another quantity',
      { fields: [{ pointer: '/t', quantity: 'temperature', unit: '%RH' }] },
      /^fields\.0\.unit: .*"Cel"\|"Far"\|"K"/,
    ],
    [
      'another quantity',
      { fields: [{ pointer: '/t', quantity: 'pressure', unit: 'Pa' }] },
      /quantity must be one of temperature/,
    ],
    ['one quantity twice', { fields: [celsiusAt('/a'), celsiusAt('/b')] }, /^fields: one probe is one place/],
    ['an unknown key', { qos: 1 }, /^: Unrecognized key: "qos"/],
    ['another time format', { time: { pointer: '/at', format: 'us' } }, /^time\.format: /],
    ['a name that is no id', { probe: 'p/1' }, /^probe: use letters/],
  ])('refuses %s', (_, change, words) => {
    const faults = faultsOf({ ...good, ...change });
    expect(faults).toHaveLength(1);
    expect(faults?.[0]).toMatch(words);
  });
});
