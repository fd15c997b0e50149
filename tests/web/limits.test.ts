import { expect, test } from 'vitest';
import { roundLimit } from '../../web/look/round.ts';

test.each([
  // Schedules are in tenths of a degree Celsius: 60 °F stands there as 15.6 °C and 80 °F as 26.7 °C.
  ['F', 60.08, 60],
  ['F', 80.06, 80],
  ['F', 41, 41],
  // Not meant as a round number: up, so that who meets what is shown meets the limit.
  ['F', 50.81, 50.9],
  ['F', 50.92, 51],
  ['F', 60.1, 60.1],
  ['C', 15.6, 15.6],
  ['C', 15.61, 15.7],
  ['C', -0.04, 0],
] as const)('a limit in °%s of %f is shown as %f', (unit, exact, shown) => {
  expect(roundLimit(exact, unit)).toBe(shown);
});
