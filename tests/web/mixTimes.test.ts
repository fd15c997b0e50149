import { expect, test } from 'vitest';
import type { JointView } from '../../edge/site/views/joint.ts';
import type { StageView } from '../../edge/site/views/stage.ts';
import { jointFacts } from '../../web/answer/joint.ts';
import { isMixOpen, mixTimesOf, workingOf } from '../../web/answer/mixTimes.ts';
import { joined, NOW_MS } from './views.ts';

const MINUTE_MS = 60_000;
const stage = (name: string, part: Partial<StageView>): StageView => ({
  stage: name,
  requiredHours: 0.1,
  reachedAt: null,
  clearAt: null,
  provenBy: null,
  remainingHours: 0.05,
  ifHeldAt: new Date(NOW_MS + 10 * MINUTE_MS).toISOString(),
  blockedBy: [],
  ...part,
});

function mixed(stages: StageView[], silentMinutes = 0) {
  const { view, probeOf } = joined({ laidUpHoursAgo: 1, celsius: 12, silentMinutes });
  const own: JointView = { ...view, fromMix: { startedAt: new Date(NOW_MS - 20 * MINUTE_MS).toISOString(), stages } };
  const at = (lost: boolean, nowMs = NOW_MS) => jointFacts(own, { lost, recording: true, nowMs, probeOf });
  return { view: own, at };
}

const tacky = stage('tack', { reachedAt: new Date(NOW_MS - 5 * MINUTE_MS).toISOString(), remainingHours: 0, ifHeldAt: null });

test('what is reached stays, what is to come is told while a live reading stands behind it', () => {
  const { view, at } = mixed([tacky, stage('gel', {})]);
  expect(mixTimesOf(view, at(false), true)).toEqual([
    { stage: 'tack', time: { kind: 'reached', atMs: NOW_MS - 5 * MINUTE_MS } },
    { stage: 'gel', time: { kind: 'held', atMs: NOW_MS + 10 * MINUTE_MS } },
  ]);
  expect(isMixOpen(view)).toBe(true);
  expect(isMixOpen(mixed([tacky]).view)).toBe(false);
});

test('no time is told when the link is down, nothing is recorded, or the reading has grown old', () => {
  const { view, at } = mixed([stage('gel', {})]);
  const kind = (...args: Parameters<typeof mixTimesOf>) => mixTimesOf(...args).map(({ time }) => time.kind);
  expect(kind(view, at(true), true)).toEqual(['lost']);
  expect(kind(view, at(false), false)).toEqual(['none']);
  expect(kind(view, at(false, NOW_MS + 16 * MINUTE_MS), true)).toEqual(['none']);
  expect(kind({ ...view, governing: null }, at(false), true)).toEqual(['none']);
});

test('the working time runs on the clock from the mix, and is told to be over for an hour', () => {
  const mix = {
    at: new Date(NOW_MS - 10 * MINUTE_MS).toISOString(),
    by: 'Sam',
    resinLot: null,
    catalystLot: null,
    resinCelsius: 20,
    airCelsius: null,
    working: { minutes: 30, atLeast: true, atMost: false },
  };
  const untilMs = NOW_MS + 20 * MINUTE_MS;
  expect(workingOf({ mix }, NOW_MS)).toEqual({ untilMs, minutes: 30, bound: 'atLeast' });
  const bound = (working: typeof mix.working) => workingOf({ mix: { ...mix, working } }, NOW_MS)?.bound;
  expect(bound({ minutes: 30, atLeast: false, atMost: true })).toBe('atMost');
  expect(bound({ minutes: 30, atLeast: false, atMost: false })).toBe('about');
  expect(workingOf({ mix }, untilMs + 60 * MINUTE_MS)).not.toBeNull();
  expect(workingOf({ mix }, untilMs + 60 * MINUTE_MS + 1)).toBeNull();
  expect(workingOf({ mix: { ...mix, working: null } }, NOW_MS)).toBeNull();
  expect(workingOf({ mix: null }, NOW_MS)).toBeNull();
});
