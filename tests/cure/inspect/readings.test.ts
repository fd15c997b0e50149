import { describe, expect, test } from 'vitest';
import { every, found, GAP_LIMIT_MS, HOUR_MS, MINUTE_MS, OPEN_MS, type Readings, START_MS } from './joints.ts';

const at = (hours: number) => START_MS + hours * HOUR_MS;
const minute = (minutes: number) => START_MS + minutes * MINUTE_MS;
/** A probe that moves all the time, by 1 °C an hour. */
const moving = (fromMs: number, toMs: number) => every(5 * MINUTE_MS, fromMs, toMs, (ms) => 10_000 + (ms - START_MS) / 3600);

describe('hot joint', () => {
  const hot = (milliC: Readings, nowMs = at(24)) => found('hot-joint', [{ milliC }], { hotAboveMilliC: 60_000, nowMs });

  test('above the limit, not at it', () => {
    expect(hot([[minute(1), 60_000]])).toEqual([]);
    const milliC = 60_001;
    expect(hot([[minute(1), milliC]])).toEqual([
      {
        kind: 'hot-joint',
        probes: ['m1'],
        fromMs: minute(1),
        toMs: minute(1),
        numbers: { milliC, hotAboveMilliC: 60_000, count: 1, spanMs: 0 },
      },
    ]);
  });

  test('trembling about the limit is one episode with its hottest value; half an hour later is another', () => {
    const trembling = every(MINUTE_MS, minute(1), minute(20), (ms) => (ms % (2 * MINUTE_MS) === 0 ? 61_000 : 59_000));
    expect(hot([...trembling, [minute(50), 63_000]])).toMatchObject([
      { toMs: minute(50), numbers: { milliC: 63_000, count: 11 } },
    ]);
    expect(hot([...trembling, [minute(51), 63_000]])).toHaveLength(2);
  });

  test('open while the newest reading is hot and live', () => {
    expect(hot([[minute(1), 61_000]], minute(1) + GAP_LIMIT_MS)).toMatchObject([{ toMs: null }]);
    expect(hot([[minute(1), 61_000]], minute(1) + GAP_LIMIT_MS + 1)).toMatchObject([{ toMs: minute(1) }]);
    expect(
      hot(
        [
          [minute(1), 61_000],
          [minute(2), 59_000],
        ],
        minute(3),
      ),
    ).toMatchObject([{ toMs: minute(1) }]);
  });

  test('not in the air, not without a limit', () => {
    const milliC: Readings = [[minute(1), 70_000]];
    expect(found('hot-joint', [{ role: 'ambient', milliC }], { hotAboveMilliC: 60_000 })).toEqual([]);
    expect(found('hot-joint', [{ milliC }])).toEqual([]);
  });
});

describe('frozen', () => {
  const still = (toMs: number, stepMs = 5 * MINUTE_MS) => every(stepMs, at(0), toMs, 9875);
  const other = { probe: 'm2', milliC: moving(at(0), at(12)) };

  test('three hours of one value while another probe moved, not a moment less', () => {
    expect(found('frozen', [{ milliC: still(at(3)) }, other])).toEqual([
      {
        kind: 'frozen',
        probes: ['m1'],
        fromMs: at(0),
        toMs: at(3),
        numbers: { milliC: 9875, othersMovedMilliC: 3000, count: 37, spanMs: 3 * HOUR_MS },
      },
    ]);
    const shorter = still(at(3)).map(([ms, value], index): readonly [number, number] => [index === 0 ? ms + 1 : ms, value]);
    expect(found('frozen', [{ milliC: shorter }, other])).toEqual([]);
  });

  test('30 readings, not 29', () => {
    const stepMs = 7 * MINUTE_MS;
    expect(found('frozen', [{ milliC: still(at(0) + 28 * stepMs, stepMs) }, other])).toEqual([]);
    expect(found('frozen', [{ milliC: still(at(0) + 29 * stepMs, stepMs) }, other])).toHaveLength(1);
  });

  test('the other, material or ambient, must have moved by 1 °C', () => {
    const moved = (byMilliC: number) => every(MINUTE_MS, at(0), at(3), (ms) => ((ms - at(0)) / (3 * HOUR_MS)) * byMilliC);
    const own = { milliC: still(at(3)) };
    expect(found('frozen', [own, { probe: 'm2', milliC: moved(999) }])).toEqual([]);
    expect(found('frozen', [own, { probe: 'm2', milliC: moved(1000) }])).toHaveLength(1);
    expect(found('frozen', [own, { probe: 'a1', role: 'ambient', milliC: moved(1000) }])).toHaveLength(1);
  });

  test('alone, or beside others just as still, it takes six hours', () => {
    expect(found('frozen', [{ milliC: still(at(6) - MINUTE_MS, MINUTE_MS) }])).toEqual([]);
    expect(found('frozen', [{ milliC: still(at(6)) }])).toHaveLength(1);
    expect(found('frozen', [{ milliC: still(at(6)) }, { probe: 'm2', milliC: still(at(6)) }])).toHaveLength(2);
    const steady = every(5 * MINUTE_MS, at(0), at(6), (ms) => ((ms / MINUTE_MS) % 10 === 0 ? 9875 : 9937));
    expect(found('frozen', [{ milliC: still(at(6)) }, { probe: 'm2', milliC: steady }])).toEqual([]);
  });

  test('a gap, or a single other value, begins anew', () => {
    const hole = [...still(at(2)), ...every(5 * MINUTE_MS, at(2) + GAP_LIMIT_MS + 1, at(4), 9875)];
    expect(found('frozen', [{ milliC: hole }, other])).toEqual([]);
    expect(found('frozen', [{ milliC: still(at(8), GAP_LIMIT_MS) }, other])).toHaveLength(1);
    const step = still(at(4)).map(([ms, value], index): readonly [number, number] => [ms, index === 20 ? value + 62 : value]);
    expect(found('frozen', [{ milliC: step }, other])).toEqual([]);
  });

  test('open while it lasts', () => {
    expect(found('frozen', [{ milliC: still(at(4)) }, other], { nowMs: at(4) })).toMatchObject([{ fromMs: at(0), toMs: null }]);
  });
});

describe('jump', () => {
  const step = (byMilliC: number, overMs: number): Readings => [
    [minute(5), 10_000],
    [minute(5) + overMs, 10_000 + byMilliC],
  ];
  const jump = (milliC: Readings) => found('jump', [{ milliC }]);

  test('5 °C, not less, faster than 2 °C a minute, not just that', () => {
    expect(jump(step(4999, MINUTE_MS))).toEqual([]);
    expect(jump(step(5000, 150_000))).toEqual([]);
    expect(jump(step(5000, 149_999))).toEqual([
      {
        kind: 'jump',
        probes: ['m1'],
        fromMs: minute(5),
        toMs: minute(5) + 149_999,
        numbers: { changeMilliC: 5000, overMs: 149_999, count: 1, spanMs: 149_999 },
      },
    ]);
    expect(jump(step(-5000, 1000))).toMatchObject([{ numbers: { changeMilliC: -5000 } }]);
  });

  test('between readings within the gap limit only', () => {
    expect(jump(step(40_000, GAP_LIMIT_MS))).toHaveLength(1);
    expect(jump(step(40_000, GAP_LIMIT_MS + 1))).toEqual([]);
  });

  test('an exotherm of 2 °C a minute is none, at any interval', () => {
    for (const stepMs of [MINUTE_MS, 5 * MINUTE_MS, 15 * MINUTE_MS])
      expect(jump(every(stepMs, minute(0), minute(30), (ms) => 10_000 + (ms - minute(0)) / 30))).toEqual([]);
  });

  test('a spike is one episode of two jumps, as long as a probe is on the joint', () => {
    const spike: Readings = [
      [minute(5), 10_000],
      [minute(6), 30_000],
      [minute(7), 10_000],
    ];
    expect(jump(spike)).toMatchObject([{ fromMs: minute(5), toMs: minute(7), numbers: { changeMilliC: 20_000, count: 2 } }]);
    expect(jump(spike.map(([ms, value]) => [ms - 20 * MINUTE_MS, value]))).toEqual([]);
    expect(found('jump', [{ milliC: spike }], { startMs: null })).toEqual([]);
    expect(found('jump', [{ role: 'ambient', milliC: spike }])).toEqual([]);
  });
});

describe('sentinel', () => {
  const around = (milliC: number): Readings => [
    [minute(5), 10_000],
    [minute(6), milliC],
    [minute(7), 10_062],
  ];

  test('exactly 85 °C from a digital probe', () => {
    expect(found('sentinel', [{ milliC: around(85_000) }])).toEqual([
      { kind: 'sentinel', probes: ['m1'], fromMs: minute(6), toMs: minute(6), numbers: { milliC: 85_000, count: 1, spanMs: 0 } },
    ]);
    expect(found('sentinel', [{ milliC: around(84_999) }, { probe: 'm2', milliC: around(85_001) }])).toEqual([]);
    expect(found('sentinel', [{ digital: false, milliC: around(85_000) }])).toEqual([]);
  });

  test('or what a calibration makes of it', () => {
    expect(found('sentinel', [{ sentinelMilliC: 84_700, milliC: around(84_700) }])).toHaveLength(1);
    expect(found('sentinel', [{ sentinelMilliC: 84_700, milliC: around(85_000) }])).toEqual([]);
  });

  test('a joint that is truly that hot passes through it', () => {
    const nearby = (milliC: number): Readings => [
      [minute(5), milliC],
      [minute(6), 85_000],
      [minute(7), 85_000],
    ];
    expect(found('sentinel', [{ milliC: nearby(80_001) }])).toEqual([]);
    const reversed = nearby(80_001)
      .map(([ms, value]): readonly [number, number] => [2 * minute(7) - ms, value])
      .reverse();
    expect(found('sentinel', [{ milliC: reversed }])).toEqual([]);
    expect(found('sentinel', [{ milliC: nearby(80_000) }])).toMatchObject([{ numbers: { count: 2 } }]);
  });

  test('it is nothing else: no heat, no jump, no value at rest', () => {
    const restarts = every(5 * MINUTE_MS, at(0), at(8), 85_000);
    for (const kind of ['hot-joint', 'jump', 'frozen'] as const) {
      expect(found(kind, [{ milliC: around(85_000) }], { hotAboveMilliC: 60_000 })).toEqual([]);
      expect(found(kind, [{ milliC: restarts }], { hotAboveMilliC: 60_000 })).toEqual([]);
    }
    expect(found('sentinel', [{ milliC: restarts }], { nowMs: at(8) })).toMatchObject([{ toMs: null, numbers: { count: 97 } }]);
  });
});

describe('battery low', () => {
  test('below 20 %, not at it, until it is back above', () => {
    expect(found('battery-low', [{ batteryPercent: [[minute(1), 20_000]] }])).toEqual([]);
    const batteryPercent: Readings = [
      [minute(1), 21_000],
      [minute(2), 19_999],
      [minute(300), 12_000],
      [minute(600), 80_000],
    ];
    expect(found('battery-low', [{ batteryPercent }])).toEqual([
      {
        kind: 'battery-low',
        probes: ['m1'],
        fromMs: minute(2),
        toMs: minute(600),
        numbers: { milliPercent: 12_000, spanMs: 598 * MINUTE_MS },
      },
    ]);
  });

  test('below the voltage given, if one is', () => {
    const batteryVolts: Readings = [[minute(1), 2999]];
    expect(found('battery-low', [{ batteryVolts }])).toEqual([]);
    expect(found('battery-low', [{ batteryVolts, batteryLowMilliVolts: 2999 }])).toEqual([]);
    expect(found('battery-low', [{ batteryVolts, batteryLowMilliVolts: 3000 }])).toMatchObject([
      { toMs: null, numbers: { milliVolts: 2999 } },
    ]);
  });

  test('low by either, ended by both; a probe that fell silent since is still low, one of a finished joint is not looked at', () => {
    const sent = {
      role: 'ambient' as const,
      batteryLowMilliVolts: 3000,
      batteryVolts: [
        [minute(1), 2900],
        [minute(90), 3100],
      ] as Readings,
      batteryPercent: [
        [minute(30), 95_000],
        [minute(60), 15_000],
      ] as Readings,
    };
    expect(found('battery-low', [sent])).toMatchObject([
      { fromMs: minute(1), toMs: null, numbers: { milliVolts: 2900, milliPercent: 15_000 } },
    ]);
    expect(found('battery-low', [sent], { doneMs: at(10) })).toMatchObject([{ toMs: at(10) }]);
    expect(found('battery-low', [sent], { doneMs: START_MS })).toEqual([]);
  });
});

describe('off the curve', () => {
  test('any such reading', () => {
    expect(found('off-curve', [{ digital: false, offCurveMs: [OPEN_MS] }])).toEqual([
      { kind: 'off-curve', probes: ['m1'], fromMs: OPEN_MS, toMs: OPEN_MS, numbers: { count: 1, spanMs: 0 } },
    ]);
    expect(found('off-curve', [{ digital: false, offCurveMs: [OPEN_MS - 1] }])).toEqual([]);
  });

  test('ended by a temperature', () => {
    const offCurveMs = [minute(1), minute(2)];
    expect(found('off-curve', [{ offCurveMs }], { nowMs: minute(3) })).toMatchObject([{ toMs: null, numbers: { count: 2 } }]);
    expect(found('off-curve', [{ offCurveMs, milliC: [[minute(3), 9000]] }], { nowMs: minute(3) })).toMatchObject([
      { toMs: minute(2) },
    ]);
  });
});
