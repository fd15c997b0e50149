import { expect, test } from 'vitest';
import type { ActivityView, NeedView } from '../../edge/site/views/activity.ts';
import { backfillDoubt, backfillOf, lookOf, nextOf, startedEarly, whenOf } from '../../web/answer/activity.ts';
import { jointFacts } from '../../web/answer/joint.ts';
import type { JointNow } from '../../web/answer/sump.ts';
import { joined, NOW_MS, type Plan } from './views.ts';

const need = (part: Partial<NeedView>): NeedView => ({
  need: 'stage',
  met: false,
  metAt: null,
  joint: null,
  part: null,
  stage: null,
  activity: null,
  hold: null,
  missingHours: null,
  ifHeldAt: null,
  findings: [],
  ...part,
});

const activity = (name: string, part: Partial<ActivityView> = {}): ActivityView => ({
  activity: name,
  label: name,
  part: null,
  joint: null,
  waterTest: false,
  state: 'waiting',
  startedAt: null,
  startedBy: null,
  doneAt: null,
  doneBy: null,
  early: null,
  needs: [],
  projected: null,
  ...part,
});

function now(plan: Plan, lost = false): JointNow {
  const { view, probeOf } = joined(plan);
  return { view, facts: jointFacts(view, { lost, recording: true, nowMs: NOW_MS, probeOf }) };
}

test('with the link lost nothing that was not done is told as it was', () => {
  for (const state of ['waiting', 'ready', 'started'] as const) {
    expect(lookOf(activity('pour', { state }), true)).toBe('unknown');
    expect(lookOf(activity('pour', { state }), false)).toBe(state);
  }
  expect(lookOf(activity('pour', { state: 'done' }), true)).toBe('done');
});

test('a need for hours names its time only while the joint earns', () => {
  const ifHeldAt = new Date(NOW_MS + 6 * 3_600_000).toISOString();
  const stress = need({ joint: 'j1', stage: 'stress', missingHours: 6, ifHeldAt });
  const warm = now({ laidUpHoursAgo: 6, celsius: 12 });
  expect(whenOf(stress, [warm])).toEqual({ kind: 'held', atMs: NOW_MS + 6 * 3_600_000 });
  // The server's word is older than the page's: by now the joint is cold, silent, or nobody can be asked.
  expect(whenOf(stress, [now({ laidUpHoursAgo: 6, celsius: 4 })])).toEqual({ kind: 'none', why: 'cold' });
  expect(whenOf(stress, [now({ laidUpHoursAgo: 6, celsius: 12, silentMinutes: 20 })])).toEqual({
    kind: 'none',
    why: 'noReading',
  });
  expect(whenOf(stress, [now({ laidUpHoursAgo: 6, celsius: 12 }, true)])).toEqual({ kind: 'none', why: 'lost' });
  expect(whenOf({ ...stress, ifHeldAt: null }, [warm])).toEqual({ kind: 'none', why: 'noReading' });
});

test('a need that is met, is no matter of hours, or only waits for a decision has no time', () => {
  const warm = [now({ laidUpHoursAgo: 6, celsius: 12 })];
  expect(whenOf(need({ met: true, joint: 'j1', missingHours: 0 }), warm)).toBeNull();
  expect(whenOf(need({ need: 'prep', joint: 'j1' }), warm)).toBeNull();
  expect(whenOf(need({ joint: 'j1', missingHours: 0, findings: ['f'] }), warm)).toBeNull();
  // Hours are still missing, and no hour ends the wait for a decision.
  const ifHeldAt = new Date(NOW_MS + 6 * 3_600_000).toISOString();
  expect(whenOf(need({ joint: 'j1', missingHours: 6, ifHeldAt, findings: ['f'] }), warm)).toBeNull();
});

test('next is what has begun or may begin and the first that waits, without the test and what follows it', () => {
  const passed = need({ need: 'passed' });
  const all = [
    activity('base', { state: 'done' }),
    activity('pour', { state: 'started' }),
    activity('cut', { state: 'ready' }),
    activity('bed'),
    activity('upper'),
    activity('test', { waterTest: true }),
    activity('backfill', { needs: [passed] }),
  ];
  expect(nextOf(all).map(({ activity: name }) => name)).toEqual(['pour', 'cut', 'bed']);
});

test('backfill opens with everything that it needs and is never open without a link', () => {
  const backfill = (state: ActivityView['state'], needs: NeedView[]) => [activity('backfill', { state, needs })];
  const passed = (met: boolean) => need({ need: 'passed', met });
  const decided = (met: boolean) => need({ need: 'decided', met });
  expect(backfillOf(backfill('ready', [passed(true), decided(true)]), false)).toBe('open');
  expect(backfillOf(backfill('ready', [passed(true), decided(true)]), true)).toBe('unknown');
  expect(backfillOf(backfill('waiting', [passed(false), decided(true)]), false)).toBe('untested');
  expect(backfillOf(backfill('waiting', [passed(true), decided(false)]), false)).toBe('undecided');
  expect(backfillOf(backfill('waiting', [passed(true), need({ need: 'hold' })]), false)).toBe('waits');
  expect(backfillOf(backfill('done', [passed(true)]), true)).toBe('done');
  expect(backfillOf([activity('pour')], false)).toBeNull();
});

test('a backfill that is done is doubted when its test no longer stands or findings wait', () => {
  const backfill = (state: ActivityView['state'], passed: boolean, decided: boolean) => [
    activity('backfill', { state, needs: [need({ need: 'passed', met: passed }), need({ need: 'decided', met: decided })] }),
  ];
  expect(backfillDoubt(backfill('done', true, true))).toBeNull();
  expect(backfillDoubt(backfill('done', true, false))).toBe('undecided');
  expect(backfillDoubt(backfill('started', false, false))).toBe('untested');
  // Before it begins its state says the same.
  expect(backfillDoubt(backfill('waiting', false, false))).toBeNull();
});

test('what was started before its time is told although it is done', () => {
  const early = activity('cut', { state: 'done', early: { reason: 'Fitter leaves' } });
  expect(startedEarly([activity('base', { state: 'done' }), early])).toEqual([early]);
});
