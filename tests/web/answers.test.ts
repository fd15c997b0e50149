import { expect, test } from 'vitest';
import { builtInSequences, type Sequence, testAndBackfill } from '../../edge/site/sequence.ts';
import { newSump, type Started } from '../../edge/site/state/sump.ts';
import { activitiesNow } from '../../edge/site/views/activity.ts';
import type { WaterTestView } from '../../edge/site/views/waterTest.ts';
import { jointFacts, type Moment } from '../../web/answer/joint.ts';
import { answerLook, fillAnswer, type JointNow, type SumpFacts, stressAnswer } from '../../web/answer/sump.ts';
import { joined, NOW_MS, type Plan } from './views.ts';

const MINUTE_MS = 60_000;

function now(plan: Plan, moment: Partial<Moment> = {}): JointNow {
  const { view, probeOf } = joined(plan);
  return { view, facts: jointFacts(view, { lost: false, recording: true, nowMs: NOW_MS, probeOf, ...moment }) };
}

interface SumpPlan {
  readonly slowest?: string;
  readonly sequence?: Sequence;
  readonly tests?: readonly WaterTestView[];
  readonly undecided?: readonly string[];
  /** Hours ago. */
  readonly testStarted?: { readonly hoursAgo: number; readonly reason?: string };
}

/** A sump's own part of the answer, its activities as the server makes them. */
function sumpOf(joints: readonly JointNow[], plan: SumpPlan = {}): SumpFacts {
  const { slowest = null, sequence = testAndBackfill, tests = [], undecided = [], testStarted } = plan;
  const by = { name: 'Sam', role: 'crew' } as const;
  const recordedAt = new Date(NOW_MS - 100 * 60 * MINUTE_MS).toISOString();
  const sump = newSump({ kind: 'sump.added', sump: 's1', label: 'Sump', recordedAt, by }, sequence, 1);
  if (testStarted !== undefined) {
    const atMs = NOW_MS - testStarted.hoursAgo * 60 * MINUTE_MS;
    const early = testStarted.reason === undefined ? [] : [{ need: 'joint "j1" is not clear for hydro', missingHours: 3 }];
    const started: Started = {
      activity: 'water-test',
      seq: 9,
      atMs,
      recordedMs: atMs,
      by,
      reason: testStarted.reason ?? null,
      early,
    };
    sump.started.set('water-test', started);
  }
  const views = joints.map(({ view }) => view);
  return {
    slowestJoint: slowest,
    activities: activitiesNow({ sump, joints: views, tests, undecided, decidedAt: null }).map((activity) => ({
      ...activity,
      projected: null,
    })),
    parts: sequence.parts.map((part) => ({ ...part, joint: views.find((view) => view.part === part.part)?.joint ?? null })),
    tests: [...tests],
  };
}

const waterTest = (seq: number, verdict: WaterTestView['verdict'], retestOf: number | null = null): WaterTestView => ({
  seq,
  method: 'full-height',
  filledAt: new Date(NOW_MS - 100 * MINUTE_MS).toISOString(),
  startedAt: new Date(NOW_MS - 80 * MINUTE_MS).toISOString(),
  endedAt: new Date(NOW_MS - 20 * MINUTE_MS).toISOString(),
  by: 'Sam',
  recordedAt: new Date(NOW_MS - 19 * MINUTE_MS).toISOString(),
  verdict,
  limitMm: 3.175,
  byHand: null,
  byProbe: null,
  retestOf,
});

const warm = { laidUpHoursAgo: 6, celsius: 12 };
const done = { laidUpHoursAgo: 30, celsius: 12 };

test('a warm joint with a fresh reading earns hours, and nothing speaks against it', () => {
  const { view, facts } = now(warm);
  expect(view.phase).toBe('curing');
  expect(facts).toMatchObject({ whyNot: null, done: false, lost: false, stale: false });
  expect(facts.reading).toMatchObject({ probe: 'p1', celsius: 12, old: false });
});

test.each<[string, Plan, string]>([
  ['is planned', { laidUpHoursAgo: null, celsius: 12 }, 'planned'],
  ['has no probe', { laidUpHoursAgo: 6, celsius: null }, 'noProbe'],
  ['is below the floor', { laidUpHoursAgo: 6, celsius: 4 }, 'cold'],
  ['is at the floor but for the guard band', { laidUpHoursAgo: 6, celsius: 5.4 }, 'cold'],
  ['was silent for longer than the gap limit', { laidUpHoursAgo: 6, celsius: 12, silentMinutes: 16 }, 'noReading'],
])('a joint that %s says why it earns nothing', (_, plan, whyNot) => {
  expect(now(plan).facts.whyNot).toBe(whyNot);
});

test('a reading grows old on the page without a word from the server', () => {
  const { view, probeOf } = joined(warm);
  const at = (minutes: number) =>
    jointFacts(view, { lost: false, recording: true, nowMs: NOW_MS + minutes * MINUTE_MS, probeOf });
  expect(view.governing).not.toBeNull();
  expect(at(15)).toMatchObject({ whyNot: null, stale: false });
  expect(at(15.1)).toMatchObject({ whyNot: 'noReading', stale: true, reading: { old: true } });
});

test('the last reading is shown as old when none governs', () => {
  const { facts } = now({ ...warm, silentMinutes: 90 });
  expect(facts.reading).toEqual({ probe: 'p1', celsius: 12, atMs: NOW_MS - 90 * MINUTE_MS, old: true });
  expect(facts.stale).toBe(true);
});

test('with the link lost every number is stale and every reading old, a finished joint too', () => {
  for (const plan of [warm, done, { laidUpHoursAgo: null, celsius: 12 }])
    expect(now(plan, { lost: true }).facts).toMatchObject({ lost: true, stale: true, reading: { old: true } });
});

test('nothing is earned while nothing is recorded', () => {
  expect(now(warm, { recording: false }).facts.whyNot).toBe('notRecording');
  expect(now(done, { recording: false }).facts).toMatchObject({ whyNot: null, done: true });
});

test('a probe that is silent while another one counts is named with its last reading, a lone silent one is not', () => {
  const { view, probeOf } = joined(warm);
  const two = { ...view, probes: [...view.probes, { probe: 'p2', role: 'material' as const, registered: true }] };
  const facts = (silentMinutes: number | null) =>
    jointFacts(two, {
      lost: false,
      recording: true,
      nowMs: NOW_MS,
      probeOf: (name) => {
        const p1 = probeOf('p1');
        if (name === 'p1' || p1 === undefined) return p1;
        const at = new Date(NOW_MS - (silentMinutes ?? 0) * MINUTE_MS).toISOString();
        return { ...p1, probe: name, latest: silentMinutes === null ? null : { celsius: 12, at } };
      },
    });
  expect(facts(15).silent).toEqual([]);
  expect(facts(30)).toMatchObject({ whyNot: null, silent: [{ probe: 'p2', lastMs: NOW_MS - 30 * MINUTE_MS }] });
  expect(facts(null).silent).toEqual([{ probe: 'p2', lastMs: null }]);
  expect(now({ ...warm, silentMinutes: 30 }).facts).toMatchObject({ whyNot: 'noReading', silent: [] });
});

test('a sump that waits for several joints counts the others', () => {
  const three = ['a', 'b', 'c'].map((joint) => now({ ...warm, joint }));
  const all = [...three, now({ ...done, joint: 'd' })];
  expect(fillAnswer(all, sumpOf(all, { slowest: 'b' }))).toMatchObject({
    waitsFor: { view: { joint: 'b' } },
    more: 2,
  });
  expect(fillAnswer(three.slice(0, 1), sumpOf(three.slice(0, 1), { slowest: 'a' }))).toMatchObject({ more: 0 });
});

test('a sump without joints has no answer', () => {
  expect(fillAnswer([], sumpOf([]))).toEqual({ kind: 'noJoints' });
});

test('a sump is released by its slowest joint: one that waits is enough', () => {
  const slow = now({ ...warm, joint: 'slow' });
  const all = [now({ ...done, joint: 'a' }), slow, now({ ...done, joint: 'b' })];
  const answer = fillAnswer(all, sumpOf(all, { slowest: 'slow' }));
  expect(answer).toMatchObject({ kind: 'waits', waitsFor: { view: { joint: 'slow' } } });
});

test('hours are reached only when every joint has them, and then the last of them tells when', () => {
  const early = now({ joint: 'early', laidUpHoursAgo: 40, celsius: 12 });
  const late = now({ joint: 'late', laidUpHoursAgo: 30, celsius: 12 });
  // Laid up 30 h ago and warm throughout: its 24 h were full 6 h ago.
  const lastMs = NOW_MS - 6 * 60 * MINUTE_MS;
  expect(fillAnswer([early, late], sumpOf([early, late], { slowest: 'late' }))).toEqual({ kind: 'reached', lastMs, joints: 2 });
});

test('hours that an open finding blocks release nothing', () => {
  const { view, facts } = now(done);
  const blocked = {
    view: { ...view, phase: 'curing' as const, stages: view.stages.map((stage) => ({ ...stage, blockedBy: ['f'] })) },
    facts,
  };
  expect(blocked.view.stages.at(-1)?.reachedAt).not.toBeNull();
  expect(fillAnswer([blocked], sumpOf([blocked], { undecided: ['f'] }))).toMatchObject({
    kind: 'waits',
    undecided: 1,
    expected: { kind: 'none', why: 'blocked' },
  });
});

test('no time is named for a joint that a finding blocks while its hours still run', () => {
  const { view, facts } = now(warm);
  const stages = view.stages.map((stage) => ({ ...stage, blockedBy: ['f'] }));
  expect(stages.at(-1)?.ifHeldAt).not.toBeNull();
  const blocked = [{ view: { ...view, stages }, facts }];
  expect(fillAnswer(blocked, sumpOf(blocked, { undecided: ['f'] }))).toMatchObject({
    kind: 'waits',
    expected: { kind: 'none', why: 'stopped' },
  });
});

test('findings hold the water test although every joint has its hours', () => {
  const ready = [now(done)];
  expect(fillAnswer(ready, sumpOf(ready, { undecided: ['f', 'g'] }))).toEqual({ kind: 'undecided', undecided: 2 });
});

test('a joint that the sequence asks for and that nobody has added holds the sump back', () => {
  const [sequence] = builtInSequences;
  const base = now(done);
  const all = [{ ...base, view: { ...base.view, part: 'base' } }];
  expect(fillAnswer(all, sumpOf(all, { sequence: sequence as Sequence }))).toEqual({
    kind: 'missing',
    parts: ['Inner epoxy pour', 'Sealant bed', 'Upper laminate'],
  });
});

test('something else that the sequence asks for is named', () => {
  const sequence: Sequence = {
    ...testAndBackfill,
    name: 'held',
    activities: testAndBackfill.activities.map((activity) =>
      activity.waterTest
        ? { ...activity, needs: [...activity.needs, { need: 'hold' as const, hold: 'owner', label: 'Owner looked at it' }] }
        : activity,
    ),
  };
  const ready = [now(done)];
  expect(fillAnswer(ready, sumpOf(ready, { sequence }))).toMatchObject({ kind: 'needs', need: { need: 'hold' } });
});

test('a test that is on, was not passed, or was passed is the answer, whatever the hours say', () => {
  const ready = [now(done)];
  const testStarted = { hoursAgo: 2 };
  expect(fillAnswer(ready, sumpOf(ready, { testStarted }))).toMatchObject({ kind: 'started', isEarly: false });
  const slow = [now(warm)];
  const early = { hoursAgo: 2, reason: 'The crew leaves' };
  expect(fillAnswer(slow, sumpOf(slow, { testStarted: early }))).toMatchObject({ kind: 'started', isEarly: true });
  const failed = { testStarted, tests: [waterTest(20, 'fail')] };
  expect(fillAnswer(ready, sumpOf(ready, failed))).toMatchObject({ kind: 'failed', verdict: 'fail' });
  const retested = { testStarted, tests: [waterTest(20, 'fail'), waterTest(21, 'pass', 20)] };
  expect(fillAnswer(ready, sumpOf(ready, retested))).toEqual({ kind: 'passed', atMs: NOW_MS - 20 * MINUTE_MS });
});

test('an answer is calm only while nothing waits for a decision and the link is live', () => {
  for (const answer of [
    { kind: 'passed', atMs: 1 },
    { kind: 'reached', lastMs: 1, joints: 1 },
  ] as const) {
    expect(answerLook(answer, 0, false)).toBe('is-reached');
    expect(answerLook(answer, 1, false)).toBe('is-waiting');
    expect(answerLook(answer, 0, true)).toBe('is-unknown');
  }
  expect(answerLook({ kind: 'failed', atMs: 1, verdict: 'fail' }, 1, false)).toBe('is-failed');
  expect(answerLook({ kind: 'started', atMs: 1, isEarly: true }, 0, false)).toBe('is-waiting');
});

test('no time is named while any joint of the sump earns nothing', () => {
  const cold = now({ joint: 'cold', laidUpHoursAgo: 20, celsius: 3 });
  const slow = now({ joint: 'slow', laidUpHoursAgo: 1, celsius: 12 });
  expect(fillAnswer([slow, cold], sumpOf([slow, cold], { slowest: 'slow' }))).toMatchObject({
    waitsFor: { view: { joint: 'slow' } },
    expected: { kind: 'none', why: 'cold', joint: { view: { joint: 'cold' } } },
  });
});

test('the time is that of the joint which is last by the clock, not the one with the most hours to go', () => {
  // Fewer hours to go, but so cool that each takes far longer.
  const cool = now({ joint: 'cool', laidUpHoursAgo: 10, celsius: 6 });
  const mild = now({ joint: 'mild', laidUpHoursAgo: 5, celsius: 12 });
  const hydro = (joint: JointNow) => joint.view.stages.find((stage) => stage.stage === 'hydro');
  expect(hydro(cool)?.remainingHours).toBeLessThan(hydro(mild)?.remainingHours ?? 0);
  expect(fillAnswer([mild, cool], sumpOf([mild, cool], { slowest: 'mild' }))).toMatchObject({
    waitsFor: { view: { joint: 'mild' } },
    expected: { kind: 'held', atMs: Date.parse(hydro(cool)?.ifHeldAt ?? ''), joint: { view: { joint: 'cool' } } },
  });
});

test('joints are told apart by whether they may be stressed', () => {
  const joints = [
    now({ joint: 'a', laidUpHoursAgo: 13, celsius: 12 }),
    now({ ...done, joint: 'b' }),
    now({ ...warm, joint: 'c' }),
  ];
  const { has, waits } = stressAnswer(joints);
  expect(has.map((view) => view.joint)).toEqual(['a', 'b']);
  expect(waits.map((view) => view.joint)).toEqual(['c']);
});
