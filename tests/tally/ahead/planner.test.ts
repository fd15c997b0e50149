import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Heat } from '../../../edge/cure/outlook/input.ts';
import { HOUR_MS } from '../../../edge/cure/schedule.ts';
import { type Asked, adviceOn } from '../../../edge/tally/ahead/advice.ts';
import { Planner } from '../../../edge/tally/ahead/planner.ts';
import { dailyAir, inputOf, NOW_MS, UNSURE } from '../../cure/outlook/inputs.ts';

const heat: Heat = { kind: 'level', milliC: 20_000, sdMilliC: 2000 };
const asked = (hours: number): Asked => ({
  wanted: [{ input: inputOf('polyester-laminate', { ...UNSURE, air: dailyAir(6000, 5000) }), stage: 'hydro' }],
  dueMs: NOW_MS + hours * HOUR_MS,
  changes: new Map([['j1', { hold: { fromMs: NOW_MS, milliC: 11_000 } }]]),
  heat,
});

let planner: Planner;
beforeEach(() => {
  planner = new Planner();
});
afterEach(() => planner.close());

describe('the planner', () => {
  test('answers what the same functions answer here, each its own question', async () => {
    const answers = await Promise.all([26, 30, 60].map((hours) => planner.ask(asked(hours))));
    expect(answers).toEqual([26, 30, 60].map((hours) => adviceOn(asked(hours))));
    expect(answers[0]?.hold).not.toEqual(answers[2]?.hold);
  });

  test('lets eight wait beside the one that is answered, and turns further ones away', async () => {
    const ninth = Array.from({ length: 9 }, () => planner.ask(asked(30)));
    await expect(planner.ask(asked(30))).rejects.toMatchObject({ code: 'too-many' });
    const answers = await Promise.all(ninth);
    expect(new Set(answers.map(({ hold }) => hold?.milliC)).size).toBe(1);
    await expect(planner.ask(asked(26))).resolves.toEqual(adviceOn(asked(26)));
  });

  test('a question that it fails on is answered with the fault, and the next one by a new thread', async () => {
    const broken = { ...asked(30), wanted: [{ ...asked(30).wanted[0], input: null }] } as unknown as Asked;
    const [failed, next] = [planner.ask(broken), planner.ask(asked(30))];
    await expect(failed).rejects.toThrow();
    await expect(next).resolves.toEqual(adviceOn(asked(30)));
  });

  test('when it is closed, what it was at is not answered any more', async () => {
    const open = planner.ask(asked(30));
    // Once it has been put to the thread.
    await Promise.resolve();
    await Promise.resolve();
    const [ended] = await Promise.allSettled([open, planner.close()]);
    expect(ended).toMatchObject({ status: 'rejected', reason: { code: 'internal' } });
  });
});
