import { describe, expect, test } from 'vitest';
import { every, found, GAP_LIMIT_MS, HOUR_MS, MINUTE_MS, type Readings, START_MS } from './joints.ts';

const at = (hours: number) => START_MS + hours * HOUR_MS;
const later = (readings: Readings, byMs: number): Readings => readings.map(([ms, value]) => [ms + byMs, value]);

describe('apart', () => {
  const flat = (milliC: number, fromMs: number, toMs: number) => every(MINUTE_MS, fromMs, toMs, milliC);
  const pair = (byMilliC: number, toMs: number) => [
    { probe: 'm2', milliC: flat(10_000, at(0), toMs) },
    { probe: 'm1', milliC: flat(10_000 + byMilliC, at(0), toMs) },
  ];

  test('more than 5 °C, not just that, for an hour, not less', () => {
    expect(found('apart', pair(5000, at(9)))).toEqual([]);
    expect(found('apart', pair(5001, at(1) - 1))).toEqual([]);
    expect(found('apart', pair(-5001, at(1)))).toEqual([
      { kind: 'apart', probes: ['m1', 'm2'], fromMs: at(0), toMs: at(1), numbers: { apartMilliC: 5001, spanMs: HOUR_MS } },
    ]);
  });

  test('both have to be live all the time', () => {
    const [a, b] = [flat(10_000, at(0), at(1.5)), flat(20_000, at(0), at(1.5))];
    const hole = (readings: Readings, spanMs: number) => readings.filter(([ms]) => ms <= at(0.75) || ms >= at(0.75) + spanMs);
    const sent = (spanMs: number) => [{ milliC: a }, { probe: 'm2', milliC: hole(b, spanMs) }];
    expect(found('apart', sent(GAP_LIMIT_MS))).toHaveLength(1);
    expect(found('apart', sent(GAP_LIMIT_MS + 1))).toEqual([]);
  });

  test('an hour before a gap is an hour; two halves on either side of one are none', () => {
    const sent = (firstHours: number) =>
      [10_000, 20_000].map((milliC, index) => ({
        probe: `m${index}`,
        milliC: [...flat(milliC, at(0), at(firstHours)), ...flat(milliC, at(firstHours + 0.5), at(firstHours + 1))],
      }));
    expect(found('apart', sent(1))).toMatchObject([{ fromMs: at(0), toMs: at(1) }]);
    expect(found('apart', sent(0.75))).toEqual([]);
  });

  test('a probe stands for the time up to its next reading, if that comes within the gap limit', () => {
    const sparse: Readings = [at(0), at(0.25), at(0.5), at(0.75), at(1)].map((ms) => [ms, 10_000]);
    const dense = (dipMilliC: number): Readings =>
      flat(16_000, at(0), at(1)).map(([ms, value], index) => [ms, index === 20 ? dipMilliC : value]);
    expect(found('apart', [{ milliC: dense(15_001) }, { probe: 'm2', milliC: sparse }])).toHaveLength(1);
    expect(found('apart', [{ milliC: dense(15_000) }, { probe: 'm2', milliC: sparse }])).toEqual([]);
  });

  test('readings at different instants, and a third probe that agrees with one of them', () => {
    const sent = [
      { probe: 'm1', milliC: flat(10_000, at(0), at(2)) },
      { probe: 'm2', milliC: later(flat(16_000, at(0), at(2)), 17_000) },
      { probe: 'm3', milliC: later(flat(10_100, at(0), at(2)), 31_000) },
    ];
    expect(found('apart', sent, { nowMs: at(2) + MINUTE_MS }).map(({ probes, toMs }) => [...probes, toMs])).toEqual([
      ['m1', 'm2', null],
      ['m2', 'm3', null],
    ]);
  });

  test('an ambient probe is no part of it, nor is the time before the last ply', () => {
    const [a, b] = pair(9000, at(2));
    expect(found('apart', [{ ...a, role: 'ambient' }, { ...b }])).toEqual([]);
    expect(found('apart', pair(9000, at(2)), { startMs: at(1) + 1 })).toEqual([]);
    expect(found('apart', pair(9000, at(2)), { startMs: null })).toEqual([]);
  });
});

describe('detached', () => {
  /** The air warms by so much in so many hours, evenly. */
  const air = (byMilliC: number, hours: number, fromMs = at(0)) =>
    every(MINUTE_MS, fromMs, fromMs + hours * HOUR_MS, (ms) => 5000 + ((ms - fromMs) / (hours * HOUR_MS)) * byMilliC);
  const beside = (milliC: Readings, byMilliC: number): Readings => milliC.map(([ms, value]) => [ms, value + byMilliC]);
  const sent = (ambient: Readings, material: Readings) => [
    { milliC: material },
    { probe: 'a1', role: 'ambient' as const, milliC: ambient },
  ];
  const following = (byMilliC: number, hours: number, apartMilliC = 600) =>
    found('detached', sent(air(byMilliC, hours), beside(air(byMilliC, hours), apartMilliC)));

  test('three hours beside air that moved by 3 °C', () => {
    expect(following(3000, 3)).toEqual([
      {
        kind: 'detached',
        probes: ['m1'],
        fromMs: at(0),
        toMs: at(3),
        numbers: { ambientMovedMilliC: 3000, apartMilliC: 600, spanMs: 3 * HOUR_MS },
      },
    ]);
    expect(following(-3000, 3, -600)).toHaveLength(1);
    expect(following(2999, 3)).toEqual([]);
    expect(following(3000, 3, 601)).toEqual([]);
    expect(following(6000, 2.99)).toEqual([]);
  });

  test('a slow drift over a day does not count: a joint follows that too', () => {
    expect(following(3000, 24)).toEqual([]);
    expect(following(7000, 24)).toEqual([]);
  });

  test('wherever in a longer time the three hours of movement lie', () => {
    for (const restHours of [0.5, 1, 2, 2.9, 3, 3.5, 4.7, 6]) {
      const rest = every(MINUTE_MS, at(0), at(restHours) - MINUTE_MS, 5000);
      const ambient = [...rest, ...air(3000, 3, at(restHours))];
      expect(found('detached', sent(ambient, beside(ambient, 100)))).toMatchObject([{ fromMs: at(0), toMs: at(restHours + 3) }]);
    }
  });

  test('a joint that follows with a lag of two and a half hours is none, however the air moves', () => {
    for (const perHour of [0.2, 0.5, 1, 2, 4]) {
      for (const startApart of [0, 3000]) {
        const ambient = every(MINUTE_MS, at(0), at(12), (ms) => 5000 + ((ms - at(0)) / HOUR_MS) * perHour * 1000);
        let lagging = 5000 + startApart;
        const material = ambient.map(([ms, value]): readonly [number, number] => {
          lagging += (value - lagging) / 150;
          return [ms, Math.round(lagging)];
        });
        expect(found('detached', sent(ambient, material))).toEqual([]);
      }
    }
  });

  test('one warm moment or a gap begins anew; the time before the last ply does not count', () => {
    const ambient = air(3000, 3);
    const moment = beside(ambient, 100).map(([ms, value], index): readonly [number, number] => [
      ms,
      index === 90 ? value + 501 : value,
    ]);
    expect(found('detached', sent(ambient, moment))).toEqual([]);
    const hole = beside(ambient, 100).filter((_, index) => index < 90 || index > 105);
    expect(found('detached', sent(ambient, hole))).toEqual([]);
    expect(found('detached', sent(ambient, ambient), { startMs: at(0) + 1 })).toEqual([]);
  });

  test('it needs an ambient probe', () => {
    expect(found('detached', [{ milliC: air(3000, 3) }, { probe: 'm2', milliC: air(3000, 3) }])).toEqual([]);
  });
});
