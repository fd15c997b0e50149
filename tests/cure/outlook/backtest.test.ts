import { describe, expect, test } from 'vitest';
import { atLead, TRAINING, tryOut } from '../../bench/backtest/season.ts';
import { LEAD_HOURS } from '../../bench/backtest/trial.ts';
import { scoreOf } from '../../bench/backtest.ts';

// Those of the first eighty joints of the back-test's seasons for choosing that were laid up after a cold day.
const TRIALS = 80;
const tried = tryOut(
  TRAINING,
  Array.from({ length: TRIALS }, (_, index) => index),
  true,
);

describe('real cold weeks, joints that the model does not quite know, forecasts with their errors', () => {
  test('are some, and most of them get there', () => {
    expect(tried.length).toBeGreaterThan(15);
    expect(tried.filter(({ hydroMs }) => hydroMs !== null).length).toBeGreaterThan(0.7 * tried.length);
  });

  test.each(LEAD_HOURS)('%d h before it was ready the projection was nearer than both plain guesses', (lead) => {
    const { count, ours, repeated, held, ratio } = scoreOf(lead, atLead(tried, lead));
    expect(count).toBeGreaterThan(15);
    expect(ours).toBeLessThan(repeated);
    expect(ours).toBeLessThan(held);
    expect(ratio).toBeGreaterThan(0);
  });

  test('nothing of it is left to chance', () => {
    const [one] = tryOut(TRAINING, [4]);
    expect(tryOut(TRAINING, [4])).toEqual([one]);
  });
});
