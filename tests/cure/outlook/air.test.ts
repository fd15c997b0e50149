import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { dewPointMilliC } from '../../../edge/cure/dewPoint.ts';
import { type AirRecord, airAhead, type Forecast, outlookAt } from '../../../edge/cure/outlook/air.ts';
import { AirOutlook } from '../../../edge/cure/outlook/input.ts';
import { HOUR_MS } from '../../../edge/cure/schedule.ts';

const NOW_MS = Date.UTC(2026, 0, 15, 18, 0);
const STEP_MS = 10 * 60_000;
const PER_HOUR = HOUR_MS / STEP_MS;

/** What was measured in the last so many hours: a value for each hour before the present (0: now), in °C. */
function recordOf(
  hours: number,
  celsiusBefore: (hoursBefore: number) => number | null,
  humidity: number | null = null,
): AirRecord {
  const count = hours * PER_HOUR + 1;
  const milliC = Array.from({ length: count }, (_, index) => {
    const celsius = celsiusBefore((count - 1 - index) / PER_HOUR);
    return celsius === null ? null : Math.round(celsius * 1000);
  });
  return {
    fromMs: NOW_MS - hours * HOUR_MS,
    stepMs: STEP_MS,
    milliC,
    humidityMilliPercent: milliC.map((value) => (value === null ? null : humidity)),
  };
}

/** Hourly, from so many hours after the present. */
function forecastOf(firstHour: number, celsius: readonly number[], humidity: readonly (number | null)[] = []): Forecast {
  return {
    atMs: celsius.map((_, index) => NOW_MS + (firstHour + index) * HOUR_MS),
    milliC: celsius.map((value) => value * 1000),
    humidityMilliPercent: celsius.map((_, index) => humidity[index] ?? null),
  };
}

/** Of so many hours before the present. */
const rising = (before: number) => 9 - before / 4;
const constant = (count: number, celsius: number) => new Array<number>(count).fill(celsius);

function ahead(record: AirRecord | null, forecast: Forecast | null, hours = 72) {
  const found = airAhead(record, forecast, NOW_MS, hours * HOUR_MS);
  if (found === null) throw new Error('nothing to go by');
  return found;
}

describe('a forecast', () => {
  test('is followed, hour by hour, and beyond its end its last day repeats', () => {
    const celsius = Array.from({ length: 31 }, (_, hour) => hour / 4);
    const { air, from } = ahead(null, forecastOf(0, celsius), 60);
    expect(from).toBe('forecast');
    expect(air).toMatchObject({ fromMs: NOW_MS, stepMs: HOUR_MS, humidityMilliPercent: null });
    expect(air.milliC.slice(0, 31)).toEqual(celsius.map((value) => value * 1000));
    // Hour 31 is hour 7 again, and hour 55 once more.
    expect([air.milliC[31], air.milliC[54], air.milliC[55]]).toEqual([1750, 7500, 1750]);
    expect(air.milliC).toHaveLength(61);
  });

  test('between its hours lies a straight line', () => {
    const forecast = { atMs: [NOW_MS, NOW_MS + 4 * HOUR_MS], milliC: [0, 8000], humidityMilliPercent: [40_000, 80_000] };
    const { air } = ahead(null, forecast, 4);
    expect(air.milliC).toEqual([0, 2000, 4000, 6000, 8000]);
    expect(air.humidityMilliPercent).toEqual([40_000, 50_000, 60_000, 70_000, 80_000]);
  });

  test('that begins within three hours is reached by a straight line from what is measured now', () => {
    const record = recordOf(1, () => 6);
    expect(ahead(record, forecastOf(3, constant(12, 0)), 5).air.milliC).toEqual([6000, 4000, 2000, 0, 0, 0]);
    expect(ahead(null, forecastOf(3, constant(12, 1)), 5).air.milliC).toEqual(constant(6, 1000));
    expect(ahead(record, forecastOf(4, constant(12, 0)), 5)).toMatchObject({ from: 'persistence' });
  });

  test('that ends within three hours, or is over, does not count', () => {
    expect(
      ahead(
        recordOf(1, () => 6),
        forecastOf(-20, constant(23, 0)),
      ),
    ).toMatchObject({ from: 'persistence' });
    expect(
      ahead(
        recordOf(1, () => 6),
        forecastOf(-20, constant(24, 0)),
      ),
    ).toMatchObject({ from: 'forecast' });
    expect(airAhead(null, forecastOf(-20, constant(23, 0)), NOW_MS, HOUR_MS)).toBeNull();
  });

  test('with a hole: in it the day before repeats, and what is said beyond it counts from there on only', () => {
    const near = forecastOf(0, constant(31, 2));
    const far = forecastOf(120, constant(25, 25));
    const both: Forecast = {
      atMs: [...near.atMs, ...far.atMs],
      milliC: [...near.milliC, ...far.milliC],
      humidityMilliPercent: [...near.atMs, ...far.atMs].map(() => null),
    };
    const { air, from } = ahead(null, both, 150);
    expect(from).toBe('forecast');
    expect(air.milliC.slice(0, 120)).toEqual(constant(120, 2000));
    expect(air.milliC.slice(120)).toEqual(constant(31, 25_000));
    expect(ahead(recordOf(24, rising), far, 72)).toEqual(ahead(recordOf(24, rising), null, 72));
    // Over and about to begin again: the next three hours lie in a hole.
    const over = forecastOf(-20, constant(20, 2));
    const later = { ...both, atMs: [...over.atMs, NOW_MS + 6 * HOUR_MS], milliC: [...over.milliC, 2000] };
    expect(ahead(recordOf(24, rising), later, 72)).toMatchObject({ from: 'persistence' });
  });

  test('whose hours begin again within three hours after a hole is reached from what is measured now', () => {
    const forecast: Forecast = {
      atMs: [-20, -19, 2, 3, 4].map((hour) => NOW_MS + hour * HOUR_MS),
      milliC: [9000, 9000, 0, 0, 0],
      humidityMilliPercent: [null, null, null, null, null],
    };
    const { air } = ahead(
      recordOf(1, () => 6),
      forecast,
      4,
    );
    expect(air.milliC).toEqual([6000, 3000, 0, 0, 0]);
  });

  test('whose present difference is measured: it fades with 6 h, to none where less than 6 h overlap', () => {
    const { air } = ahead(
      recordOf(5, () => 8),
      forecastOf(-5, constant(60, 5)),
      48,
    );
    expect(air.milliC[0]).toBe(8000);
    expect(air.milliC[6]).toBe(Math.round(5000 + 3000 / Math.E));
    expect(air.milliC[48]).toBe(5001);
  });

  test('with 6 h of overlap the difference fades towards the mean one over the last day, beside that day itself', () => {
    const record = recordOf(24, (before) => (before < 0.1 ? 9 : 7));
    const { air } = ahead(record, forecastOf(-30, constant(90, 5)), 48);
    // 143 of 144 steps within the last day differ by 2, one by 4.
    const mean = (143 * 2000 + 4000) / 144;
    expect(air.milliC[0]).toBe(9000);
    // What the forecast makes of it, and the day before shifted to the present, which gives way with 12 h.
    const said = (hour: number) => 5000 + mean + (4000 - mean) * Math.exp(-hour / 6);
    const lastDay = (hour: number) => 7000 + 2000 * Math.exp(-hour / 12);
    for (const hour of [6, 48])
      expect(air.milliC[hour]).toBe(Math.round(said(hour) + (lastDay(hour) - said(hour)) * Math.exp(-hour / 12)));
  });

  test('what was measured more than an hour ago is not taken for the present', () => {
    const record = recordOf(5, (before) => (before < 1.1 ? null : 8));
    expect(ahead(record, forecastOf(-5, constant(60, 5)), 6).air.milliC).toEqual(constant(7, 5000));
  });

  test('that is shorter than a day is filled up with the day before as it was measured', () => {
    const record = recordOf(24, (before) => (before >= 9.9 && before <= 10.1 ? 3 : 5));
    const { air } = ahead(record, forecastOf(0, constant(7, 5)), 24);
    expect(air.milliC[14]).toBe(3000);
    expect(air.milliC[15]).toBe(5000);
  });

  test('and the day before comes back as it was measured, whatever the forecast was off by', () => {
    // Always two degrees colder than forecast.
    const record = recordOf(24, () => 3);
    expect(ahead(record, forecastOf(-10, constant(17, 5)), 30).air.milliC).toEqual(constant(31, 3000));
  });
});

test('a record that ends a moment before the present gives the same air as one that ends there', () => {
  const record = recordOf(30, (before) => 6 + 3 * Math.cos(before / 4));
  const given = forecastOf(0, constant(48, 2));
  const shorter = {
    ...record,
    milliC: record.milliC.slice(0, -1),
    humidityMilliPercent: record.humidityMilliPercent.slice(0, -1),
  };
  const [whole, cut] = [ahead(record, given, 24).air.milliC, ahead(shorter, given, 24).air.milliC];
  whole.forEach((milliC, hour) => {
    expect(Math.abs(milliC - (cut[hour] as number))).toBeLessThan(150);
  });
});

describe('without a forecast', () => {
  const wave = (before: number) => 5 + 4 * Math.sin((2 * Math.PI * -before) / 24);

  test('the last day repeats', () => {
    const { air, from } = ahead(recordOf(24, wave), null, 48);
    expect(from).toBe('persistence');
    air.milliC.forEach((value, hour) => {
      expect(Math.abs(value - 1000 * wave(-hour))).toBeLessThanOrEqual(1);
    });
  });

  test('shifted to begin at what is measured now; the shift fades with 12 h', () => {
    // Two degrees colder than yesterday at this time, since just now.
    const { air } = ahead(
      recordOf(24, (before) => wave(before) - (before < 0.1 ? 2 : 0)),
      null,
      48,
    );
    expect(air.milliC[0]).toBe(3000);
    expect(air.milliC[12]).toBe(Math.round(1000 * wave(-12) - 2000 / Math.E));
  });

  test('of two whole days it is the mean; with a hole in the day before, the last alone', () => {
    const twoDays = (before: number) => (before <= 24 ? 4 : 8);
    const mean = ahead(recordOf(48, twoDays), null, 72).air.milliC;
    // It begins at 4 °C, and goes back to 6 °C.
    expect(mean[0]).toBe(4000);
    expect(mean[12]).toBe(Math.round(6000 - 2000 / Math.E));
    const holed = recordOf(48, (before) => (before > 30 && before < 34 ? null : twoDays(before)));
    expect(ahead(holed, null, 72).air.milliC[12]).toBe(4000);
  });

  test('hours of the day that were not measured lie on a straight line', () => {
    // Measured are the last 12 h only, from 10 °C down to 4 °C: the hours before lie between now's 4.5 °C (an hour ago) and 10 °C.
    const { air } = ahead(
      recordOf(12, (before) => 4 + before / 2),
      null,
      24,
    );
    const lineAt = (hour: number) => 4500 + (5500 * (hour + 1)) / 13;
    const shift = 4000 - lineAt(0);
    for (const hour of [0, 5, 11]) expect(air.milliC[hour]).toBe(Math.round(lineAt(hour) + shift * Math.exp(-hour / 12)));
    for (const hour of [12, 18])
      expect(air.milliC[hour]).toBe(Math.round(4000 + (24 - hour) * 500 + shift * Math.exp(-hour / 12)));
  });

  test('less than 6 h of record: what was measured last holds on', () => {
    expect(
      ahead(
        recordOf(5, (before) => 4 + before),
        null,
        12,
      ).air.milliC,
    ).toEqual(constant(13, 4000));
  });

  test('nothing at all, or nothing within a day: null', () => {
    expect(airAhead(null, null, NOW_MS, HOUR_MS)).toBeNull();
    expect(
      airAhead(
        recordOf(48, () => null),
        null,
        NOW_MS,
        HOUR_MS,
      ),
    ).toBeNull();
    expect(
      airAhead(
        recordOf(48, (before) => (before < 24.1 ? null : 5)),
        null,
        NOW_MS,
        HOUR_MS,
      ),
    ).toBeNull();
    expect(
      airAhead(
        recordOf(48, (before) => (before < 23.9 ? null : 5)),
        null,
        NOW_MS,
        HOUR_MS,
      ),
    ).not.toBeNull();
  });

  test('what comes after the present in the record is not looked at', () => {
    const record = recordOf(24, wave);
    const later: AirRecord = { ...record, milliC: [...record.milliC, 40_000, 40_000], humidityMilliPercent: [] };
    expect(ahead(later, null)).toEqual(ahead({ ...record, humidityMilliPercent: [] }, null));
  });
});

describe('humidity', () => {
  test('where the forecast names none, the dew point of the air measured last stays as it is', () => {
    const { air } = ahead(
      recordOf(24, () => 10, 60_000),
      forecastOf(-2, [10, 10, 10, 14, 12, 10, 8]),
      4,
    );
    const dew = dewPointMilliC(10_000, 60_000) as number;
    air.milliC.forEach((milliC, hour) => {
      const ahead = dewPointMilliC(milliC, air.humidityMilliPercent?.[hour] as number) as number;
      expect(Math.abs(ahead - dew)).toBeLessThanOrEqual(2);
    });
    expect(air.humidityMilliPercent?.[1] as number).toBeLessThan(60_000);
  });

  test('the water may be told by another record than the temperature', () => {
    const moist = recordOf(5, () => 20, 40_000);
    const { air } =
      airAhead(
        recordOf(5, (before) => (before < 1 ? 10 : null)),
        null,
        NOW_MS,
        HOUR_MS,
        moist,
      ) ?? {};
    const dew = dewPointMilliC(20_000, 40_000) as number;
    expect(air?.milliC).toEqual([10_000, 10_000]);
    expect(Math.abs((dewPointMilliC(10_000, air?.humidityMilliPercent?.[1] as number) as number) - dew)).toBeLessThanOrEqual(2);
  });

  test('air that cools to its dew point is saturated', () => {
    expect(
      ahead(
        recordOf(5, () => 10, 90_000),
        forecastOf(0, [10, 5, 0, 0, 0]),
      ).air.humidityMilliPercent?.[2],
    ).toBe(100_000);
  });

  test('what a forecast names goes before, and repeats with it', () => {
    const forecast = forecastOf(
      0,
      constant(25, 10),
      Array.from({ length: 25 }, (_, hour) => 50_000 + 1000 * hour),
    );
    const { air } = ahead(
      recordOf(24, () => 10, 90_000),
      forecast,
      49,
    );
    expect(air.humidityMilliPercent?.[24]).toBe(74_000);
    expect(air.humidityMilliPercent?.[25]).toBe(51_000);
  });

  test('no humidity known: null', () => {
    expect(
      ahead(
        recordOf(24, () => 10),
        null,
      ).air.humidityMilliPercent,
    ).toBeNull();
    expect(ahead(null, forecastOf(0, constant(25, 10))).air.humidityMilliPercent).toBeNull();
  });
});

describe('whatever was measured and forecast', () => {
  const celsius = fc.integer({ min: -40, max: 45 });

  test('the outlook is well formed, begins at what is measured now, and repeats itself', () => {
    fc.assert(
      fc.property(
        fc.array(fc.option(celsius, { freq: 4 }), { minLength: 1, maxLength: 50 }),
        fc.option(fc.tuple(fc.integer({ min: -12, max: 6 }), fc.array(celsius, { minLength: 2, maxLength: 60 }))),
        (hourly, given) => {
          const last = hourly.length - 1;
          const record = recordOf(last, (before) => hourly[last - Math.floor(before)] ?? null, 70_000);
          const found = airAhead(record, given && forecastOf(...given), NOW_MS, 72 * HOUR_MS);
          if (found === null) return;
          expect(() => AirOutlook.parse(found.air)).not.toThrow();
          expect(found.air.milliC).toHaveLength(73);
          const now = record.milliC.at(-1) ?? null;
          if (now !== null) expect(found.air.milliC[0]).toBe(now);
        },
      ),
    );
  });

  test('an outlook at an instant lies on the line, its ends hold on', () => {
    const air: AirOutlook = { fromMs: NOW_MS, stepMs: HOUR_MS, milliC: [0, 1000, 4000], humidityMilliPercent: null };
    const at = (hours: number) => outlookAt(air, air.milliC, NOW_MS + hours * HOUR_MS);
    expect([-5, 0, 0.25, 1, 1.5, 2, 9].map(at)).toEqual([0, 0, 250, 1000, 2500, 4000, 4000]);
  });
});
