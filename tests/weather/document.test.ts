import { describe, expect, test } from 'vitest';
import { Statement } from '../../edge/site/entries.ts';
import { DOCUMENT_BYTES_MOST, forecastFrom } from '../../edge/weather/document.ts';
import { isNoNews, ROWS_MOST } from '../../edge/weather/hours.ts';
import { REJECTED_KEPT } from '../../edge/weather/rejections.ts';
import { UnusableForecast } from '../../edge/weather/unusable.ts';

const HOUR_MS = 3_600_000;
const START_MS = Date.parse('2026-01-15T18:00:00Z');
const at = (hours: number) => new Date(START_MS + hours * HOUR_MS).toISOString();

/** What a document is refused with. */
function refusalOf(text: string, kind: 'csv' | 'json'): UnusableForecast {
  try {
    forecastFrom(text, kind, 'a.csv');
  } catch (fault) {
    if (fault instanceof UnusableForecast) return fault;
    throw fault;
  }
  return expect.fail('it was taken');
}

describe('a forecast as CSV', () => {
  test('is read in degrees Celsius with humidity, and its source is its name', () => {
    const text = 'time,celsius,humidity\n2026-01-15T12:00:00-06:00,1.5,80\n2026-01-15 13:00:00-06:00,-0.25,\n';
    expect(forecastFrom(text, 'csv', ' tonight.csv ')).toEqual({
      hours: [
        { at: at(0), celsius: 1.5, humidity: 80 },
        { at: at(1), celsius: -0.25 },
      ],
      source: 'tonight.csv',
      rejected: [],
      rejectedTotal: 0,
    });
  });

  test('is read in degrees Fahrenheit, with semicolons, a byte order mark and columns in any order', () => {
    const text = `\uFEFFHumidity;Fahrenheit;Time\r\n50;50;${at(0)}\r\n60;32;${at(1)}\r\n`;
    const { hours } = forecastFrom(text, 'csv', 'a.csv');
    expect(hours).toEqual([
      { at: at(0), celsius: 10, humidity: 50 },
      { at: at(1), celsius: 0, humidity: 60 },
    ]);
  });

  test('loses its bad rows and keeps its good ones; every bad one is named by its line', () => {
    const text = [
      'time,celsius,humidity',
      `${at(0)},5,50`,
      `${at(1)},warm,50`,
      '2026-01-15T20:00:00,5,50',
      `${at(2)},61,50`,
      `${at(3)},4,dry`,
      `${at(2)},4,50`,
      `${at(3)},4,50`,
      `${at(4)},4`,
      `${at(5)},3,100.4`,
    ].join('\n');
    const { hours, rejected } = forecastFrom(text, 'csv', 'a.csv');
    expect(hours).toEqual([
      { at: at(0), celsius: 5, humidity: 50 },
      { at: at(3), celsius: 4 },
      { at: at(5), celsius: 3, humidity: 100 },
    ]);
    expect(rejected.map(({ line }) => line)).toEqual([3, 4, 5, 6, 7, 8, 9]);
    expect(rejected.map(({ reason }) => reason)).toEqual([
      'celsius "warm" is not a number',
      expect.stringMatching(/has no offset/),
      '61 °C lies outside −60 … 60 °C',
      'humidity "dry" is not a number; the temperature counts without it',
      'its time is not after that of line 6',
      'its time is not after that of line 6',
      'fields: 2, where the first line has 3',
    ]);
  });

  test('of every ten minutes is thinned to full hours, but only when there is too much of it', () => {
    const rows = (count: number) =>
      Array.from({ length: count }, (_, index) => `${at(index / 6)},${index / 10}`).map((row) => `${row}\n`);
    const whole = forecastFrom(`time,celsius\n${rows(240).join('')}`, 'csv', 'a.csv');
    expect(whole.hours).toHaveLength(240);
    const thinned = forecastFrom(`time,celsius\n${rows(241).join('')}`, 'csv', 'a.csv');
    expect(thinned.hours).toEqual(Array.from({ length: 41 }, (_, hour) => ({ at: at(hour), celsius: (hour * 6) / 10 })));
    expect(thinned.rejected).toEqual([]);
  });

  test('beyond ten days of hours is cut, and the line is named', () => {
    const text = `time,celsius\n${Array.from({ length: 250 }, (_, hour) => `${at(hour)},5\n`).join('')}`;
    const { hours, rejected } = forecastFrom(text, 'csv', 'a.csv');
    expect(hours).toHaveLength(240);
    expect(hours.at(-1)?.at).toBe(at(239));
    expect(rejected).toEqual([{ line: 242, reason: 'a forecast holds 240 hours; this one and those after it are left out' }]);
    expect(Statement.safeParse({ kind: 'forecast.given', hours, source: 'a.csv' }).success).toBe(true);
  });

  test.each([
    ['', /at least two hours/],
    ['time,celsius\n', /at least two hours/],
    [`time,celsius\n${at(0)},5\n`, /at least two hours/],
    ['when,celsius\n', /unknown column "when"/],
    [`time,celsius,fahrenheit\n${at(0)},5,41\n`, /both "celsius" and "fahrenheit"/],
    ['time,celsius\n"2026', /cannot be read as CSV/],
  ])('%j is refused in plain words', (text, complaint) => {
    expect(refusalOf(text, 'csv')).toMatchObject({ code: 'bad-entry', message: expect.stringMatching(complaint) });
  });

  test('of which nothing can be used is refused with its first bad lines', () => {
    const text = `time,celsius\n${Array.from({ length: 8 }, () => 'noon,5\n').join('')}`;
    const { message, faults } = refusalOf(text, 'csv');
    expect(message).toMatch(/line 2: time "noon".*line 6: .*\(and 3 more\)$/);
    expect(faults.map(({ path }) => path)).toEqual(['line 2', 'line 3', 'line 4', 'line 5', 'line 6']);
  });
});

describe('a forecast as JSON', () => {
  test('holds hours in either unit and may name its source', () => {
    const hours = [
      { at: at(0), celsius: 5, humidity: 70 },
      { at: at(1), fahrenheit: 41, humidity: null },
    ];
    expect(forecastFrom(JSON.stringify({ hours, source: 'Weather desk' }), 'json', 'POST')).toEqual({
      hours: [
        { at: at(0), celsius: 5, humidity: 70 },
        { at: at(1), celsius: 5 },
      ],
      source: 'Weather desk',
      rejected: [],
      rejectedTotal: 0,
    });
    expect(forecastFrom(JSON.stringify({ hours }), 'json', 'POST').source).toBe('POST');
  });

  test('names its bad hours by their place in the list', () => {
    const hours = [
      { at: at(0), celsius: 5 },
      { at: at(1), celsius: '5' },
      { at: at(2), celsius: 5, fahrenheit: 41 },
      { at: at(3) },
      { at: 1_768_500_000, celsius: 5 },
      { at: at(4), celsius: 5, wind: 3 },
      'mild',
      { at: at(5), celsius: 4 },
    ];
    const { hours: kept, rejected } = forecastFrom(JSON.stringify({ hours }), 'json', 'POST');
    expect(kept.map((hour) => hour.at)).toEqual([at(0), at(5)]);
    expect(rejected.map(({ line, reason }) => `${line} ${reason}`)).toEqual([
      '2 celsius: must be a number',
      '3 name either celsius or fahrenheit',
      '4 name either celsius or fahrenheit',
      '5 at: must be a time as text',
      expect.stringMatching(/^6 .*"wind"/),
      expect.stringMatching(/^7 /),
    ]);
  });

  test.each([
    ['{"hours":', /not JSON/],
    ['[]', /a forecast is \{"hours"/],
    ['{"hours":{}}', /hours: must be a list/],
    ['{"hours":[],"unit":"F"}', /"unit"/],
    ['{"hours":[]}', /at least two hours/],
  ])('%j is refused in plain words', (text, complaint) => {
    expect(refusalOf(text, 'json')).toMatchObject({ code: 'bad-entry', message: expect.stringMatching(complaint) });
  });

  test('nested a million deep is refused, not a crash', () => {
    expect(refusalOf('['.repeat(1_000_000), 'json').code).toBe('bad-entry');
  });

  test('of more than 1 MiB is too large', () => {
    expect(refusalOf(' '.repeat(DOCUMENT_BYTES_MOST + 1), 'json').code).toBe('too-large');
    expect(refusalOf(' '.repeat(DOCUMENT_BYTES_MOST), 'json').code).toBe('bad-entry');
  });

  test('has a source that can stand in an entry, whatever it was', () => {
    const hours = [0, 1].map((hour) => ({ at: at(hour), celsius: 5 }));
    for (const source of ['', '   ', 'x'.repeat(500), `${'x'.repeat(119)}😀`, '\ud800']) {
      const forecast = forecastFrom(JSON.stringify({ hours, source }), 'json', 'POST');
      expect(Statement.safeParse({ kind: 'forecast.given', hours, source: forecast.source }).success, source).toBe(true);
    }
  });
});

describe('a document that is bad throughout', () => {
  /** Ample for 10,000 rows on a busy machine; a judgement of 1 MiB of them took seconds. */
  const SHORT_MS = 1_000;
  const good = `${at(0)},5\n${at(1)},5\n`;

  test('is refused before its rows are judged where it has more than are taken', () => {
    const many = ROWS_MOST + 1;
    const documents = [
      ['csv', `time,celsius\n${'x,1\n'.repeat(many)}`],
      ['csv', `time,celsius\n${'x,1\n'.repeat(DOCUMENT_BYTES_MOST / 4 - 10)}`],
      ['json', JSON.stringify({ hours: Array.from({ length: many }, () => 1) })],
      ['json', JSON.stringify({ hours: Array.from({ length: DOCUMENT_BYTES_MOST / 3 - 10 }, () => ({})) })],
    ] as const;
    for (const [kind, text] of documents) {
      const fromMs = performance.now();
      expect(refusalOf(text, kind)).toMatchObject({ code: 'too-large', message: 'a forecast has at most 10000 rows' });
      expect(performance.now() - fromMs).toBeLessThan(SHORT_MS);
    }
  });

  test('with as many rows as are taken is judged at once, and its bad ones are counted, the first of them by name', () => {
    const csv = forecastFrom(`time,celsius\n${good}${'x,1\n'.repeat(ROWS_MOST - 2)}`, 'csv', 'a.csv');
    expect(csv.hours).toHaveLength(2);
    expect(csv.rejected).toHaveLength(REJECTED_KEPT);
    expect([csv.rejected.at(0)?.line, csv.rejected.at(-1)?.line, csv.rejectedTotal]).toEqual([4, 103, ROWS_MOST - 2]);

    const bad = JSON.stringify({
      hours: Array.from({ length: ROWS_MOST }, (_, index) => [{}, 7, { at: 'noon' }, []][index % 4]),
    });
    const fromMs = performance.now();
    const { code, message, faults } = refusalOf(bad, 'json');
    expect(performance.now() - fromMs).toBeLessThan(SHORT_MS);
    expect([code, faults.length]).toEqual(['bad-entry', 5]);
    expect(message).toMatch(/\(and 9995 more\)$/);
  });

  test('repeats little of what it calls its columns and fields', () => {
    expect(refusalOf(`${'colour,'.repeat(9_000)}time\n`, 'csv').message.length).toBeLessThan(400);
    expect(refusalOf(JSON.stringify({ hours: [], ['x'.repeat(100_000)]: 1 }), 'json').message.length).toBeLessThan(400);
  });

  test.each([
    ['no JSON', 'SECRET'],
    ['another field', '{"hours":[],"SECRET":1}'],
    ['hours of another kind', '{"hours":["SECRET",{"SECRET":1}]}'],
    ['times and numbers that are none', `{"hours":[{"at":"SECRET","celsius":1},{"at":"${at(0)}","celsius":123456789}]}`],
    ['a time without an offset', '{"hours":[{"at":"2031-01-15T18:00:00","celsius":1}]}'],
  ])('with %s is told plainly too, without a word of it', (_, text) => {
    const { message, plain } = refusalOf(text, 'json');
    expect(message).toMatch(/SECRET|123456789|2031/);
    expect(plain).not.toMatch(/SECRET|123456789|2031/);
  });
});

test('is no news where each of its hours is known just so', () => {
  const hours = [0, 1, 2].map((hour) => ({ at: at(hour), celsius: hour, humidity: 50 }));
  expect(isNoNews(hours, hours)).toBe(true);
  expect(isNoNews(hours.slice(1), hours)).toBe(true);
  expect(isNoNews(hours, hours.slice(1))).toBe(false);
  expect(isNoNews([{ at: at(1), celsius: 1.1, humidity: 50 }], hours)).toBe(false);
  expect(isNoNews([{ at: at(1), celsius: 1 }], hours)).toBe(false);
});
