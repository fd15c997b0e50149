import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Level, verdictOf, WaterTest } from '../../edge/cure/waterTest.ts';

const inches = (value: number): Level => ({ value, unit: 'in' });
const mm = (value: number): Level => ({ value, unit: 'mm' });

type FullHeight = Extract<WaterTest, { method: 'full-height' }>;

/** A test at every limit that still counts, with no change of level. */
const atTheLimits: FullHeight = {
  method: 'full-height',
  fillAboveHighest: inches(4),
  startLevel: inches(30),
  endLevel: inches(30),
  resolution: inches(1 / 16),
  settleMinutes: 15,
  durationMinutes: 60,
};
const judged = (changes: Partial<FullHeight> = {}) => verdictOf({ ...atTheLimits, ...changes });

// PEI/RP1200 §6.5.6–6.5.7 [P].
describe('less than 1/8 in passes, 1/8 in or more fails, a rise too [P]', () => {
  test.each([
    [inches(30), inches(30), 'pass', 0],
    [inches(30), inches(29.876), 'pass', -3.1496],
    [inches(30), inches(30.124), 'pass', 3.1496],
    [inches(30), inches(29.875), 'fail', -3.175],
    [inches(30), inches(30.125), 'fail', 3.175],
    [inches(4.1), inches(4.225), 'fail', 3.175],
    [inches(0.3), inches(0.175), 'fail', -3.175],
    [mm(700), mm(703.17), 'pass', 3.17],
    [mm(700), mm(696.83), 'pass', -3.17],
    [mm(700), mm(703.174999), 'pass', 3.174999],
    [mm(700), mm(703.175), 'fail', 3.175],
    [mm(700.1), mm(696.925), 'fail', -3.175],
    [mm(762), inches(29.875), 'fail', -3.175],
    [inches(30), mm(758.83), 'pass', -3.17],
    [inches(30), mm(762), 'pass', 0],
    [inches(-12), inches(-12.125), 'fail', -3.175],
    [inches(30), inches(20), 'fail', -254],
  ])('%j to %j: %s, %d mm', (startLevel, endLevel, verdict, changeMm) => {
    expect(judged({ startLevel, endLevel })).toMatchObject({
      verdict,
      changeMm,
      limitMm: 3.175,
      faults: [],
      remarks: [],
      reachesLimit: verdict === 'fail',
    });
  });

  test('wherever the stick is read, 1/8 in fails and a hair less passes', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 100 * 64 }), fc.constantFrom(-1, 1), (sixtyFourths, sign) => {
        const startLevel = inches(sixtyFourths / 64);
        expect(judged({ startLevel, endLevel: inches(sixtyFourths / 64 + sign / 8) }).verdict).toBe('fail');
        expect(judged({ startLevel, endLevel: inches(sixtyFourths / 64 + sign * 0.124999) }).verdict).toBe('pass');
      }),
    );
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 100_000 }), fc.constantFrom(-1, 1), (hundredths, sign) => {
        const startLevel = inches(hundredths / 100);
        expect(judged({ startLevel, endLevel: inches((hundredths + sign * 12.5) / 100) }).verdict).toBe('fail');
      }),
      { examples: [[1, 1]] },
    );
  });
});

describe('a test that does not count', () => {
  test.each([
    [{ fillAboveHighest: inches(3.999) }, 'filled-too-low'],
    [{ fillAboveHighest: mm(101.599) }, 'filled-too-low'],
    [{ fillAboveHighest: inches(-2) }, 'filled-too-low'],
    [{ settleMinutes: 14.99 }, 'settled-too-short'],
    [{ settleMinutes: 0 }, 'settled-too-short'],
    [{ durationMinutes: 59.99 }, 'too-short'],
    [{ resolution: inches(0.0626) }, 'resolution-too-coarse'],
    [{ resolution: mm(1.588) }, 'resolution-too-coarse'],
    [{ resolution: inches(1 / 8) }, 'resolution-too-coarse'],
  ])('%j [P]: %s', (changes, fault) => {
    expect(judged(changes)).toMatchObject({ verdict: 'invalid', faults: [fault] });
  });

  test.each([
    { fillAboveHighest: mm(101.6) },
    { fillAboveHighest: inches(10) },
    { settleMinutes: 15 },
    { durationMinutes: 60 },
    { durationMinutes: 240 },
    { resolution: inches(0.0625) },
    { resolution: mm(1.5875) },
    { resolution: mm(1) },
  ])('%j is enough', (changes) => {
    expect(judged(changes)).toMatchObject({ verdict: 'pass', faults: [] });
  });

  test('has all its faults named, and its change is still shown', () => {
    const changes = {
      fillAboveHighest: inches(1),
      settleMinutes: 1,
      durationMinutes: 10,
      resolution: inches(1),
      endLevel: inches(29),
    };
    expect(judged(changes)).toMatchObject({
      verdict: 'invalid',
      faults: ['filled-too-low', 'settled-too-short', 'too-short', 'resolution-too-coarse'],
      changeMm: -25.4,
      reachesLimit: true,
    });
  });
});

describe('the low-level method', () => {
  const { fillAboveHighest: _, ...rest } = atTheLimits;
  const lowLevel: WaterTest = { ...rest, method: 'low-level' };

  test('is a remark and no fault, and has no height above the penetrations to reach', () => {
    expect(verdictOf(lowLevel)).toMatchObject({ verdict: 'pass', faults: [], remarks: ['low-level-method'] });
    expect(verdictOf({ ...lowLevel, fillAboveHighest: inches(-8) })).toMatchObject({ verdict: 'pass', faults: [] });
  });

  test('is held to the other rules all the same', () => {
    expect(verdictOf({ ...lowLevel, endLevel: inches(30.125) }).verdict).toBe('fail');
    expect(verdictOf({ ...lowLevel, durationMinutes: 59 })).toMatchObject({ verdict: 'invalid', faults: ['too-short'] });
  });
});

describe('what two readings can tell', () => {
  test('r at worst, and √2·(r/2)/√3 as a standard uncertainty [formula p, C]', () => {
    const { uncertaintyMm } = judged();
    expect(uncertaintyMm.worstCase).toBe(1.5875);
    expect(uncertaintyMm.standard).toBeCloseTo((Math.SQRT2 * (1.5875 / 2)) / Math.sqrt(3), 12);
    expect(judged({ resolution: mm(1) }).uncertaintyMm.standard).toBeCloseTo(0.40825, 5);
  });

  test.each([
    [0, false],
    [1 / 16 - 0.0001, false],
    [1 / 16, true],
    [0.124, true],
    [1 / 8, true],
    [3 / 16 - 0.0001, true],
    // At worst it was 1/8 in, which fails too.
    [3 / 16, false],
    [1, false],
  ])('with 1/16 in readings a change of %d in is near the limit: %s', (change, nearLimit) => {
    expect(judged({ endLevel: inches(30 - change) }).nearLimit).toBe(nearLimit);
    expect(judged({ endLevel: inches(30 + change) }).nearLimit).toBe(nearLimit);
  });

  test('a stick coarser than the limit is near it from no change at all', () => {
    expect(judged({ resolution: inches(1 / 4) }).nearLimit).toBe(true);
    expect(judged({ resolution: inches(1 / 4), endLevel: inches(30.25) }).nearLimit).toBe(true);
    expect(judged({ resolution: inches(1 / 4), endLevel: inches(31) }).nearLimit).toBe(false);
  });
});

describe('what the temperature of the water does', () => {
  const cooled = { waterCelsiusStart: 20, waterCelsiusEnd: 15, waterDepth: mm(1000) };

  test('cooling 1 m from 20 to 15 °C lowers the level 0.90 mm [C]', () => {
    const { temperatureMm } = judged(cooled);
    expect(temperatureMm).toBeCloseTo(-0.9, 2);
    expect(temperatureMm).toBeCloseTo((998.2067 / 999.1026 - 1) * 1000, 3);
  });

  test('it goes with the depth, and warming raises the level', () => {
    expect(judged({ ...cooled, waterDepth: inches(20) }).temperatureMm).toBeCloseTo(-0.897 * 0.508, 3);
    expect(judged({ ...cooled, waterCelsiusStart: 15, waterCelsiusEnd: 20 }).temperatureMm).toBeCloseTo(0.897, 3);
    expect(judged({ ...cooled, waterCelsiusEnd: 20 }).temperatureMm).toBe(0);
    // Water is densest near 4 °C: below that, cooling raises the level.
    expect(judged({ ...cooled, waterCelsiusStart: 4, waterCelsiusEnd: 0 }).temperatureMm).toBeGreaterThan(0.1);
  });

  test('a fall that cooling explains stays a fail, and is said', () => {
    expect(judged({ ...cooled, endLevel: inches(29.875) })).toMatchObject({ verdict: 'fail', temperatureMatters: true });
  });

  test('a pass that warming may have lent is said too', () => {
    const warmed = { ...cooled, waterCelsiusStart: 15, waterCelsiusEnd: 20, endLevel: mm(762 - 2.5) };
    expect(judged(warmed)).toMatchObject({ verdict: 'pass', temperatureMatters: true });
  });

  test.each([0, -2, 2, 10])('it does not matter to a change of %d mm', (change) => {
    expect(judged({ ...cooled, endLevel: mm(762 + change) }).temperatureMatters).toBe(false);
  });

  test.each([
    { waterCelsiusStart: 20, waterCelsiusEnd: 15 },
    { waterCelsiusStart: 20, waterDepth: mm(1000) },
    { waterCelsiusEnd: 15, waterDepth: mm(1000) },
    { waterCelsiusStart: -0.5, waterCelsiusEnd: 3, waterDepth: mm(1000) },
    { waterCelsiusStart: 20, waterCelsiusEnd: 41, waterDepth: mm(1000) },
  ])('%j is not enough to tell', (changes) => {
    expect(judged({ ...changes, endLevel: inches(29.875) })).toMatchObject({
      verdict: 'fail',
      temperatureMm: null,
      temperatureMatters: false,
    });
  });
});

describe('what is taken as a test', () => {
  test('both methods, with and without what is optional', () => {
    expect(WaterTest.parse(atTheLimits)).toEqual(atTheLimits);
    const { fillAboveHighest, ...rest } = atTheLimits;
    const lowLevel = { ...rest, method: 'low-level' };
    expect(WaterTest.parse(lowLevel)).toEqual(lowLevel);
    const all = { ...lowLevel, fillAboveHighest, waterCelsiusStart: 12, waterCelsiusEnd: 11.5, waterDepth: inches(30) };
    expect(WaterTest.parse(all)).toEqual(all);
  });

  test.each([
    [{ method: 'dry' }, 'method', 'use "full-height" or "low-level" as the method'],
    [{ startLevel: { value: '30', unit: 'in' } }, 'startLevel.value', 'use a number'],
    [{ startLevel: { value: Number.NaN, unit: 'in' } }, 'startLevel.value', 'use a number'],
    [{ startLevel: { value: 30, unit: 'cm' } }, 'startLevel.unit', 'use "mm" or "in"'],
    [{ startLevel: { value: 30, unit: 'in', read: 'twice' } }, 'startLevel', null],
    [{ endLevel: mm(10_000.1) }, 'endLevel.value', 'use a length of at most 10 m (394 in)'],
    [{ endLevel: inches(-394) }, 'endLevel.value', 'use a length of at most 10 m (394 in)'],
    [{ fillAboveHighest: undefined }, 'fillAboveHighest', null],
    [{ resolution: mm(0) }, 'resolution.value', 'must be above 0'],
    [{ waterDepth: inches(-1) }, 'waterDepth.value', 'must be above 0'],
    [{ settleMinutes: -1 }, 'settleMinutes', 'must not be below 0'],
    [{ durationMinutes: 10_081 }, 'durationMinutes', 'use at most 10080 minutes, a week'],
    [{ durationMinutes: '60' }, 'durationMinutes', 'use a number of minutes'],
    [{ waterCelsiusStart: 68 }, 'waterCelsiusStart', 'use °C between -1 and 50'],
    [{ weather: 'fine' }, '', null],
  ])('%j is refused at %j', (changes, path, message) => {
    const read = WaterTest.safeParse({ ...atTheLimits, ...changes });
    const issues = read.success ? [] : read.error.issues;
    expect(issues.map((issue) => issue.path.join('.'))).toEqual([path]);
    if (message !== null) expect(issues[0]?.message).toBe(message);
  });
});
