import { describe, expect, test } from 'vitest';
import type { Entry, Role } from '../../edge/site/entries.ts';
import type { Context, Fault } from '../../edge/site/refusals/context.ts';
import { faultsOf } from '../../edge/site/refusals/faults.ts';
import { permittedRoles } from '../../edge/site/refusals/permits.ts';
import { questionsOf } from '../../edge/site/refusals/questions.ts';
import type { ActivityView } from '../../edge/site/views/activity.ts';
import { entry, type Said, siteWith, statement, usual } from './entriesOf.ts';
import { acknowledged, booked, cancelled, clock, forecast, heating, snoozed, WARNING, warned } from './work.ts';

const NOW = 600;
const DAY = 24 * 60;

const activity = (name: string, more: Partial<ActivityView> = {}): ActivityView => ({
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
  ...more,
});

const ACTIVITIES = [
  activity('base', { part: 'base', state: 'done' }),
  activity('cut', { state: 'done' }),
  activity('water-test'),
  activity('backfill', { state: 'ready' }),
];

function contextOf(before: readonly Entry[], name = 'A. Layer', role: Role = 'crew'): Context {
  return {
    site: siteWith(...usual, ...before),
    by: { name, role },
    nowMs: Date.parse(clock(NOW)),
    seen: {
      activities: () => ACTIVITIES,
      finding: () => undefined,
      isDone: () => false,
      coldestMilliC: () => null,
      airMilliC: () => null,
      firstStage: () => ({ stage: 'stress', remainingHours: 0 }),
    },
  };
}

const faults = (said: Said, ...before: readonly Said[]): readonly Fault[] =>
  faultsOf(statement(said), contextOf(before.map((each) => entry(each, clock(500)))));

const expectFault = (found: readonly Fault[], path: string, message: RegExp) =>
  expect(found).toEqual([{ path, message: expect.stringMatching(message) }]);

const hours = (...minutes: readonly number[]): Said => ({
  kind: 'forecast.given',
  hours: minutes.map((minute) => ({ at: clock(minute), celsius: 5 })),
  source: 'by hand',
});

describe('a forecast', () => {
  test('of every hour, or of every sixth, is taken, also one that has begun already or begins in a week', () => {
    expect(faults(forecast(NOW))).toEqual([]);
    expect(
      faults(hours(NOW - 2 * DAY, NOW - 2 * DAY + 360, ...Array.from({ length: 9 }, (_, i) => NOW - 2 * DAY + 720 + 360 * i))),
    ).toEqual([]);
    expect(faults(hours(NOW + 7 * DAY, NOW + 7 * DAY + 1))).toEqual([]);
  });

  test.each<[string, number[], string, RegExp]>([
    ['falls', [NOW, NOW + 60, NOW + 30], 'hours.2.at', /before the hour before it; give the hours in rising order/],
    ['repeats', [NOW, NOW + 60, NOW + 60], 'hours.2.at', /is the same instant as the hour before/],
    ['leaves more than six hours', [NOW, NOW + 361], 'hours.1.at', /more than 6 h after the hour before it/],
    ['is over', [NOW - 60, NOW], 'hours.1.at', /has passed, and so has all of it; it is 2026-01-15T18:00:00.000Z here/],
    ['begins too far ahead', [NOW + 7 * DAY + 1, NOW + 7 * DAY + 60], 'hours.0.at', /more than 7 days ahead/],
  ])('that %s', (_, minutes, path, message) => {
    expectFault(faults(hours(...minutes)), path, message);
  });

  test('that began more than 48 h ago', () => {
    const old = Array.from({ length: 10 }, (_, index) => NOW - 2 * DAY - 1 + 360 * index);
    expectFault(faults(hours(...old)), 'hours.0.at', /more than 48 h back/);
  });

  test('all that is wrong with it is told at once', () => {
    expect(faults(hours(NOW + 60, NOW, NOW + 900)).map(({ path }) => path)).toEqual(['hours.1.at', 'hours.2.at']);
  });

  test('of more than 45 °C is asked about once, and taken when that is meant', () => {
    const warm = (confirmed?: readonly string[]): Said => ({
      kind: 'forecast.given',
      hours: [45, 50, 55].map((celsius, index) => ({ at: clock(NOW + 60 * index), celsius })),
      source: 'by hand',
      ...(confirmed === undefined ? {} : { confirmed }),
    });
    expect(questionsOf(statement(warm()), contextOf([]))).toEqual([
      { code: 'maybe-fahrenheit', path: 'hours', message: 'it goes up to 55 °C; was it written in °F?' },
    ]);
    expect(questionsOf(statement(warm(['maybe-fahrenheit'])), contextOf([]))).toEqual([]);
    expect(questionsOf(statement(forecast(NOW)), contextOf([]))).toEqual([]);
  });
});

describe('a forecast that is far from what the air has been', () => {
  const said = (...celsius: readonly number[]): Said => ({
    kind: 'forecast.given',
    hours: celsius.map((each, index) => ({ at: clock(NOW + 60 * index), celsius: each })),
    source: 'by hand',
  });
  const asked = (measuredCelsius: number, ...celsius: readonly number[]) => {
    const context = contextOf([]);
    const seen = { ...context.seen, airMilliC: () => measuredCelsius * 1000 };
    return questionsOf(statement(said(...celsius)), { ...context, seen }).map(({ code, path }) => [code, path]);
  };

  test('is asked about when another unit would bring it near: a winter’s slip is none of 45 °C', () => {
    // 28 to 44 °F written under a heading of °C, and the air at 2 °C.
    expect(asked(2, 28, 36, 44)).toEqual([['maybe-fahrenheit', 'hours']]);
    // −2 to 5 °C taken for °F, and the air at 1.5 °C.
    expect(asked(1.5, -18.9, -17, -15)).toEqual([['maybe-celsius', 'hours']]);
  });

  test('is taken when it is merely another weather', () => {
    expect(asked(2, 10, 12, 13)).toEqual([]);
    expect(asked(20, 0, 2, -4)).toEqual([]);
    expect(asked(2, 1, 2, 3)).toEqual([]);
  });
});

describe('a booking', () => {
  test('is taken from the next moment on, up to 60 days ahead', () => {
    expect(faults(booked(NOW + 1))).toEqual([]);
    expect(faults(booked(NOW + 60 * DAY, 'backfill'))).toEqual([]);
    expectFault(faults(booked(NOW)), 'due', /has passed; it is 2026-01-15T18:00:00.000Z here/);
    expectFault(faults(booked(NOW + 60 * DAY + 1)), 'due', /more than 60 days ahead/);
  });

  test('is of an activity of the sump that is not done', () => {
    expectFault(faults(booked(NOW + 60, 'paint')), 'activity', /has no activity "paint"; it has base, cut, water-test, backfill/);
    expectFault(faults(booked(NOW + 60, 'cut')), 'activity', /"cut" is done already/);
    expectFault(faults(booked(NOW + 60, 'base')), 'activity', /"base" is laid up already/);
    expectFault(faults({ ...booked(NOW + 60), sump: 's9' }), 'sump', /no sump "s9" on this site; known: s1/);
  });

  test('is cancelled only where there is one', () => {
    expect(faults(cancelled(), booked(NOW + 60))).toEqual([]);
    expectFault(faults(cancelled(), booked(NOW + 60, 'backfill')), 'activity', /is not booked on sump "s1"; booked: backfill/);
    expectFault(faults(cancelled(), booked(NOW + 60), cancelled()), 'activity', /is not booked/);
    expectFault(faults({ ...cancelled(), sump: 's9' }), 'sump', /no sump "s9"/);
  });
});

describe('heat', () => {
  const sump = { sump: 's1' };

  test('is put on a joint or on a sump, one of the two', () => {
    expect(faults(heating(NOW, true))).toEqual([]);
    expect(faults(heating(NOW, true, sump))).toEqual([]);
    expectFault(faults(heating(NOW, true, {})), 'sump', /one of the two/);
    expectFault(faults(heating(NOW, true, { ...sump, joint: 'j1' })), 'sump', /one of the two/);
    expectFault(faults(heating(NOW, true, { sump: 's9' })), 'sump', /no sump "s9"/);
    expectFault(faults(heating(NOW, false, { sump: 's9' })), 'sump', /no sump "s9"/);
    expectFault(faults(heating(NOW, false, { joint: 'j9' })), 'joint', /no joint "j9"/);
  });

  test('lies in the past', () => {
    expectFault(faults(heating(NOW + 3, true)), 'at', /lies in the future/);
  });

  test('is taken off where it was on then, whether the joint or the sump was named', () => {
    expect(faults(heating(400, false), heating(300, true))).toEqual([]);
    expect(faults(heating(400, false), heating(300, true, sump))).toEqual([]);
    expectFault(faults(heating(400, false, sump), heating(300, true)), 'on', /no heater was on at .* for the whole sump/);
    expect(faults(heating(400, false, sump), heating(300, true, sump), heating(350, false))).toEqual([]);
    expectFault(faults(heating(400, false)), 'on', /no heater was on at/);
    expectFault(faults(heating(299, false), heating(300, true)), 'on', /no heater was on at/);
    expect(faults(heating(400, false), heating(300, true), heating(350, true, sump), heating(360, false, sump))).toEqual([]);
    expectFault(faults(heating(400, false, sump, { what: 'cover' }), heating(300, true)), 'on', /no cover was on at/);
  });

  test('has a temperature that it is set to only when it is put on', () => {
    expect(faults(heating(400, true, sump, { holdCelsius: 20 }))).toEqual([]);
    expectFault(faults(heating(400, false, sump, { holdCelsius: 20 }), heating(300, true, sump)), 'holdCelsius', /leave it out/);
  });

  test('set to more than 45 °C is asked about', () => {
    const hot = statement(heating(400, true, sump, { holdCelsius: 60 }));
    expect(questionsOf(hot, contextOf([])).map(({ code, path }) => [code, path])).toEqual([['maybe-fahrenheit', 'holdCelsius']]);
  });
});

describe('a warning', () => {
  test('that is not there, or has ended, cannot be acknowledged or put off', () => {
    expectFault(faults(acknowledged()), 'warning', /no such warning; it may have ended/);
    const ended: Said = { kind: 'warning.ended', warning: WARNING };
    expectFault(faults(snoozed(NOW + 60), warned, ended), 'warning', /no such warning; it may have ended/);
    expect(faults(acknowledged(), warned)).toEqual([]);
  });

  test('is acknowledged once by each, and again after that was taken back', () => {
    expectFault(faults(acknowledged(), warned, acknowledged()), 'warning', /you have acknowledged it already, 2026-01-15T16:20/);
    const before = [warned, acknowledged()].map((each) => entry(each, clock(500)));
    expect(faultsOf(statement(acknowledged()), contextOf(before, 'R. Oak'))).toEqual([]);
    const back: Said = { kind: 'entry.withdrawn', seq: usual.length + 2, reason: 'not yet' };
    expect(faults(acknowledged(), warned, acknowledged(), back)).toEqual([]);
  });

  test('is put off for a week at most, and not into the past', () => {
    expect(faults(snoozed(NOW + 7 * DAY), warned)).toEqual([]);
    expectFault(faults(snoozed(NOW + 7 * DAY + 1), warned), 'until', /more than 7 days ahead/);
    expectFault(faults(snoozed(NOW), warned), 'until', /has passed/);
  });
});

describe('taking back', () => {
  const back = (nth: number): Said => ({ kind: 'entry.withdrawn', seq: usual.length + nth, reason: 'slip' });

  test('crew may take back what was said of tomorrow, also of others and of programs', () => {
    const all = [forecast(NOW), booked(NOW + 60), cancelled(), heating(300, true), warned, acknowledged(), snoozed(NOW + 60)];
    const entries = all.map((each) => entry(each, clock(500)));
    const first = entry(forecast(NOW), clock(499));
    const byProgram: Entry = { ...first, by: { name: 'weather', role: 'system' } };
    const context = contextOf([byProgram, ...entries], 'R. Oak');
    for (const nth of [1, 2, 3, 4, 5, 7, 8]) expect(faultsOf(statement(back(nth)), context), `${nth}`).toEqual([]);
    expectFault(faultsOf(statement(back(6)), context), 'seq', /cannot be taken back/);
  });

  test('twice is once too often', () => {
    expectFault(faults(back(1), forecast(NOW), back(1)), 'seq', /has been taken back already/);
  });
});

test('who may say what: crew all of it, programs bring the weather, claims staff read', () => {
  const crew: Role[] = ['crew', 'quality', 'admin'];
  expect(permittedRoles('forecast.given')).toEqual([...crew, 'system']);
  for (const kind of ['booking.made', 'booking.cancelled', 'heating.changed', 'warning.acknowledged', 'warning.snoozed'] as const)
    expect(permittedRoles(kind)).toEqual(crew);
});
