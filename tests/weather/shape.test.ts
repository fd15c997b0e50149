import { describe, expect, test } from 'vitest';
import { CodedError } from '../../edge/errors.ts';
import { ForecastShape, shapedForecast } from '../../edge/weather/shape.ts';

const shape = (given: object) => ForecastShape.parse(given);
const read = (given: object, document: unknown) => shapedForecast(shape(given), JSON.stringify(document), 'weather.example');
const complaintOf = (given: object, document: unknown) => {
  try {
    read(given, document);
  } catch (fault) {
    if (fault instanceof CodedError) return fault.message;
    throw fault;
  }
  return null;
};
const times = ['2026-01-15T18:00:00Z', '2026-01-15T19:00:00Z'];
const at = times.map((time) => new Date(time).toISOString());

describe('a shape', () => {
  test('leads through rows, to names with slashes and tildes (RFC 6901)', () => {
    const document = {
      'the/list': [
        { time: times[0], values: { 'air~temp': 5, rh: [80] } },
        { time: times[1], values: { 'air~temp': '4.5', rh: [] } },
      ],
    };
    const pointers = { rows: '/the~1list', time: '/time', celsius: '/values/air~0temp', humidity: '/values/rh/0' };
    expect(read(pointers, document)).toEqual({
      hours: [
        { at: at[0], celsius: 5, humidity: 80 },
        { at: at[1], celsius: 4.5 },
      ],
      source: 'weather.example',
      rejected: [],
      rejectedTotal: 0,
    });
  });

  test('leads to lists of equal length, with Unix seconds and degrees Fahrenheit', () => {
    const document = { hourly: { time: times.map((time) => Date.parse(time) / 1000), t2m: [50, 41], rh: [90, null] } };
    const pointers = { time: '/hourly/time', fahrenheit: '/hourly/t2m', humidity: '/hourly/rh' };
    expect(read(pointers, document).hours).toEqual([
      { at: at[0], celsius: 10, humidity: 90 },
      { at: at[1], celsius: 5 },
    ]);
  });

  test('may begin with the document itself', () => {
    const rows = times.map((time) => [time, 5]);
    expect(read({ rows: '', time: '/0', celsius: '/1' }, rows).hours).toHaveLength(2);
  });

  test('names the hours that it cannot use, and keeps the others', () => {
    const rows = [
      { t: times[0], c: 5 },
      { t: '2026-01-15T18:30', c: 5 },
      { t: 1_768_503_600_000, c: 5 },
      { t: times[1], c: null },
      { c: 5 },
      { t: times[1], c: true },
      7,
      { t: times[1], c: 4 },
    ];
    const { hours, rejected } = read({ rows: '/rows', time: '/t', celsius: '/c' }, { rows });
    expect(hours.map(({ celsius }) => celsius)).toEqual([5, 4]);
    expect(rejected.map(({ line }) => line)).toEqual([2, 3, 4, 5, 6, 7]);
    expect(rejected.map(({ reason }) => reason).slice(0, 3)).toEqual([
      expect.stringMatching(/no offset/),
      expect.stringMatching(/"1768503600000" is not ISO 8601/),
      'celsius "" is not a number',
    ]);
  });

  test.each([
    [{ rows: '/nothing', time: '/t', celsius: '/c' }, {}, /no list at \/nothing/],
    [{ rows: '', time: '/t', celsius: '/c' }, {}, /no list at the top/],
    [{ time: '/t', celsius: '/c' }, { t: times, c: [5] }, /\/c holds 1 values, \/t 2/],
    [{ time: '/t', celsius: '/c', humidity: '/h' }, { t: times, c: [5, 4], h: [1, 2, 3] }, /\/h holds 3 values/],
    [{ time: '/t', celsius: '/constructor' }, { t: times }, /no list at \/constructor/],
    [{ time: '/t', celsius: '/__proto__' }, { t: times }, /no list at \/__proto__/],
    [{ rows: '/t', time: '/a/b/c', celsius: '/map' }, { t: [[], []] }, /at least two hours/],
  ])('%j that does not fit says what is missing', (pointers, document, complaint) => {
    expect(complaintOf(pointers, document)).toMatch(complaint);
  });

  test('refuses more hours than are taken before it looks at any, however many there are', () => {
    const many = Array.from({ length: 1_000_000 }, () => 1);
    const fromMs = performance.now();
    expect(complaintOf({ rows: '/h', time: '/t', celsius: '/c' }, { h: many })).toMatch(/at most 10000 rows/);
    expect(complaintOf({ time: '/h', celsius: '/h' }, { h: many })).toMatch(/at most 10000 rows/);
    // Ample on a busy machine; judging each of them took many seconds.
    expect(performance.now() - fromMs).toBeLessThan(3_000);
  });

  test('takes an answer that is no JSON for what it is', () => {
    expect(() => shapedForecast(shape({ time: '/t', celsius: '/c' }), '<html>', 'x')).toThrow(/it is not JSON/);
  });

  test.each([
    [{ celsius: '/c' }],
    [{ time: '/t' }],
    [{ time: '/t', celsius: '/c', fahrenheit: '/f' }],
    [{ time: 't', celsius: '/c' }],
    [{ time: '/t~2', celsius: '/c' }],
    [{ time: '/t', celsius: '/c', kelvin: '/k' }],
  ])('%j is none', (given) => {
    expect(ForecastShape.safeParse(given).success).toBe(false);
  });
});
