import fc from 'fast-check';
import { expect, test } from 'vitest';
import { sharesOf } from '../../web/answer/shares.ts';
import { joined } from './views.ts';

const { view } = joined({ laidUpHoursAgo: 6, celsius: 12 });
const none = { ...view, warmHours: 0, reducedHours: 0, coldHours: 0, unprovenHours: 0, clockHours: 0 };

test('what is lost by rounding goes beside the warm hours, never onto them', () => {
  expect(sharesOf({ ...none, warmHours: 1.99, reducedHours: 0.005, coldHours: 0.005, clockHours: 2 })).toEqual({
    warm: 19,
    reduced: 1,
    cold: 0,
    unproven: 0,
    notYet: null,
    clock: 20,
  });
});

test('what came since the last reading is told from a minute on', () => {
  expect(sharesOf({ ...none, warmHours: 2, clockHours: 2 + 0.9 / 60 })).toMatchObject({ warm: 20, notYet: null, clock: 20 });
  expect(sharesOf({ ...none, warmHours: 2, clockHours: 2 + 7 / 60 })).toMatchObject({ warm: 20, notYet: 1, clock: 21 });
});

test('the shares add up as they are shown, each within a tenth of what it is', () => {
  const hours = fc.double({ min: 0, max: 200, noNaN: true });
  fc.assert(
    fc.property(hours, hours, hours, hours, hours, (warmHours, reducedHours, coldHours, unprovenHours, restHours) => {
      const clockHours = warmHours + reducedHours + coldHours + unprovenHours + restHours;
      const { warm, reduced, cold, unproven, notYet, clock } = sharesOf({
        ...none,
        warmHours,
        reducedHours,
        coldHours,
        unprovenHours,
        clockHours,
      });
      expect(warm + reduced + cold + unproven + (notYet ?? 0)).toBe(clock);
      expect(warm / 10).toBeLessThanOrEqual(warmHours + 1e-6);
      for (const [shown, exact] of [
        [warm, warmHours],
        [reduced, reducedHours],
        [cold, coldHours],
        [unproven, unprovenHours],
      ] as const)
        expect(Math.abs(shown / 10 - exact)).toBeLessThanOrEqual(0.1 + 1e-6);
    }),
  );
});
