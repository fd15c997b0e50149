import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { diurnal, type Extreme } from '../../../edge/cure/outlook/diurnal.ts';

const HOUR_MS = 3_600_000;
const low = (hour: number, celsius: number): Extreme => ({ kind: 'low', atMs: hour * HOUR_MS, milliC: celsius * 1000 });
const high = (hour: number, celsius: number): Extreme => ({ kind: 'high', atMs: hour * HOUR_MS, milliC: celsius * 1000 });

/** °C by hour. */
function hours(extremes: readonly Extreme[], from: number, until: number, nowCelsius: number | null = null) {
  const nowMilliC = nowCelsius === null ? null : nowCelsius * 1000;
  const shape = diurnal({ nowMs: from * HOUR_MS, nowMilliC, extremes, untilMs: until * HOUR_MS });
  return new Map(shape.map(({ atMs, milliC }) => [atMs / HOUR_MS, milliC / 1000]));
}

describe('the published shape', () => {
  // [P] Parton & Logan 1981, air at 150 cm: α 1.86, β 2.20, γ −0.17; written out here from the paper's two formulas, a day of 12 h
  // with sunrise at 6, so that the low comes at 5.83 and the high Y/2 + α = 7.86 h after it.
  const sunrise = 6;
  const day = 12;
  const lowHour = sunrise - 0.17;
  const highHour = lowHour + day / 2 + 1.86;
  const [tMin, tMax] = [3, 14];
  const shape = hours([low(lowHour, tMin), high(highHour, tMax)], 6, 6 + 24);
  const byDay = (hour: number) => (tMax - tMin) * Math.sin((Math.PI * (hour - lowHour)) / (day + 2 * 1.86)) + tMin;

  test('by day is their sine', () => {
    for (let hour = 6; hour <= 18; hour++) expect(shape.get(hour)).toBeCloseTo(byDay(hour), 2);
    expect(Math.max(...shape.values())).toBeGreaterThan(13.9);
  });

  test('by night is their exponential, but for the ninth that it would miss the low by', () => {
    const sunset = sunrise + day;
    const z = 24 + lowHour - sunset;
    for (let hour = 18; hour <= 29; hour++) {
      const theirs = tMin + (byDay(sunset) - tMin) * Math.exp((-2.2 * (hour - sunset)) / z);
      expect(shape.get(hour) ?? Number.NaN).toBeLessThan(theirs + 0.001);
      expect(theirs - (shape.get(hour) ?? Number.NaN)).toBeLessThan((byDay(sunset) - tMin) * Math.exp(-2.2));
    }
    const rate = Math.log(((shape.get(20) ?? 0) - (shape.get(22) ?? 0)) / ((shape.get(22) ?? 0) - (shape.get(24) ?? 0))) / 2;
    expect(rate).toBeCloseTo(2.2 / z, 3);
  });
});

describe('through what the forecast says', () => {
  const week = [low(6, 2), high(15, 9), low(30, -3), high(38, 4), low(55, 1), high(63, 6)];

  test('meets every low and high, and goes beyond none', () => {
    const shape = hours(week, 6, 63);
    for (const { atMs, milliC } of week) expect(shape.get(atMs / HOUR_MS)).toBe(milliC / 1000);
    week.slice(1).forEach((to, index) => {
      const from = week[index] as Extreme;
      for (let hour = from.atMs / HOUR_MS; hour <= to.atMs / HOUR_MS; hour++) {
        expect(shape.get(hour) ?? Number.NaN).toBeGreaterThanOrEqual(Math.min(from.milliC, to.milliC) / 1000);
        expect(shape.get(hour) ?? Number.NaN).toBeLessThanOrEqual(Math.max(from.milliC, to.milliC) / 1000);
      }
    });
  });

  test('rises from a low to the high and falls from there to the next low, whatever the numbers', () => {
    const days = fc.array(
      fc.record({
        night: fc.integer({ min: 1, max: 16 }),
        day: fc.integer({ min: 1, max: 12 }),
        least: fc.integer({ min: -200, max: 200 }),
        swing: fc.integer({ min: 0, max: 200 }),
      }),
      { minLength: 1, maxLength: 5 },
    );
    fc.assert(
      fc.property(days, (drawn) => {
        let hour = 0;
        const extremes = drawn.flatMap(({ night, day, least, swing }, index) => {
          const atLow = hour + night;
          hour = atLow + day;
          const atMost = Math.min(least, ...drawn.slice(index - 1, index).map((before) => before.least + before.swing));
          return [low(atLow, atMost / 10), high(hour, (least + swing) / 10)];
        });
        const first = (extremes[0] as Extreme).atMs / HOUR_MS;
        const shape = hours(extremes, first, hour);
        extremes.slice(1).forEach((to, index) => {
          const sign = to.kind === 'high' ? 1 : -1;
          for (let at = (extremes[index] as Extreme).atMs / HOUR_MS; at < to.atMs / HOUR_MS; at++)
            expect(sign * ((shape.get(at + 1) ?? Number.NaN) - (shape.get(at) ?? Number.NaN))).toBeGreaterThanOrEqual(0);
          expect(shape.get(to.atMs / HOUR_MS)).toBe(to.milliC / 1000);
        });
      }),
    );
  });

  test('comes down to a low without a jump, also when it follows soon after a late high', () => {
    const shape = hours([low(6, 2), high(17, 12), low(20.01, 4), high(30, 9)], 6, 30);
    expect(Math.abs((shape.get(20) ?? Number.NaN) - 4)).toBeLessThan(0.1);
  });

  test('after the last high the last day comes again', () => {
    const shape = hours(week, 6, 63 + 72);
    for (let hour = 55; hour <= 63; hour++)
      for (const later of [24, 48]) expect(shape.get(hour + later)).toBeCloseTo(shape.get(hour) as number, 2);
    expect(shape.get(79)).toBe(1);
    expect(Math.max(...[...shape].filter(([hour]) => hour > 63).map(([, celsius]) => celsius))).toBe(6);
  });

  test('whole hours, from the one that has begun to the end', () => {
    const shape = diurnal({ nowMs: 10.7 * HOUR_MS, nowMilliC: null, extremes: week, untilMs: 20.5 * HOUR_MS });
    expect(shape.map(({ atMs }) => atMs / HOUR_MS)).toEqual([10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20]);
    expect(shape.every(({ milliC }) => Number.isInteger(milliC))).toBe(true);
  });
});

describe('before the first low', () => {
  const tomorrow = [low(30, 1), high(39, 8)];

  test('in the afternoon it goes on from what is measured to the low, without a jump', () => {
    const shape = hours(tomorrow, 14, 39, 10);
    expect(shape.get(14)).toBe(10);
    expect(shape.get(15) ?? 0).toBeGreaterThan(10);
    expect(shape.get(30)).toBe(1);
    for (let hour = 15; hour < 30; hour++) {
      const fall = (shape.get(hour) ?? Number.NaN) - (shape.get(hour + 1) ?? Number.NaN);
      expect(fall).toBeGreaterThanOrEqual(0);
      expect(fall).toBeLessThan(2);
    }
  });

  test('in the morning it still rises as tomorrow will', () => {
    const shape = hours(tomorrow, 8, 39, 3);
    const swing = (from: number, to: number) => (shape.get(to) ?? Number.NaN) - (shape.get(from) ?? Number.NaN);
    expect(swing(8, 15)).toBeCloseTo(swing(32, 39), 2);
  });

  test('at night it falls at once, as fast as the night has it', () => {
    const shape = hours(tomorrow, 24, 39, 5);
    expect(shape.get(24)).toBe(5);
    expect(shape.get(30)).toBe(1);
    const whole = hours(tomorrow, 14, 39, 10);
    const left = (of: Map<number, number>) => ((of.get(26) ?? 0) - 1) / ((of.get(24) ?? 0) - 1);
    expect(left(shape)).toBeCloseTo(left(whole), 3);
  });

  test('colder than the low already, it rises to it and never goes below where it is', () => {
    for (const now of [14, 20, 29]) {
      const shape = hours(tomorrow, now, 30, -4);
      expect(shape.get(now)).toBe(-4);
      expect(Math.min(...shape.values())).toBe(-4);
      expect(shape.get(30)).toBe(1);
    }
  });

  test('one minute before the low nothing runs wild', () => {
    const shape = diurnal({
      nowMs: 30 * HOUR_MS - 60_000,
      nowMilliC: 2500,
      extremes: tomorrow,
      untilMs: 31 * HOUR_MS,
    });
    expect(shape.map(({ milliC }) => milliC / 1000)).toEqual([2.5, 1, expect.closeTo(2.22, 1)]);
  });

  test('with nothing measured tomorrow is taken for today', () => {
    const shape = hours(tomorrow, 8, 39);
    for (let hour = 8; hour <= 15; hour++) expect(shape.get(hour)).toBeCloseTo(shape.get(hour + 24) as number, 3);
  });

  test('more than a day ahead, what is measured now no longer says anything', () => {
    const far = [low(80, 1), high(89, 8)];
    expect(hours(far, 14, 89, 30).get(70)).toBe(hours(far, 14, 89).get(70));
  });

  test('a high may come first: straight up to it from what is measured', () => {
    const shape = hours([high(15, 12), low(30, 4), high(39, 11)], 9, 39, 6);
    expect(shape.get(9)).toBe(6);
    expect(shape.get(15)).toBe(12);
    expect(shape.get(30)).toBe(4);
    for (let hour = 9; hour < 15; hour++) expect(shape.get(hour + 1) ?? 0).toBeGreaterThan(shape.get(hour) ?? 99);
    const late = diurnal({
      nowMs: 15 * HOUR_MS - 1,
      nowMilliC: 6000,
      extremes: [high(15, 12), low(30, 4), high(39, 11)],
      untilMs: 16 * HOUR_MS,
    });
    expect(late.every(({ milliC }) => Number.isInteger(milliC))).toBe(true);
  });
});

describe('what is no weather is refused in plain words', () => {
  test.each([
    ['nothing', [], 'a low and a high after it are needed'],
    ['a low alone', [low(6, 1)], 'a low and a high after it are needed'],
    ['a high and then a low', [high(6, 5), low(15, 1)], 'a low and a high after it are needed'],
    ['a low above the high after it', [low(6, 5), high(15, 4)], 'the low is above the high after it'],
    ['a low above the high before it', [low(6, 1), high(15, 4), low(30, 5), high(39, 9)], 'the low is above the high before it'],
    ['two lows', [low(6, 1), low(8, 2), high(15, 4)], 'there are two lows with nothing between them'],
    ['a high before its low', [low(16, 1), high(15, 4)], 'the high comes before the low that it follows'],
    ['a day and more between', [low(6, 1), high(30, 4)], 'the high is 24 h or more after the low'],
    ['no number', [low(6, 1), high(15, Number.NaN)], 'the high has no number'],
  ])('%s', (_, extremes, words) => {
    expect(() => hours(extremes, 0, 48)).toThrow(new RangeError(words));
  });
});
