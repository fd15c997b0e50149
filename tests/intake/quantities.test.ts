import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { inUnits, QUANTITIES, type Reading, type Refused, readingsOf, TIME_BASES } from '../../edge/intake/quantities.ts';
import { resolveSenml, type SenmlRecord } from '../../edge/intake/senml.ts';

const ARRIVAL_MS = Date.UTC(2026, 0, 15, 12, 0, 0);
const MINUTE_S = 60;
const DAY_S = 86_400;

function record(fields: Partial<SenmlRecord>): SenmlRecord {
  return {
    name: 'temperature',
    unit: 'Cel',
    value: 12.5,
    text: null,
    flag: null,
    data: null,
    sum: null,
    timeSeconds: 0,
    ...fields,
  };
}

function taken(fields: Partial<SenmlRecord>, clockTrusted = true): Reading {
  const { readings, refused } = readingsOf([record(fields)], ARRIVAL_MS, clockTrusted);
  const [reading] = readings;
  if (reading === undefined) throw new Error(`refused: ${JSON.stringify(refused)}`);
  expect(refused).toEqual([]);
  return reading;
}

function refused(fields: Partial<SenmlRecord>, clockTrusted = true): Refused {
  const result = readingsOf([record(fields)], ARRIVAL_MS, clockTrusted);
  const [only] = result.refused;
  if (only === undefined) throw new Error(`taken: ${JSON.stringify(result.readings)}`);
  expect(result.readings).toEqual([]);
  return only;
}

test('stored codes never change their meaning', () => {
  expect(QUANTITIES.slice(0, 6)).toEqual(['temperature', 'humidity', 'battery-volts', 'battery-percent', 'resistance', 'level']);
  expect(TIME_BASES.slice(0, 4)).toEqual(['own', 'relative', 'arrival', 'imported']);
});

describe('what is measured', () => {
  test.each<[string, string, number, Reading['quantity'], number]>([
    ['temperature', 'Cel', 21.0625, 'temperature', 21_063],
    ['temperature', 'Cel', -0.0004, 'temperature', 0],
    ['temperature', 'Cel', -60, 'temperature', -60_000],
    ['temperature', 'Cel', 150, 'temperature', 150_000],
    // The power-on value of one-wire chips is a plausible temperature; a later check looks at it.
    ['temperature', 'Cel', 85, 'temperature', 85_000],
    ['humidity', '%RH', 100.5, 'humidity', 100_500],
    ['humidity', '%RH', 0, 'humidity', 0],
    ['battery', 'V', 3.614, 'battery-volts', 3614],
    ['battery', '%EL', 100, 'battery-percent', 100_000],
    ['urn:dev:mac:0024befffe804ff1:temperature', 'Cel', 5, 'temperature', 5000],
    ['shed/bench/humidity', '%RH', 40, 'humidity', 40_000],
    ['probe.7.battery', 'V', 3, 'battery-volts', 3000],
    // A Pt100 at 20 °C (IEC 60751) [P].
    ['resistance', 'Ohm', 107.79, 'resistance', 107_790],
    ['resistance', 'Ohm', 1, 'resistance', 1000],
    ['resistance', 'Ohm', 2_000_000, 'resistance', 2_000_000_000],
    // An eighth of an inch, the limit of a water test.
    ['level', 'm', 0.003175, 'level', 3175],
    ['level', 'm', 1.2345678, 'level', 1_234_568],
    ['level', 'm', -1, 'level', -1_000_000],
    ['level', 'm', 20, 'level', 20_000_000],
  ])('%s in %s at %d is %s, %d parts of the unit', (name, unit, value, quantity, milli) => {
    const reading = taken({ name, unit, value });
    expect(reading).toEqual({ quantity, atMs: ARRIVAL_MS, basis: 'arrival', value: milli });
  });

  test.each<[string, Partial<SenmlRecord>, Refused['reason'], RegExp]>([
    [
      'an unknown name',
      { name: 'probe:pressure', unit: 'Pa' },
      'unknown-quantity',
      /^"probe:pressure" .*: temperature \(Cel\), humidity \(%RH\), battery \(V or %EL\), resistance \(Ohm\), level \(m\)$/,
    ],
    ['a name that only contains a known one', { name: 'probe_temperature' }, 'unknown-quantity', /"probe_temperature"/],
    ['a name in capitals', { name: 'Temperature' }, 'unknown-quantity', /"Temperature"/],
    ['a name that ends in a separator', { name: 'temperature:' }, 'unknown-quantity', /"temperature:"/],
    ['a text for a number', { value: null, text: 'nan' }, 'malformed', /^"temperature" holds no number; send its value in "v"$/],
    ['a sum without a value', { value: null, sum: 5 }, 'malformed', /holds no number/],
    [
      'Fahrenheit',
      { unit: 'Far', value: 70 },
      'wrong-unit',
      /^"temperature" came with the unit "Far"; expected Cel: convert with \(F − 32\) · 5\/9$/,
    ],
    ['degrees Fahrenheit', { unit: '°F', value: 70 }, 'wrong-unit', /the unit "°F"; expected Cel: convert/],
    ['degrees Celsius with a sign', { unit: '°C' }, 'wrong-unit', /expected Cel: degrees Celsius are written Cel$/],
    ['a unit in the wrong case', { unit: 'cel' }, 'wrong-unit', /the unit "cel"; expected Cel$/],
    ['no unit', { unit: null }, 'wrong-unit', /^"temperature" came with no unit; expected Cel$/],
    ['a unit of another quantity', { name: 'humidity', unit: 'Cel' }, 'wrong-unit', /expected %RH$/],
    [
      'a ratio for a battery',
      { name: 'battery', unit: '%', value: 0.5 },
      'wrong-unit',
      /expected V or %EL: .* ratio from 0 to 1$/,
    ],
    ['a unit longer than any', { unit: 'x'.repeat(5000) }, 'wrong-unit', /the unit "x{20}";/],
    ['too cold', { value: -60.001 }, 'out-of-range', /^"temperature" is -60.001 Cel; taken from -60 to 150 Cel$/],
    ['too warm', { value: 150.001 }, 'out-of-range', /is 150.001 Cel/],
    [
      'a missing one-wire sensor',
      { value: -127 },
      'out-of-range',
      /-60 to 150 Cel; −127 means that the one-wire sensor does not answer/,
    ],
    ['air beyond saturation', { name: 'humidity', unit: '%RH', value: 100.501 }, 'out-of-range', /taken from 0 to 100.5 %RH$/],
    ['kiloohms', { name: 'resistance', unit: 'kOhm', value: 10 }, 'wrong-unit', /expected Ohm: multiply by 1000$/],
    ['an ohm sign', { name: 'resistance', unit: 'Ω', value: 100 }, 'wrong-unit', /expected Ohm: ohms are written Ohm$/],
    ['millimetres', { name: 'level', unit: 'mm', value: 1250 }, 'wrong-unit', /expected m: divide by 1000$/],
    ['centimetres', { name: 'level', unit: 'cm', value: 125 }, 'wrong-unit', /expected m: divide by 100$/],
    ['inches', { name: 'level', unit: 'in', value: 49 }, 'wrong-unit', /expected m: multiply by 0.0254$/],
    ['feet', { name: 'level', unit: 'ft', value: 4 }, 'wrong-unit', /expected m: multiply by 0.3048$/],
    [
      'a short circuit',
      { name: 'resistance', unit: 'Ohm', value: 0.9994 },
      'out-of-range',
      /^"resistance" is 0.9994 Ohm; taken from 1 to 2000000 Ohm$/,
    ],
    ['an open circuit', { name: 'resistance', unit: 'Ohm', value: 2_000_000.001 }, 'out-of-range', /is 2000000.001 Ohm/],
    ['a level beyond any', { name: 'level', unit: 'm', value: 20.000001 }, 'out-of-range', /taken from -1 to 20 m$/],
    ['a level far below its zero', { name: 'level', unit: 'm', value: -1.000001 }, 'out-of-range', /is -1.000001 m/],
    ['a level of millions', { name: 'level', unit: 'm', value: 1e308 }, 'out-of-range', /is 1e\+308 m/],
    ['air drier than dry', { name: 'humidity', unit: '%RH', value: -0.1 }, 'out-of-range', /is -0.1 %RH/],
    ['a battery beyond batteries', { name: 'battery', unit: 'V', value: 3614 }, 'out-of-range', /taken from 0 to 100 V$/],
    ['a charge above full', { name: 'battery', unit: '%EL', value: 101 }, 'out-of-range', /taken from 0 to 100 %EL$/],
    ['a value that overflows in thousandths', { value: 1e308 }, 'out-of-range', /is 1e\+308 Cel/],
  ])('%s is refused', (_, fields, reason, detail) => {
    const only = refused(fields);
    expect(only.reason).toBe(reason);
    expect(only.detail).toMatch(detail);
  });
});

describe('when it was measured', () => {
  const arrivalS = ARRIVAL_MS / 1000;
  test.each<[string, number, Reading['basis'], number]>([
    ['no time', 0, 'arrival', ARRIVAL_MS],
    ['a time before now', -90.5, 'relative', ARRIVAL_MS - 90_500],
    ['a time ahead of now by rounding', 1, 'relative', ARRIVAL_MS + 1000],
    ['400 days back', -400 * DAY_S, 'relative', ARRIVAL_MS - 400 * DAY_S * 1000],
    ['its own time', arrivalS - 7.0004, 'own', ARRIVAL_MS - 7000],
    ['the start of 2015', Date.UTC(2015, 0, 1) / 1000, 'own', Date.UTC(2015, 0, 1)],
    ['its own time, five minutes ahead', arrivalS + 5 * MINUTE_S, 'own', ARRIVAL_MS + 5 * 60_000],
  ])('%s', (_, timeSeconds, basis, atMs) => {
    expect(taken({ timeSeconds })).toEqual({ quantity: 'temperature', atMs, basis, value: 12_500 });
  });

  test.each<[string, number, RegExp]>([
    [
      'a clock that was never set',
      946_684_800,
      /its own time is 2000-01-01T00:00:00.000Z, before 2015 \(it arrived at 2026-01-15T12:00:00.000Z\)/,
    ],
    ['the smallest absolute time', 2 ** 28, /its own time is 1978-07-04T21:24:16.000Z, before 2015/],
    [
      'a clock that is ahead',
      arrivalS + 300.001,
      /2026-01-15T12:05:00.001Z, more than 5 minutes ahead \(it arrived at 2026-01-15T12:00:00.000Z\)/,
    ],
    ['milliseconds for seconds', ARRIVAL_MS, /its own time is 1768478400000 s, beyond the year 2100 .*; times count in seconds$/],
    ['a time that overflows in milliseconds', 1e308, /1e\+308 s, beyond the year 2100/],
    [
      'a buffer older than any',
      -400 * DAY_S - 1,
      /is -34560001 s from now, more than 400 days back \(it arrived at 2026-01-15T12:00:00.000Z\)/,
    ],
    ['seconds since its start', 7200, /is 7200 s from now, ahead of its own arrival .*; without a clock leave "t" out$/],
    ['a relative time ahead by more than rounding', 1.001, /is 1.001 s from now, ahead of its own arrival/],
    ['a relative time that was ahead within the limit of clocks', 5 * MINUTE_S, /is 300 s from now, ahead of its own arrival/],
    ['a relative time that overflows', -1e308, /more than 400 days back/],
  ])('%s is refused', (_, timeSeconds, detail) => {
    const only = refused({ timeSeconds });
    expect(only.reason).toBe('time-out-of-range');
    expect(only.detail).toMatch(detail);
  });

  test('while our own clock is not trusted it does not bound a probe’s own time from above', () => {
    const ahead = arrivalS + 3 * 365 * DAY_S;
    expect(refused({ timeSeconds: ahead }).reason).toBe('time-out-of-range');
    expect(taken({ timeSeconds: ahead }, false)).toMatchObject({ atMs: ahead * 1000, basis: 'own' });
    for (const timeSeconds of [2 ** 28, ARRIVAL_MS, 7200, -400 * DAY_S - 1]) {
      expect(refused({ timeSeconds }, false).reason).toBe('time-out-of-range');
    }
  });
});

test('what is stored fits 32 bits with a sign, and comes back in its unit', () => {
  const limits: [name: string, unit: string, least: number, most: number][] = [
    ['temperature', 'Cel', -60, 150],
    ['resistance', 'Ohm', 1, 2_000_000],
    ['level', 'm', -1, 20],
  ];
  for (const [name, unit, min, max] of limits)
    fc.assert(
      fc.property(fc.double({ min, max, noNaN: true }), (value) => {
        const { quantity, value: stored } = taken({ name, unit, value });
        expect(stored).toBe(stored | 0);
        const parts = quantity === 'level' ? 1_000_000 : 1000;
        expect(Math.abs(inUnits(QUANTITIES.indexOf(quantity), stored) - value)).toBeLessThanOrEqual(0.5000001 / parts);
      }),
    );
  expect(() => inUnits(QUANTITIES.length, 1)).toThrow(RangeError);
});

describe('a pack', () => {
  test('keeps its good records beside bad ones', () => {
    const { readings, refused: bad } = readingsOf(
      [record({ value: 1 }), record({ value: -127 }), record({ name: 'humidity', unit: '%RH', value: 50 })],
      ARRIVAL_MS,
      true,
    );
    expect(readings.map(({ quantity, value }) => [quantity, value])).toEqual([
      ['temperature', 1000],
      ['humidity', 50_000],
    ]);
    expect(bad.map(({ reason }) => reason)).toEqual(['out-of-range']);
  });

  test('comes out in order of time; what was made at once keeps its order', () => {
    const times = [0, -30, -60, -30];
    const { readings } = readingsOf(
      times.map((timeSeconds, value) => record({ timeSeconds, value })),
      ARRIVAL_MS,
      true,
    );
    expect(readings.map(({ value }) => value)).toEqual([2000, 1000, 3000, 0]);
  });

  test('leaves one refusal for each reason, with the number of its like', () => {
    const { refused: list } = readingsOf(
      [
        record({ value: 200 }),
        record({ value: 300 }),
        record({ unit: 'K' }),
        record({ name: 'a:temperature', value: 200 }),
        ...Array.from({ length: 1000 }, (_, index) => record({ name: `x${index}` })),
      ],
      ARRIVAL_MS,
      true,
    );
    expect(list.map(({ detail }) => detail)).toEqual([
      '"temperature" is 200 Cel; taken from -60 to 150 Cel (and 2 more like it)',
      '"temperature" came with the unit "K"; expected Cel: subtract 273.15',
      expect.stringMatching(/^"x0" ends in no known quantity.* \(and 999 more like it\)$/),
    ]);
    expect(list.map(({ reason }) => reason)).toEqual(['out-of-range', 'wrong-unit', 'unknown-quantity']);
  });

  test.each([
    ['both sound', { value: 20 }],
    ['one of them not answering', { value: -127 }],
    ['one of them without a number', { value: null }],
  ])('of two sensors for one quantity, in either order, is taken from neither: %s', (_, fields) => {
    const pack = [
      record({ name: 'air:temperature', ...fields }),
      record({ name: 'joint:temperature', value: 7 }),
      record({ name: 'air:humidity', unit: '%RH', value: 50 }),
      record({ name: 'battery', unit: 'V', value: 3 }),
      record({ name: 'spare:battery', unit: '%EL', value: 90 }),
    ];
    for (const records of [pack, pack.toReversed()]) {
      const { readings, refused: list } = readingsOf(records, ARRIVAL_MS, true);
      expect(new Set(readings.map(({ quantity }) => quantity))).toEqual(
        new Set(['humidity', 'battery-volts', 'battery-percent']),
      );
      const ambiguous = list.find(({ reason }) => reason === 'ambiguous');
      expect(ambiguous?.detail).toMatch(
        /"(air|joint):temperature" and "(air|joint):temperature" are two sensors under one probe id/,
      );
    }
  });

  test('of one sensor may hold many of its readings', () => {
    const records = [0, -60, -120].map((timeSeconds) => record({ name: 'joint:temperature', timeSeconds }));
    expect(readingsOf(records, ARRIVAL_MS, true)).toMatchObject({ readings: { length: 3 }, refused: [] });
  });

  test('that was sent before brings only what names its own time', () => {
    const times = [0, -60, ARRIVAL_MS / 1000 - 60];
    const records = times.map((timeSeconds, value) => record({ timeSeconds, value }));
    expect(readingsOf(records, ARRIVAL_MS, true, false).readings).toHaveLength(3);
    const { readings, refused: list } = readingsOf(records, ARRIVAL_MS, true, true);
    expect(readings).toEqual([{ quantity: 'temperature', atMs: ARRIVAL_MS - 60_000, basis: 'own', value: 2000 }]);
    expect(list).toMatchObject([
      { reason: 'repeated', detail: expect.stringMatching(/send a fresh reading .* \(and 1 more like it\)$/) },
    ]);
  });

  test('every record is either taken, in whole milliseconds and thousandths, or refused', () => {
    const anyRecord = fc.record({
      name: fc.constantFrom('temperature', 'a:humidity', 'b/battery', 'pressure'),
      unit: fc.constantFrom('Cel', '%RH', 'V', '%EL', 'K', null),
      value: fc.option(
        fc.oneof(fc.double({ noNaN: true, noDefaultInfinity: true }), fc.double({ min: -100, max: 200, noNaN: true })),
      ),
      timeSeconds: fc.oneof(
        fc.double({ noNaN: true, noDefaultInfinity: true }),
        fc.double({ min: -500 * DAY_S, max: 600, noNaN: true }),
        fc.double({ min: 1.4e9, max: 1.8e9, noNaN: true }),
      ),
    });
    fc.assert(
      fc.property(anyRecord, fc.boolean(), (fields, clockTrusted) => {
        const { readings, refused: bad } = readingsOf([record(fields)], ARRIVAL_MS, clockTrusted);
        expect(readings.length + bad.length).toBe(1);
        for (const { atMs, value } of readings)
          expect([Number.isSafeInteger(atMs), Number.isSafeInteger(value)]).toEqual([true, true]);
      }),
    );
  });
});

test('a missed sample sent as null costs its batch nothing but itself', () => {
  const pack = resolveSenml(
    '[{"bn":"p:","bt":1768478400,"bu":"Cel","n":"temperature","v":7},{"n":"temperature","t":60,"v":null},{"n":"temperature","t":120,"v":8}]',
  );
  if (!pack.ok) throw new Error(pack.detail);
  const { readings, refused } = readingsOf(pack.records, ARRIVAL_MS, true);
  expect(readings.map(({ atMs, value }) => [atMs, value])).toEqual([
    [1_768_478_400_000, 7_000],
    [1_768_478_520_000, 8_000],
  ]);
  expect(refused).toEqual([{ reason: 'malformed', detail: '"p:temperature" holds no number; send its value in "v"' }]);
});
