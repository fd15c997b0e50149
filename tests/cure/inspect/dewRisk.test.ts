import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { dewPointMilliC } from '../../../edge/cure/dewPoint.ts';
import { DRY_AFTER_START_MS } from '../../../edge/cure/inspect/dewRisk.ts';
import type { InspectSpec } from '../../../edge/cure/inspect/inspect.ts';
import { every, found, GAP_LIMIT_MS, HOUR_MS, MINUTE_MS, OPEN_MS, type Readings, START_MS } from './joints.ts';

const minute = (minutes: number) => OPEN_MS + minutes * MINUTE_MS;
/** Air of 10 °C and 60 %: its dew point, and the least surface that is no exception. */
const DEW_MILLI_C = dewPointMilliC(10_000, 60_000) as number;
const SAFE_MILLI_C = DEW_MILLI_C + 3000;

const flat = (value: number, from: number, to: number) => every(MINUTE_MS, minute(from), minute(to), value);

interface Weather {
  readonly surface: Readings;
  readonly air?: Readings;
  readonly humidity?: Readings;
}
const dew = (
  { surface, air = flat(10_000, 0, 120), humidity = flat(60_000, 0, 120) }: Weather,
  changes: Partial<InspectSpec> = {},
) => found('dew-risk', [{ milliC: surface }, { probe: 'a1', role: 'ambient', milliC: air, humidity }], changes);

test('the dew point of the air in these tests is near the 2.6 °C that the formula of WMO-No. 8 gives for 10 °C and 60 %', () => {
  expect(DEW_MILLI_C).toBeGreaterThan(2550);
  expect(DEW_MILLI_C).toBeLessThan(2650);
});

describe('dew risk', () => {
  test('a surface less than 3 °C above the dew point, not at just that', () => {
    expect(dew({ surface: flat(SAFE_MILLI_C, 0, 40) })).toEqual([]);
    expect(dew({ surface: flat(SAFE_MILLI_C - 1, 0, 40) })).toEqual([
      {
        kind: 'dew-risk',
        probes: [],
        fromMs: minute(0),
        toMs: minute(55),
        numbers: {
          leastMarginMilliC: 2999,
          surfaceMilliC: SAFE_MILLI_C - 1,
          dewPointMilliC: DEW_MILLI_C,
          ambientMilliC: 10_000,
          humidityMilliPercent: 60_000,
          spanMs: 55 * MINUTE_MS,
        },
      },
    ]);
  });

  test('ends with the first reading that is clear of it, is open before', () => {
    const surface = [...flat(4000, 0, 10), ...flat(9000, 11, 20)];
    expect(dew({ surface })).toMatchObject([{ fromMs: minute(0), toMs: minute(11) }]);
    const early = { surface: flat(4000, 0, 10), air: flat(10_000, 0, 10), humidity: flat(60_000, 0, 10) };
    expect(dew(early, { nowMs: minute(12), startMs: null })).toMatchObject([{ toMs: null, numbers: { spanMs: 12 * MINUTE_MS } }]);
  });

  test('ends where the watch for it ends, and with a silence of all probes', () => {
    const wet = { surface: flat(4000, 0, 12), air: flat(10_000, 0, 12), humidity: flat(60_000, 0, 12) };
    expect(dew(wet, { hasGelStage: true, gelMs: minute(10), nowMs: minute(12) })).toMatchObject([{ toMs: minute(10) }]);
    const resumed = (milliC: number) => ({
      surface: [...flat(4000, 0, 5), ...flat(milliC, 50, 55)],
      air: [...flat(10_000, 0, 5), ...flat(10_000, 50, 55)],
      humidity: [...flat(60_000, 0, 5), ...flat(60_000, 50, 55)],
    });
    expect(dew(resumed(4000))).toMatchObject([{ toMs: minute(5) }, { fromMs: minute(50) }]);
    expect(dew(resumed(9000))).toMatchObject([{ toMs: minute(5) }]);
  });

  test('the coldest live surface counts', () => {
    const sent = [
      { probe: 'm1', milliC: flat(9000, 0, 40) },
      { probe: 'm2', milliC: flat(5000, 10, 20) },
      { probe: 'a1', role: 'ambient' as const, milliC: flat(10_000, 0, 40), humidity: flat(60_000, 0, 40) },
    ];
    expect(found('dew-risk', sent)).toMatchObject([{ fromMs: minute(10), numbers: { surfaceMilliC: 5000 } }]);
  });

  test('between two readings the colder surface and the warmer, moister air of the two', () => {
    const twice = (first: number, second: number): Readings => [
      [minute(0), first],
      [minute(10), second],
    ];
    const steady: Weather = { surface: twice(6000, 6000), air: twice(10_000, 10_000), humidity: twice(60_000, 60_000) };
    expect(dew(steady)).toEqual([]);
    expect(dew({ ...steady, surface: twice(6000, 5000) })).toMatchObject([
      { fromMs: minute(0), numbers: { surfaceMilliC: 5000 } },
    ]);
    expect(dew({ ...steady, air: twice(10_000, 12_000) })).toMatchObject([
      { fromMs: minute(0), numbers: { ambientMilliC: 12_000 } },
    ]);
    expect(dew({ ...steady, humidity: twice(60_000, 90_000) })).toMatchObject([
      { fromMs: minute(0), numbers: { humidityMilliPercent: 90_000 } },
    ]);
    // Each at its end of the interval; that they met is what nobody can rule out.
    const crossed = { surface: twice(5900, 7000), air: twice(10_000, 11_000), humidity: twice(60_000, 60_000) };
    expect(dew(crossed)).toMatchObject([{ numbers: { surfaceMilliC: 5900, ambientMilliC: 11_000 } }]);
  });

  test('only what was read within the gap limit', () => {
    const one: Readings = [[minute(0), 60_000]];
    const seen = (afterMs: number) => dew({ surface: [[minute(0) + afterMs, 4000]], air: flat(10_000, 0, 40), humidity: one });
    expect(seen(GAP_LIMIT_MS)).toHaveLength(1);
    expect(seen(GAP_LIMIT_MS + 1)).toEqual([]);
    expect(dew({ surface: flat(4000, 0, 10), humidity: [] })).toEqual([]);
    expect(dew({ surface: [] })).toEqual([]);
    expect(found('dew-risk', [{ milliC: flat(4000, 0, 10), humidity: flat(90_000, 0, 10) }])).toEqual([]);
  });

  test('a humidity sensor that reads far above 100 % is no reason for silence', () => {
    expect(dew({ surface: flat(9000, 0, 10), humidity: flat(104_000, 0, 10) })).toMatchObject([
      { numbers: { dewPointMilliC: 10_000, humidityMilliPercent: 104_000 } },
    ]);
  });

  test('until gel; without such a stage for an hour after the last ply; before it as long as it takes', () => {
    const wet = (fromMs: number) => ({
      surface: every(MINUTE_MS, fromMs, fromMs + HOUR_MS, 4000),
      air: every(MINUTE_MS, fromMs, fromMs + HOUR_MS, 10_000),
      humidity: every(MINUTE_MS, fromMs, fromMs + HOUR_MS, 60_000),
    });
    const gelMs = START_MS + 3 * HOUR_MS;
    expect(dew(wet(gelMs), { hasGelStage: true, gelMs })).toHaveLength(1);
    expect(dew(wet(gelMs + 1), { hasGelStage: true, gelMs })).toEqual([]);
    expect(dew(wet(gelMs + 1), { hasGelStage: true })).toHaveLength(1);
    expect(dew(wet(START_MS + DRY_AFTER_START_MS))).toHaveLength(1);
    expect(dew(wet(START_MS + DRY_AFTER_START_MS + 1))).toEqual([]);
    expect(dew(wet(START_MS + DRY_AFTER_START_MS + 1), { startMs: null })).toHaveLength(1);
    expect(dew(wet(OPEN_MS - HOUR_MS - 1))).toEqual([]);
  });

  test('found wherever a direct search over every pair of instants finds it, with the same least margin', () => {
    const readings = (values: readonly number[]) =>
      fc.array(fc.tuple(fc.integer({ min: 1, max: 20 }), fc.constantFrom(...values)), { maxLength: 8 }).map((steps): Readings => {
        let at = 0;
        return steps.map(([minutes, value]) => {
          at += minutes;
          return [minute(at), value];
        });
      });
    const weather = fc.record({
      surfaces: fc.array(readings([3000, 5000, 5500, 6000, 9000]), { minLength: 1, maxLength: 3 }),
      air: readings([8000, 10_000, 12_000]),
      humidity: readings([40_000, 60_000, 65_000]),
    });
    /** The readings that stand for `atMs`: the last within the gap limit, and the one that follows it within the limit. */
    const standing = (all: Readings, atMs: number) => {
      const held = all.filter(([ms]) => ms <= atMs && atMs - ms <= GAP_LIMIT_MS).at(-1);
      const next = all.find(([ms]) => held !== undefined && ms > atMs && ms - held[0] <= GAP_LIMIT_MS);
      return [held, next].flatMap((reading) => (reading === undefined ? [] : [reading[1]]));
    };
    let risky = 0;
    fc.assert(
      fc.property(weather, ({ surfaces, air, humidity }) => {
        const all = [...surfaces, air, humidity].flat().map(([ms]) => ms);
        const margins = all.flatMap((atMs) => {
          const coldest = surfaces.flatMap((surface) => standing(surface, atMs));
          return standing(air, atMs).flatMap((airMilliC) =>
            standing(humidity, atMs).flatMap((milliPercent) =>
              coldest.map((milliC) => milliC - (dewPointMilliC(airMilliC, milliPercent) as number)),
            ),
          );
        });
        const least = Math.min(...margins);
        const sent = surfaces.map((milliC, index) => ({ probe: `m${index}`, milliC }));
        const episodes = found('dew-risk', [...sent, { probe: 'a1', role: 'ambient', milliC: air, humidity }], { startMs: null });
        if (least < 3000) {
          risky++;
          expect(Math.min(...episodes.map((episode) => episode.numbers.leastMarginMilliC as number))).toBe(least);
        } else expect(episodes).toEqual([]);
      }),
      { numRuns: 500 },
    );
    expect(risky).toBeGreaterThan(50);
    expect(risky).toBeLessThan(450);
  });
});
