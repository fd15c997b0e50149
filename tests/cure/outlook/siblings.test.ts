import { describe, expect, test } from 'vitest';
import { DEFAULT_LAG } from '../../../edge/cure/outlook/lag.ts';
import { siblingPrior, TELLS_AFTER_HOURS } from '../../../edge/cure/outlook/siblings.ts';

const HOUR_MS = 3_600_000;
const fitted = (offsetMilliC: number, offsetSdMilliC = 300, fittedHours = 40, hours = 3) => ({
  ...DEFAULT_LAG,
  timeConstantMs: hours * HOUR_MS,
  offsetMilliC,
  offsetSdMilliC,
  fittedHours,
});

describe('what is believed of a joint of which too little has been measured', () => {
  test('is the documented default where no other joint tells anything', () => {
    expect(siblingPrior([])).toEqual(DEFAULT_LAG);
    expect(siblingPrior([fitted(3000, 300, TELLS_AFTER_HOURS - 0.1)])).toEqual(DEFAULT_LAG);
  });

  test('comes near to what the site’s other joints show, the nearer the more of them there are, and never surer than they differ', () => {
    const one = siblingPrior([fitted(3000)]);
    const four = siblingPrior([fitted(3000), fitted(3000), fitted(3000), fitted(3000)]);
    expect(one.offsetMilliC).toBeGreaterThan(2000);
    expect(four.offsetMilliC).toBeGreaterThan(one.offsetMilliC);
    expect(four.offsetMilliC).toBeLessThan(3000);
    expect(four.offsetSdMilliC).toBeLessThan(one.offsetSdMilliC);
    expect(one.offsetSdMilliC).toBeLessThan(DEFAULT_LAG.offsetSdMilliC);
    expect(siblingPrior(Array.from({ length: 500 }, () => fitted(3000))).offsetSdMilliC).toBeGreaterThanOrEqual(1000);
  });

  test('one that is known badly counts for little', () => {
    expect(siblingPrior([fitted(8000, 6000)]).offsetMilliC).toBeLessThan(1000);
    expect(siblingPrior([fitted(8000, 6000), fitted(1000, 100)]).offsetMilliC).toBeLessThan(2000);
  });

  test('takes the geometric mean of the time constants, the default’s among them, and claims no fit', () => {
    const { timeConstantMs, fittedHours, errorMilliC } = siblingPrior([fitted(0, 300, 40, 12)]);
    expect(timeConstantMs).toBeCloseTo(6 * HOUR_MS, -1);
    expect({ fittedHours, errorMilliC }).toEqual({ fittedHours: 0, errorMilliC: null });
  });
});
