import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { Calibration, calibrated } from '../../../edge/cure/sensors/calibration.ts';

type Pair = readonly [reference: number, indicated: number];

const shape = (first: Pair, second: Pair) => ({
  points: [first, second].map(([referenceCelsius, indicatedCelsius]) => ({ referenceCelsius, indicatedCelsius })),
  referenceUncertaintyCelsius: 0.1,
  reference: 'ice bath, and a glass thermometer with its certificate',
  on: '2026-01-15',
  by: 'A. Person',
});
const GOOD = shape([0, 0.3], [40, 39.6]);

function faults(calibration: unknown): string {
  const parsed = Calibration.safeParse(calibration);
  return parsed.success ? '' : parsed.error.issues.map((issue) => `${issue.path.join('.')}: ${issue.message}`).join('; ');
}

/** Any two points that the schema takes, in whole m°C. */
const accepted = fc
  .record({
    low: fc.integer({ min: -40_000, max: 90_000 }),
    span: fc.integer({ min: 10_000, max: 140_000 }),
    offLow: fc.integer({ min: -5_000, max: 5_000 }),
    offHigh: fc.integer({ min: -5_000, max: 5_000 }),
    swapped: fc.boolean(),
  })
  .map(({ low, span, offLow, offHigh, swapped }) => {
    const colder: Pair = [low / 1000, (low + offLow) / 1000];
    const warmer: Pair = [(low + span) / 1000, (low + span + offHigh) / 1000];
    return Calibration.safeParse(swapped ? shape(warmer, colder) : shape(colder, warmer)).data;
  })
  .filter((calibration) => calibration !== undefined);

const milliOf = (celsius: number) => Math.round(celsius * 1000);

describe('calibrated', () => {
  test('without a calibration nothing changes', () => {
    fc.assert(fc.property(fc.integer(), (milliC) => calibrated(null, milliC) === milliC));
  });

  test('is exact at both points, in either order', () => {
    fc.assert(
      fc.property(accepted, (calibration) => {
        for (const { referenceCelsius, indicatedCelsius } of calibration.points)
          expect(calibrated(calibration, milliOf(indicatedCelsius))).toBe(milliOf(referenceCelsius));
      }),
    );
  });

  test('a line worked by hand: 0.3 → 0, 39.6 → 40 [C]', () => {
    const calibration = Calibration.parse(GOOD);
    // 20 °C shown: (20 − 0.3)·40/39.3 = 20.0509 °C.
    expect(calibrated(calibration, 20_000)).toBe(20_051);
    expect(calibrated(calibration, -10_000)).toBe(-10_483);
    expect(Object.is(calibrated(calibration, 300), 0)).toBe(true);
  });

  test('equals the line to half a m°C, in whole numbers, computed apart with big integers', () => {
    fc.assert(
      fc.property(accepted, fc.integer({ min: -127_000, max: 150_000 }), (calibration, milliC) => {
        const [first, second] = calibration.points.map((point) => ({
          to: BigInt(milliOf(point.referenceCelsius)),
          from: BigInt(milliOf(point.indicatedCelsius)),
        })) as [{ to: bigint; from: bigint }, { to: bigint; from: bigint }];
        const corrected = calibrated(calibration, milliC);
        expect(Number.isInteger(corrected)).toBe(true);
        const span = second.from - first.from;
        const exact = (BigInt(milliC) - first.from) * (second.to - first.to) + first.to * span;
        const twiceOff = 2n * (BigInt(corrected) * span - exact);
        expect((twiceOff < 0n ? -twiceOff : twiceOff) <= (span < 0n ? -span : span)).toBe(true);
      }),
    );
  });

  test('never turns warmer into colder', () => {
    fc.assert(
      fc.property(
        accepted,
        fc.integer({ min: -60_000, max: 150_000 }),
        fc.nat({ max: 50_000 }),
        (calibration, milliC, more) => calibrated(calibration, milliC + more) >= calibrated(calibration, milliC),
      ),
    );
  });
});

describe('a calibration', () => {
  test('that is good has no fault, in either order', () => {
    expect(faults(GOOD)).toBe('');
    expect(faults({ ...GOOD, points: [...GOOD.points].reverse() })).toBe('');
    expect(faults(shape([-10, -9], [35, 36.5]))).toBe('');
  });

  test('may just reach its limits, whatever doubles make of the differences', () => {
    for (let tenth = 0; tenth <= 300; tenth++) {
      const low = tenth / 10;
      expect(faults(shape([low, low + 5], [(tenth + 100) / 10, (tenth + 150) / 10]))).toBe('');
      expect(faults(shape([low, low - 5], [(tenth + 100) / 10, (tenth + 50) / 10]))).toBe('');
    }
  });

  test('may be extended by whoever writes it down', () => {
    const extended = Calibration.omit({ on: true }).extend({ kind: Calibration.shape.by });
    const { on: _, ...rest } = GOOD;
    expect(extended.safeParse({ ...rest, kind: 'x' }).success).toBe(true);
    expect(extended.safeParse({ ...rest, points: shape([0, 40], [40, 0]).points, kind: 'x' }).success).toBe(false);
  });

  test.each<[string, unknown, RegExp]>([
    ['one point', { ...GOOD, points: GOOD.points.slice(1) }, /points: give exactly two points/],
    ['three points', { ...GOOD, points: [...GOOD.points, GOOD.points[0]] }, /points: give exactly two points/],
    ['points too near', shape([0, 0.1], [9.9, 10]), /0 and 9.9 °C are too near each other.*at least 10 °C apart/],
    ['the same point twice', shape([0, 0.1], [0, 0.1]), /0 and 0 °C are too near/],
    [
      'swapped indications',
      shape([0, 39.6], [40, 0.3]),
      /39.6 °C at the colder point and 0.3 °C at the warmer.*probably swapped/,
    ],
    ['swapped, warm one first', shape([40, 0.3], [0, 39.6]), /probably swapped/],
    ['swapped near each other', shape([0, 4], [10, 3]), /probably swapped/],
    ['indicated in °F', shape([0, 32.4], [40, 104.2]), /indicated 32.4 is probably °F; in °C it is 0.22/],
    ['one indicated in °F', shape([0, 0.2], [40, 104]), /indicated 104 is probably °F; in °C it is 40/],
    ['reference in °F', shape([32, 0.4], [104, 39.8]), /reference 32 is probably °F; in °C it is 0/],
    ['one reference in °F', shape([0, 0.4], [104, 39.8]), /reference 104 is probably °F; in °C it is 40/],
    ['both in °F', shape([32, 32.4], [104, 104.2]), /must lie between -40 and 100 °C; give °C, not °F/],
    ['both in °F, not so warm', shape([32, 32.4], [77, 77.9]), /exactly 32 is the ice point in °F/],
    ['0 °F as °C', shape([-17.8, -17.6], [20, 20.2]), /cold point of −17.8 °C is 0 °F; if it was the ice point, it is 0 °C/],
    ['0 °F to the last digit', shape([20, 20.2], [-160 / 9, -17.6]), /cold point of −17.8 °C is 0 °F/],
    ['too far off', shape([0, 6], [40, 45]), /6 °C is more than 5 °C off the reference of 0 °C.*settle, or replace it/],
    ['power-on value', shape([0, 0.1], [40, 85]), /85 °C is more than 5 °C off/],
    ['a reference too cold', shape([-50, -50], [0, 0]), /must lie between -40 and 100/],
    ['stuck', shape([0, 5], [10, 5]), /difference of 0 °C where the reference had 10 °C; it had probably not settled/],
    ['not settled', shape([0, 3], [10, 8]), /difference of 5 °C where the reference had 10 °C/],
    ['a point without figures', { ...GOOD, points: [GOOD.points[0], {}] }, /points\.1\.referenceCelsius/],
    ['infinite', shape([0, 0], [Number.POSITIVE_INFINITY, 40]), /points\.1\.referenceCelsius/],
    ['no reference', { ...GOOD, reference: ' ' }, /reference: must not be empty/],
    ['nobody', { ...GOOD, by: undefined }, /by: /],
    ['no day', { ...GOOD, on: '15.1.2026' }, /on: give the day as 2026-01-15/],
    ['a day that is none', { ...GOOD, on: '2026-02-30' }, /on: give the day/],
    ['a perfect reference', { ...GOOD, referenceUncertaintyCelsius: 0 }, /no reference is without uncertainty/],
    ['half a character', { ...GOOD, by: 'A\ud800' }, /has half a character/],
    ['a key that is unknown', { ...GOOD, note: 'x' }, /note/],
  ])('refused: %s', (_, calibration, words) => {
    expect(faults(calibration)).toMatch(words);
  });
});
