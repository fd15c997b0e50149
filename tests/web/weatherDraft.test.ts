import { describe, expect, test } from 'vitest';
import { dayDistance } from '../../web/pages/weather/days.ts';
import { type DayDraft, emptyDays, hoursOf, oneMore, readDays } from '../../web/pages/weather/weatherDraft.ts';

const ZONE = 'America/New_York';
const HOUR_MS = 3_600_000;
/** 13:00 on the site's clock. */
const AFTERNOON_MS = Date.UTC(2026, 0, 15, 18, 0);
const words = { number: 'number', time: 'time', passed: 'passed', above: 'above', order: 'order', range: 'range' };

const read = (days: readonly DayDraft[], unit: 'C' | 'F' = 'F', nowMs = AFTERNOON_MS) =>
  readDays(days, { nowMs, zone: ZONE, unit, words });
const day = (changes: Partial<DayDraft> = {}): DayDraft => ({
  day: '2026-01-16',
  low: '28',
  lowAt: '06:00',
  high: '41',
  highAt: '15:00',
  isHighOnly: false,
  ...changes,
});

describe('which days are asked for', () => {
  const asked = (nowMs: number) => emptyDays(nowMs, ZONE).map(({ day: name, isHighOnly }) => [name, isHighOnly]);

  test('in the afternoon tomorrow’s low and high, at six and three on the site’s clock', () => {
    expect(emptyDays(AFTERNOON_MS + HOUR_MS, ZONE)).toEqual([
      { day: '2026-01-16', low: '', lowAt: '06:00', high: '', highAt: '15:00', isHighOnly: false },
    ]);
    expect(dayDistance('2026-01-16', AFTERNOON_MS, ZONE)).toBe('tomorrow');
  });

  test('from six until two today’s high alone comes first, if somebody knows it', () => {
    expect(asked(Date.UTC(2026, 0, 15, 11))).toEqual([
      ['2026-01-15', true],
      ['2026-01-16', false],
    ]);
    expect(asked(AFTERNOON_MS)).toEqual([
      ['2026-01-15', true],
      ['2026-01-16', false],
    ]);
    expect(asked(Date.UTC(2026, 0, 15, 10, 59))).toEqual([['2026-01-15', false]]);
  });

  test('in the small hours this morning’s', () => {
    const nightMs = Date.UTC(2026, 0, 15, 8, 0);
    expect(emptyDays(nightMs, ZONE)[0]?.day).toBe('2026-01-15');
    expect(dayDistance('2026-01-15', nightMs, ZONE)).toBe('today');
  });

  test('one more follows the last, over the end of a month too', () => {
    expect(oneMore([day({ day: '2026-01-31' })], ZONE).map((each) => each.day)).toEqual(['2026-01-31', '2026-02-01']);
  });
});

describe('what was typed', () => {
  test('becomes a low and a high at their instants, °F to m°C', () => {
    const { extremes, faults } = read([day()]);
    expect(faults).toEqual([]);
    expect(extremes).toEqual([
      { kind: 'low', atMs: Date.UTC(2026, 0, 16, 11), milliC: -2222 },
      { kind: 'high', atMs: Date.UTC(2026, 0, 16, 20), milliC: 5000 },
    ]);
  });

  test('in °C it is taken as it stands, with a comma and with the minus of print', () => {
    expect(read([day({ low: '−2,5', high: '4.5' })], 'C').extremes.map(({ milliC }) => milliC)).toEqual([-2500, 4500]);
  });

  test.each([
    ['no number', { low: 'cold' }, [{ path: 'days.0.low', message: 'number' }]],
    ['nothing', { high: '' }, [{ path: 'days.0.high', message: 'number' }]],
    ['no temperature of any air', { high: '180' }, [{ path: 'days.0.high', message: 'range' }]],
    ['the high below the low', { low: '50' }, [{ path: 'days.0.high', message: 'above' }]],
    ['the high before the low', { highAt: '05:00' }, [{ path: 'days.0.highAt', message: 'order' }]],
    ['no time', { lowAt: '' }, [{ path: 'days.0.lowAt', message: 'time' }]],
    ['a low that has passed', { day: '2026-01-15' }, [{ path: 'days.0.lowAt', message: 'passed' }]],
  ])('%s is said beside its field', (_, changes, faults) => {
    expect(read([day(changes)]).faults).toEqual(faults);
  });

  test('today’s high may be left out; told, it comes before the next low', () => {
    const today = (high: string, highAt = '15:00') => day({ day: '2026-01-15', low: '', high, highAt, isHighOnly: true });
    expect(read([today(''), day()])).toEqual(read([day()]));
    const told = read([today('39'), day()]);
    expect(told.faults).toEqual([]);
    expect(told.extremes.map(({ kind, atMs }) => [kind, atMs])).toEqual([
      ['high', Date.UTC(2026, 0, 15, 20)],
      ['low', Date.UTC(2026, 0, 16, 11)],
      ['high', Date.UTC(2026, 0, 16, 20)],
    ]);
    expect(read([today('39', '12:00'), day()]).faults).toEqual([{ path: 'days.0.highAt', message: 'passed' }]);
    const course = hoursOf(told.extremes, { nowMs: AFTERNOON_MS, nowCelsius: 2, zone: ZONE });
    expect(course.problem).toBeNull();
    expect(course.hours.find(({ at }) => at === Date.UTC(2026, 0, 15, 20))?.celsius).toBeCloseTo(3.889, 3);
  });

  test('a time that a spring night leaves out is none', () => {
    const night = Date.UTC(2026, 2, 7, 18, 0);
    expect(read([day({ day: '2026-03-08', lowAt: '02:30' })], 'F', night).faults).toEqual([
      { path: 'days.0.lowAt', message: 'time' },
    ]);
  });
});

describe('hour by hour', () => {
  const { extremes } = read([day(), day({ day: '2026-01-17', low: '32', high: '50' })]);
  const { hours, problem } = hoursOf(extremes, { nowMs: AFTERNOON_MS, nowCelsius: 3, zone: ZONE });
  const at = (ms: number) => hours.find((hour) => hour.at === ms)?.celsius;

  test('it begins at what is measured, meets each low and high, and ends with the last day', () => {
    expect(problem).toBeNull();
    expect(at(AFTERNOON_MS)).toBe(3);
    expect(at(Date.UTC(2026, 0, 16, 11))).toBeCloseTo(-2.222, 3);
    expect(at(Date.UTC(2026, 0, 16, 20))).toBe(5);
    expect(at(Date.UTC(2026, 0, 17, 11))).toBe(0);
    expect(at(Date.UTC(2026, 0, 17, 20))).toBe(10);
    // Midnight on the site's clock.
    expect(hours.at(-1)?.at).toBe(Date.UTC(2026, 0, 18, 5));
    expect(hours.every((hour, index) => index === 0 || hour.at - (hours[index - 1]?.at ?? 0) === HOUR_MS)).toBe(true);
  });

  test('a low between two hours stands at its own time, as cold as it was told', () => {
    const odd = read([day({ lowAt: '05:40' })]);
    const course = hoursOf(odd.extremes, { nowMs: AFTERNOON_MS, nowCelsius: 3, zone: ZONE });
    const coldest = course.hours.reduce((cold, hour) => (hour.celsius < cold.celsius ? hour : cold));
    expect(coldest).toEqual({ at: Date.UTC(2026, 0, 16, 10, 40), celsius: -2.222 });
    expect(course.hours.map(({ at: ms }) => ms)).toEqual(course.hours.map(({ at: ms }) => ms).toSorted((a, b) => a - b));
  });

  test('no weather is told in the words of the model, and there is no curve', () => {
    const cold = extremes.map((extreme, index) => (index === 2 ? { ...extreme, milliC: 9000 } : extreme));
    const told = hoursOf(cold, { nowMs: AFTERNOON_MS, nowCelsius: 3, zone: ZONE });
    expect(told).toEqual({ hours: [], problem: 'the low is above the high before it' });
  });
});
