import { describe, expect, test } from 'vitest';
import { chanceBy, safeFromMs, together } from '../../edge/cure/outlook/booking.ts';
import { MEMBERS } from '../../edge/cure/outlook/chance.ts';
import type { OutlookInput } from '../../edge/cure/outlook/input.ts';
import { project } from '../../edge/cure/outlook/project.ts';
import { HOUR_MS } from '../../edge/cure/schedule.ts';
import type { OutlookReason } from '../../edge/site/views/outlook.ts';
import { type Aim, planAnswer, wantedOf } from '../../web/pages/plan/planAnswer.ts';
import { quickly } from '../../web/pages/plan/quickly.ts';
import { aboutOf, shownOf } from '../../web/pages/plan/shownAnswer.ts';
import { solve } from '../../web/pages/plan/solve.ts';
import { dailyAir, inputOf, NOW_MS, UNSURE } from '../cure/outlook/inputs.ts';

const cold = { ...UNSURE, air: dailyAir(4000, 4000, 60_000) };
const slow = inputOf('polyester-laminate', { ...cold, joint: 'slow', stream: 1 });
const quick = inputOf('polyester-laminate', {
  ...cold,
  joint: 'quick',
  stream: 2,
  credit: { frontierMs: NOW_MS, creditPpmMs: 23.5 * 3.6e12, reached: [{ stage: 'stress', reachedAtMs: NOW_MS - 8 * HOUR_MS }] },
});

const known = (input: OutlookInput) => ({ joint: input.joint, label: input.joint, input, reason: null, basis: null });
const nameless = (joint: string, reason: OutlookReason) => ({ joint, label: joint, input: null, reason, basis: null });
const outlook = { joints: [known(slow), known(quick)] };
const aimAt = (hours: number, joints = ['slow', 'quick'], stage = 'hydro'): Aim => ({
  needs: joints.map((joint) => ({ joint, stage })),
  reason: null,
  dueMs: NOW_MS + hours * HOUR_MS,
});

const worlds = (input: OutlookInput, change = {}) =>
  project(input, { change }).stages.find(({ stage }) => stage === 'hydro')?.membersMs ?? [];

describe('an appointment that waits for two joints', () => {
  const all = together([
    { joint: 'slow', membersMs: worlds(slow) },
    { joint: 'quick', membersMs: worlds(quick) },
  ]);
  // Somewhere between never and always.
  const aim = aimAt(50);
  const answer = planAnswer(outlook, aim);

  test('has the chance that both are ready, world by world', () => {
    expect(answer.chance).toBe(chanceBy(all, aim.dueMs));
    expect(answer.chance).toBeGreaterThan(0);
    expect(answer.chance).toBeLessThan(1);
    expect(answer.safeFromMs).toBe(safeFromMs(all));
    expect(Date.parse(answer.ready.earliest ?? '')).toBeLessThan(Date.parse(answer.ready.likely ?? ''));
  });

  test('is decided by the slower one, and each has a chance of its own', () => {
    expect(answer.decidedBy).toBe('slow');
    const own = Object.fromEntries(answer.joints.map(({ joint, chance }) => [joint, chance]));
    expect(own.quick).toBe(1);
    expect(own.slow).toBe(answer.chance);
  });

  test('holds more often when the slower one is kept warm, and no less when the other is too', () => {
    const change = { hold: { fromMs: NOW_MS, milliC: 12_000 } };
    const one = planAnswer(outlook, aim, { joints: ['slow'], change });
    const both = planAnswer(outlook, aim, { joints: ['slow', 'quick'], change });
    expect(one.chance ?? 0).toBeGreaterThan(answer.chance ?? 1);
    expect(both.chance ?? 0).toBeGreaterThanOrEqual(one.chance ?? 1);
    expect(one.chance).toBe(chanceBy(worlds(slow, change), aim.dueMs));
  });

  test('a first answer from fewer worlds is that of the first of them', () => {
    const fresh = { joints: [known({ ...slow }), known({ ...quick })] };
    expect(planAnswer(fresh, aim, null, 16).chance).toBe(chanceBy(all.slice(0, 16), aim.dueMs));
    // All of them are asked for afterwards.
    expect(planAnswer(fresh, aim).chance).toBe(answer.chance);
    expect(planAnswer(fresh, aim, null, 16).chance).toBe(chanceBy(all.slice(0, 16), aim.dueMs));
  });

  test('just enough warmth, as the thread beside the page finds it, makes it safe; a tenth of a degree less does not', () => {
    const enough = solve('hold', { outlook, aim });
    if (enough?.isEnough !== true) throw new Error('not enough');
    expect(enough.joints).toEqual(['slow']);
    const held = (milliC: number) =>
      planAnswer(outlook, aim, { joints: ['slow'], change: { hold: { fromMs: NOW_MS, milliC } } }).chance ?? 0;
    expect(held(enough.milliC)).toBeGreaterThanOrEqual(0.9);
    expect(held(enough.milliC - 100)).toBeLessThan(0.9);
  });
});

describe('what is not enough', () => {
  // Full credit from now on would bring the hours after 24 h at the soonest.
  const soon = aimAt(23);
  const heat = { kind: 'rise', milliC: 8000, sdMilliC: 3000 } as const;

  test('and does not help either is told as that', () => {
    expect(solve('hold', { outlook, aim: soon })).toBeNull();
    expect(solve('heat', { outlook, aim: soon, heat })).toBeNull();
  });

  test('but helps says from what to what the chance is lifted, as the bench then shows it', () => {
    const aim = aimAt(36);
    const lift = solve('heat', { outlook, aim, heat });
    if (lift?.isEnough !== false) throw new Error('no lift');
    expect(lift.joints).toEqual(['slow']);
    expect(lift.from).toBe(planAnswer(outlook, aim).chance);
    expect(lift.to).toBe(planAnswer(outlook, aim, { joints: ['slow'], change: { heat: { fromMs: NOW_MS, heat } } }).chance);
    expect(lift.to).toBeGreaterThan(lift.from);
    expect(lift.to).toBeLessThan(0.9);
  });
});

describe('which answer is shown', () => {
  const [first, old, full] = [0.9, 0.4, 0.5].map((chance) => ({
    ...planAnswer(outlook, { needs: [], reason: null, dueMs: NOW_MS }),
    chance,
  }));
  if (first === undefined || old === undefined || full === undefined) throw new Error('three answers');
  const about = aboutOf(aimAt(50));

  test('a first one only where there was no full one about the same work', () => {
    expect(shownOf(null, null, first, about)).toEqual({ answer: first, standing: 'first' });
    expect(shownOf(null, { about, answer: old }, first, about)).toEqual({ answer: old, standing: 'kept' });
    expect(shownOf(full, { about, answer: old }, first, about)).toEqual({ answer: full, standing: 'full' });
    expect(shownOf(null, { about: aboutOf(aimAt(50, ['quick'])), answer: old }, first, about).standing).toBe('first');
  });

  test('another hour is the same work', () => {
    expect(aboutOf(aimAt(60))).toBe(about);
    expect(aboutOf({ ...aimAt(50), reason: 'not-laid-up' })).not.toBe(about);
  });
});

test('without anything to go by for one joint there is no chance, and that joint is named', () => {
  const answer = planAnswer({ joints: [known(quick), nameless('bare', 'no-temperature')] }, aimAt(50, ['quick', 'bare']));
  expect(answer).toMatchObject({ chance: null, decidedBy: 'bare', safeFromMs: null });
  expect(answer.ready).toEqual({ earliest: null, likely: null, latest: null, reason: 'no-temperature' });
  expect(answer.joints.map(({ joint, chance }) => [joint, chance])).toEqual([
    ['quick', 1],
    ['bare', null],
  ]);
});

test('what waits for a joint that is not on the site has no chance either, though it names no joint', () => {
  const answer = planAnswer(outlook, { needs: [], reason: 'not-laid-up', dueMs: NOW_MS });
  expect(answer).toMatchObject({ chance: null, decidedBy: null, ready: { reason: 'not-laid-up' } });
});

test('what waits for no hours is there', () => {
  expect(planAnswer(outlook, { needs: [], reason: null, dueMs: NOW_MS })).toEqual({
    chance: 1,
    decidedBy: null,
    ready: { earliest: null, likely: null, latest: null, reason: null },
    safeFromMs: null,
    joints: [],
  });
});

test('what is not proven yet is not there yet: no time that has passed is named for it', () => {
  const late = inputOf('polyester-laminate', { ...cold, joint: 'late', nowMs: NOW_MS + 60 * HOUR_MS, air: dailyAir(15_000, 0) });
  const { ready } = planAnswer({ joints: [known(late)] }, aimAt(70, ['late']));
  expect(Date.parse(ready.earliest ?? '')).toBeGreaterThanOrEqual(late.nowMs);
});

test('a stage that a schedule does not have is asked of its last one', () => {
  const stages = wantedOf(outlook, [{ joint: 'slow', stage: 'polish' }]).map(({ stage }) => stage);
  expect(stages).toEqual(['hydro']);
});

test.each([
  [0.1, [8, MEMBERS]],
  [0.4, [8, 32]],
  [0.8, [8, 16]],
  [10, [8]],
])('at %d ms a world, %j worlds are looked at within 20 ms', (msPerWorld, expected) => {
  const asked: number[] = [];
  let nowMs = 0;
  const look = (worlds: number) => {
    asked.push(worlds);
    nowMs += worlds * msPerWorld;
    return worlds;
  };
  const { answer, worlds } = quickly(look, 20, () => nowMs);
  expect(asked).toEqual(expected);
  expect(answer).toBe(worlds);
  if (msPerWorld < 1) expect(nowMs).toBeLessThanOrEqual(20);
});
