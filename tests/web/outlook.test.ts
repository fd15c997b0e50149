import { describe, expect, test } from 'vitest';
import type { ActivityView } from '../../edge/site/views/activity.ts';
import type { BookingView } from '../../edge/site/views/booking.ts';
import type { JointView } from '../../edge/site/views/joint.ts';
import type { Times } from '../../edge/site/views/outlook.ts';
import { activityAhead, hoursAhead } from '../../web/answer/activity.ts';
import { calendarEnd, calendarOf, placeOf } from '../../web/answer/calendar.ts';
import { jointFacts } from '../../web/answer/joint.ts';
import { aheadOf, bookingLook, stageAhead, tenthsOf } from '../../web/answer/outlook.ts';
import { fillAnswer, type JointNow } from '../../web/answer/sump.ts';
import { aheadSpanMs } from '../../web/chart/aheadSpan.ts';
import { ahead as words } from '../../web/text/en/ahead.ts';
import { joined, NOW_MS, type Plan } from './views.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const at = (hours: number) => new Date(NOW_MS + hours * HOUR_MS).toISOString();
const times = (earliest: number | null, likely: number | null, latest: number | null): Times => ({
  earliest: earliest === null ? null : at(earliest),
  likely: likely === null ? null : at(likely),
  latest: latest === null ? null : at(latest),
  reason: latest === null ? 'beyond-horizon' : null,
});
const SOON = times(4, 6, 11);

describe('when something will be so', () => {
  test('is told rounded outwards: never sooner than likely, never narrower than it is', () => {
    const odd: Times = {
      earliest: new Date(NOW_MS + 64.5 * MINUTE_MS).toISOString(),
      likely: new Date(NOW_MS + 121.2 * MINUTE_MS).toISOString(),
      latest: new Date(NOW_MS + 180.1 * MINUTE_MS).toISOString(),
      reason: null,
    };
    expect(aheadOf(odd, NOW_MS)).toEqual({
      kind: 'window',
      earliestMs: NOW_MS + 60 * MINUTE_MS,
      likelyMs: NOW_MS + 125 * MINUTE_MS,
      latestMs: NOW_MS + 185 * MINUTE_MS,
    });
  });

  test('does not begin in the past, and is no empty span when it begins within minutes', () => {
    const now = NOW_MS + 2 * MINUTE_MS;
    const soon = new Date(NOW_MS + 4.5 * MINUTE_MS).toISOString();
    expect(aheadOf({ earliest: soon, likely: soon, latest: soon, reason: null }, now)).toEqual({
      kind: 'window',
      earliestMs: NOW_MS + 4 * MINUTE_MS,
      likelyMs: NOW_MS + 5 * MINUTE_MS,
      latestMs: NOW_MS + 5 * MINUTE_MS,
    });
  });

  test('keeps what can be named when the days that are looked at end before the rest', () => {
    expect(aheadOf(times(4, 6, null), NOW_MS)).toMatchObject({ kind: 'window', latestMs: null });
    expect(aheadOf(times(4, null, null), NOW_MS)).toEqual({ kind: 'notBefore', earliestMs: NOW_MS + 4 * HOUR_MS });
    expect(aheadOf(times(null, null, null), NOW_MS)).toEqual({ kind: 'none', reason: 'beyond-horizon' });
    const unknown = { earliest: null, likely: null, latest: null, reason: 'no-temperature' } as const;
    expect(aheadOf(unknown, NOW_MS)).toEqual({ kind: 'none', reason: 'no-temperature' });
  });
});

const projected: NonNullable<JointView['projected']> = {
  asOf: at(0),
  air: 'forecast',
  stages: [
    { stage: 'stress', ...times(1, 2, 3) },
    { stage: 'hydro', ...SOON },
  ],
};

function now(plan: Partial<Plan> = {}, lost = false): JointNow {
  const { view, probeOf } = joined({ laidUpHoursAgo: 6, celsius: 12, ...plan });
  const seen = { ...view, projected };
  return { view: seen, facts: jointFacts(seen, { lost, recording: true, nowMs: NOW_MS, probeOf }) };
}
const hydroAhead = ({ view, facts }: JointNow) => stageAhead(view, view.stages.at(-1), facts);

describe('what lies ahead of a stage', () => {
  test('is told for a joint that is heard, cold or not', () => {
    expect(hydroAhead(now())).toMatchObject({ times: SOON, air: 'forecast' });
    expect(now({ celsius: 4 }).facts.whyNot).toBe('cold');
    expect(hydroAhead(now({ celsius: 4 }))).not.toBeNull();
  });

  test('is not told of a joint that nobody hears, nor of a stage that is reached', () => {
    expect(now({ silentMinutes: 20 }).facts.whyNot).toBe('noReading');
    expect(hydroAhead(now({ silentMinutes: 20 }))).toBeNull();
    expect(hydroAhead(now({ laidUpHoursAgo: 40 }))).toBeNull();
    const { view, facts } = now();
    expect(stageAhead({ ...view, projected: null }, view.stages.at(-1), facts)).toBeNull();
  });

  test('stays as the last word when the link is lost, unless the joint was not heard then', () => {
    expect(hydroAhead(now({}, true))).toMatchObject({ times: SOON });
    expect(hydroAhead(now({ silentMinutes: 20 }, true))).toBeNull();
  });
});

const activity = (part: Partial<ActivityView>): ActivityView => ({
  activity: 'water-test',
  label: 'Fill and test',
  part: null,
  joint: null,
  waterTest: true,
  state: 'waiting',
  startedAt: null,
  startedBy: null,
  doneAt: null,
  doneBy: null,
  early: null,
  needs: [
    {
      need: 'allJoints',
      met: false,
      metAt: null,
      joint: 'j1',
      part: null,
      stage: 'hydro',
      activity: null,
      hold: null,
      missingHours: 6,
      ifHeldAt: null,
      findings: [],
    },
  ],
  projected: SOON,
  ...part,
});

describe('what lies ahead of a sump', () => {
  const facts = { slowestJoint: 'j1', parts: [], tests: [] };

  test('is its water test’s window, where every joint that waits is heard', () => {
    const all = [now(), now({ joint: 'j2', celsius: 4 })];
    expect(fillAnswer(all, { ...facts, activities: [activity({})] })).toMatchObject({
      kind: 'waits',
      expected: { kind: 'ahead', times: SOON, air: 'forecast' },
    });
  });

  test('is not told beside a joint that nobody hears: then the old reason stands', () => {
    const all = [now(), now({ joint: 'j2', silentMinutes: 20 })];
    expect(fillAnswer(all, { ...facts, activities: [activity({})] })).toMatchObject({
      expected: { kind: 'none', why: 'noReading' },
    });
    expect(hoursAhead(activity({}), all)).toBeNull();
  });

  test('is not told beside a joint that is blocked, and an activity that waits for a decision has no start', () => {
    const { view, facts: seen } = now();
    const blocked = { view: { ...view, stages: view.stages.map((stage) => ({ ...stage, blockedBy: ['f'] })) }, facts: seen };
    expect(fillAnswer([blocked], { ...facts, activities: [activity({})] })).toMatchObject({
      expected: { kind: 'none', why: 'stopped' },
    });
    const undecided = activity({ needs: activity({}).needs.map((need) => ({ ...need, findings: ['f'] })) });
    expect(activityAhead(activity({}), [now()])).toEqual(SOON);
    expect(activityAhead(undecided, [now()])).toBeNull();
    expect(hoursAhead(undecided, [now()]), 'its hours come all the same').toEqual(SOON);
  });
});

const booking = (part: Partial<BookingView> = {}): BookingView => ({
  seq: 7,
  activity: 'water-test',
  label: 'Fill and test',
  due: at(9),
  by: 'Sam',
  note: null,
  chance: 0.5,
  decidedBy: 'j1',
  ready: SOON,
  safeFrom: at(11),
  waitsFor: [],
  ...part,
});

describe('an appointment', () => {
  test('is never called certain: 0 and 1 have words of their own', () => {
    expect([0, 0.04, 0.28, 0.5, 0.94, 0.96, 1].map((chance) => words.chance(tenthsOf(chance)))).toEqual([
      'less than 1 in 10',
      'less than 1 in 10',
      'about 3 in 10',
      'about 5 in 10',
      'about 9 in 10',
      'more than 9 in 10',
      'more than 9 in 10',
    ]);
  });

  test('looks held from 9 in 10 on, missed below 1 in 10, doubtful between', () => {
    const look = (chance: number | null, waitsFor: string[] = []) => bookingLook({ chance, waitsFor }, false);
    expect([0, 0.09, 0.1, 0.89, 0.9, 1].map((chance) => look(chance))).toEqual([
      'missed',
      'missed',
      'doubtful',
      'doubtful',
      'held',
      'held',
    ]);
    expect(look(1, ['f']), 'hours are not enough while a finding is open').toBe('waits');
    expect(look(0.89, ['f']), 'the hours themselves are doubtful').toBe('doubtful');
    expect(look(null)).toBe('unknown');
    expect(bookingLook({ chance: 1, waitsFor: [] }, true), 'nobody can be asked').toBe('unknown');
  });
});

describe('the calendar of a sump', () => {
  const sump = (activities: ActivityView[], bookings: BookingView[]) =>
    ({ activities, bookings }) as Parameters<typeof calendarOf>[0];
  const others = [
    activity({ activity: 'wrap', state: 'done' }),
    activity({ activity: 'pour', state: 'ready', projected: null }),
    activity({ activity: 'unknown', projected: null }),
  ];

  test('leaves out what is done and what nothing is known of, and keeps the order of work', () => {
    const lines = calendarOf(sump([...others, activity({})], [booking()]), NOW_MS);
    expect(lines.map(({ activity: { activity: name }, bookings }) => [name, bookings.length])).toEqual([
      ['pour', 0],
      ['water-test', 1],
    ]);
  });

  test('reaches to the latest time or appointment, and no less than six hours', () => {
    const end = (bookings: BookingView[]) => calendarEnd(calendarOf(sump([activity({})], bookings), NOW_MS), NOW_MS);
    expect(end([])).toBe(NOW_MS + 11 * HOUR_MS);
    expect(end([booking({ due: at(30) })])).toBe(NOW_MS + 30 * HOUR_MS);
    expect(calendarEnd([], NOW_MS)).toBe(NOW_MS + 6 * HOUR_MS);
    expect([-1, 0, 5, 10, 12].map((hours) => placeOf(NOW_MS + hours * HOUR_MS, NOW_MS, NOW_MS + 10 * HOUR_MS))).toEqual([
      0, 0, 50, 100, 100,
    ]);
  });
});

test('the drawing looks a while beyond the last stage, and no further than four days', () => {
  const stages = (likely: number | null) => ({ ...projected, stages: [{ stage: 'hydro', ...times(1, likely, null) }] });
  expect(aheadSpanMs(stages(24), 'all', NOW_MS)).toBe(30 * HOUR_MS);
  expect(aheadSpanMs(stages(2), 'all', NOW_MS)).toBe(15 * HOUR_MS);
  expect(aheadSpanMs(stages(null), 'all', NOW_MS)).toBe(60 * HOUR_MS);
  expect(aheadSpanMs(stages(150), 'all', NOW_MS)).toBe(96 * HOUR_MS);
  expect(aheadSpanMs(stages(24), 'short', NOW_MS)).toBe(6 * HOUR_MS);
});
