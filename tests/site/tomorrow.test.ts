import { describe, expect, test } from 'vitest';
import type { Entry } from '../../edge/site/entries.ts';
import { FORECASTS_MOST, forecastInForce } from '../../edge/site/state/forecast.ts';
import { heatingAt, heatingOf } from '../../edge/site/state/heating.ts';
import type { Joint } from '../../edge/site/state/joint.ts';
import type { SiteState } from '../../edge/site/state/site.ts';
import { ForecastSummary, ForecastView, forecastSummary, forecastView } from '../../edge/site/views/forecast.ts';
import { recordOf } from '../../edge/site/views/record.ts';
import { entry, type Said, siteWith, usual } from './entriesOf.ts';
import { acknowledged, booked, cancelled, clock, forecast, heating, laidUp, snoozed, WARNING, warned } from './work.ts';

const ms = (minute: number) => Date.parse(clock(minute));
const said = (...each: readonly Said[]): Entry[] => each.map((one, index) => entry(one, clock(700 + index)));
const site = (...each: readonly Said[]) => siteWith(...usual, ...said(...each));
/** Takes back the `nth` thing said after `usual`, counted from 1. */
const back = (nth: number): Said => ({ kind: 'entry.withdrawn', seq: usual.length + nth, reason: 'said by mistake' });

describe('forecasts', () => {
  test('are kept in thousandths, the newest last, with who gave them and when', () => {
    const { forecasts } = site(forecast(700), forecast(720, 1.005, { source: 'by hand' }));
    expect(forecasts.map(({ source }) => source)).toEqual(['the weather service', 'by hand']);
    expect(forecasts[0]).toMatchObject({
      seq: usual.length + 1,
      atMs: ms(700),
      recordedMs: ms(700),
      by: { name: 'A. Layer' },
      hours: {
        atMs: [ms(700), ms(1060), ms(1420)],
        milliC: [6000, -3000, 8250],
        humidityMilliPercent: [null, 85_500, null],
      },
    });
    expect(forecasts[1]?.hours.milliC[1]).toBe(1005);
  });

  test('one that is taken back makes room for the one before it', () => {
    const { forecasts } = site(forecast(700), forecast(720, 1), back(2));
    expect(forecasts.map(({ seq }) => seq)).toEqual([usual.length + 1]);
  });

  test('only the newest stay in memory; what fell out is gone without a trace in the state', () => {
    const all = Array.from({ length: FORECASTS_MOST + 5 }, (_, index) => entry(forecast(index), clock(index)));
    const state = siteWith(...usual, ...all);
    const first = usual.length + 1;
    expect(state.forecasts.map(({ seq }) => seq)).toEqual(all.slice(5).map((_, index) => first + 5 + index));
    expect(state.given.said.size).toBe(FORECASTS_MOST);
    expect([...state.given.said.values()].every(({ hours }) => hours.length === 2)).toBe(true);
    expect(state.rederive.has(first + 4)).toBe(false);
    expect(state.rederive.has(first + 5)).toBe(true);
    expect(state.said.size).toBe(0);
  });

  test('those that were taken back push nothing out; of them too only the newest stay in memory', () => {
    const first = usual.length + 1;
    const good = entry(forecast(0, -3, { source: 'good' }), clock(0));
    const wrong = Array.from({ length: FORECASTS_MOST + 5 }, (_, index): Entry[] => [
      entry(forecast(index), clock(index)),
      entry(back(2 * index + 2), clock(index)),
    ]).flat();
    const state = siteWith(...usual, good, ...wrong, entry(forecast(500), clock(900)));
    expect(state.forecasts.map(({ seq }) => seq)).toEqual([first, first + wrong.length + 1]);
    expect(state.given.withdrawals.size).toBe(FORECASTS_MOST);
    expect(state.given.said.size).toBe(FORECASTS_MOST + 2);
    expect(state.rederive.has(first)).toBe(true);
    expect(state.rederive.has(first + 1)).toBe(false);
  });

  test('the one in force is the newest that tells of the hours just ahead', () => {
    const given = (minute: number, source: string, ...celsius: number[]): Said => ({
      kind: 'forecast.given',
      source,
      hours: celsius.map((each, index) => ({ at: clock(minute + 60 * index), celsius: each })),
    });
    const inForce = (...said: readonly Said[]) => forecastInForce(site(...said).forecasts, ms(700))?.source;
    const long = given(700, 'long', 1, 1, 1, 1, 1, 1);
    expect(inForce(long, given(700, 'short', 9, 9))).toBe('long');
    expect(inForce(long, given(3000, 'far', 9, 9))).toBe('long');
    expect(inForce(long, given(700, 'newer', 9, 9, 9, 9))).toBe('newer');
    expect(inForce(given(300, 'over', 1, 1), given(700, 'short', 9, 9))).toBe('short');
    expect(inForce()).toBeUndefined();
  });

  test('are shown whole, and as a summary', () => {
    const [given] = site(forecast(700)).forecasts;
    if (given === undefined) throw new Error('no forecast');
    const summary = {
      seq: usual.length + 1,
      source: 'the weather service',
      by: 'A. Layer',
      givenAt: clock(700),
      until: clock(1420),
    };
    expect(ForecastSummary.parse(forecastSummary(given))).toEqual(summary);
    expect(ForecastView.parse(forecastView(given))).toEqual({
      ...summary,
      from: clock(700),
      hours: [
        { at: ms(700), celsius: 6, humidity: null },
        { at: ms(1060), celsius: -3, humidity: 85.5 },
        { at: ms(1420), celsius: 8.25, humidity: null },
      ],
    });
  });
});

describe('bookings', () => {
  const bookings = (...each: readonly Said[]) => site(...each).sumps.get('s1')?.bookings;

  test('a newer one for the same activity takes the place of the older, one for another stands beside it', () => {
    const all = bookings(booked(2000), booked(3000, 'backfill', { note: 'pump truck' }), booked(2600));
    expect([...(all ?? [])].map(([activity, { dueMs, note, seq }]) => [activity, dueMs, note, seq])).toEqual([
      ['water-test', ms(2600), null, usual.length + 3],
      ['backfill', ms(3000), 'pump truck', usual.length + 2],
    ]);
  });

  test('cancelled, none stands; the older one does not come back', () => {
    expect(bookings(booked(2000), booked(2600), cancelled())?.size).toBe(0);
  });

  test('a cancellation that is taken back brings the booking back, a booking that is taken back the one before it', () => {
    expect(bookings(booked(2000), cancelled(), back(2))?.get('water-test')?.dueMs).toBe(ms(2000));
    expect(bookings(booked(2000), booked(2600), back(2))?.get('water-test')?.dueMs).toBe(ms(2000));
  });
});

describe('heat about a joint', () => {
  const spans = (state: SiteState, name = 'j1') =>
    heatingOf(state, state.joints.get(name) as Joint).map(({ fromMs, untilMs, what, holdMilliC, sump }) => [
      what,
      fromMs,
      untilMs,
      holdMilliC,
      sump ? 'sump' : 'joint',
    ]);
  const sump = { sump: 's1' };
  const cover = { what: 'cover' };

  test('is on from when it was put on until it was taken off, and open while nobody took it off', () => {
    expect(spans(site(heating(0, true), heating(60, false), heating(90, true, { joint: 'j1' }, { holdCelsius: 18.5 })))).toEqual([
      ['heater', ms(0), ms(60), null, 'joint'],
      ['heater', ms(90), null, 18_500, 'joint'],
    ]);
  });

  test('heater and cover are on beside each other, and are taken off apart', () => {
    expect(
      spans(site(heating(0, true, sump), heating(10, true, { joint: 'j1' }, cover), heating(30, false, { joint: 'j1' }, cover))),
    ).toEqual([
      ['heater', ms(0), null, null, 'sump'],
      ['cover', ms(10), ms(30), null, 'joint'],
    ]);
  });

  test('a heater of the joint’s own goes before the sump’s, and stays when that comes and goes', () => {
    expect(spans(site(heating(0, true, sump), heating(30, true, { joint: 'j1' }, { holdCelsius: 25 })))).toEqual([
      ['heater', ms(0), ms(30), null, 'sump'],
      ['heater', ms(30), null, 25_000, 'joint'],
    ]);
    expect(spans(site(heating(0, true), heating(30, false, sump)))).toEqual([['heater', ms(0), null, null, 'joint']]);
    expect(spans(site(heating(0, true), heating(30, true, sump, { holdCelsius: 25 }), heating(60, false, sump)))).toEqual([
      ['heater', ms(0), null, null, 'joint'],
    ]);
    expect(spans(site(heating(0, true, sump), heating(30, false)))).toEqual([['heater', ms(0), ms(30), null, 'sump']]);
    expect(spans(site(heating(0, true, sump), heating(30, true), heating(60, false)))).toEqual([
      ['heater', ms(0), ms(30), null, 'sump'],
      ['heater', ms(30), ms(60), null, 'joint'],
    ]);
  });

  test('what is taken off one joint stays on the others of the sump', () => {
    const second: Said = { kind: 'joint.added', joint: 'j2', sump: 's1', label: 'J', schedule: 'epoxy-pour', probes: [] };
    const state = site(second, heating(0, true, sump), heating(30, false));
    expect(spans(state)).toEqual([['heater', ms(0), ms(30), null, 'sump']]);
    expect(spans(state, 'j2')).toEqual([['heater', ms(0), null, null, 'sump']]);
  });

  test('it is told in order of time, whenever it was put on record', () => {
    expect(spans(site(heating(60, false), heating(90, true), heating(0, true, sump)))).toEqual([
      ['heater', ms(0), ms(60), null, 'sump'],
      ['heater', ms(90), null, null, 'joint'],
    ]);
  });

  test('two words of one instant: the later one counts, and nothing was on for no time', () => {
    expect(spans(site(heating(0, true), heating(0, true, sump)))).toEqual([['heater', ms(0), null, null, 'joint']]);
    expect(spans(site(heating(0, true), heating(0, false)))).toEqual([]);
  });

  test('what was taken back does not count: neither the putting on nor the taking off', () => {
    expect(spans(site(heating(0, true), heating(60, false), back(2)))).toEqual([['heater', ms(0), null, null, 'joint']]);
    expect(spans(site(heating(0, true), heating(60, false), back(1)))).toEqual([]);
  });

  test('a joint that is laid up anew keeps its heat', () => {
    const relaid: Said = { kind: 'joint.relaid', joint: 'j1', at: clock(120) };
    expect(spans(site(laidUp(0), heating(10, true), relaid))).toEqual([['heater', ms(10), null, null, 'joint']]);
  });

  test('at an instant: the beginning belongs to it, the end does not', () => {
    const state = site(heating(0, true), heating(60, false));
    const all = heatingOf(state, state.joints.get('j1') as Joint);
    expect([-1, 0, 59, 60].map((minute) => heatingAt(all, ms(minute)).length)).toEqual([0, 1, 1, 0]);
  });

  test('is an event of the joint, in words of no language', () => {
    const events = site(heating(0, true, { joint: 'j1' }, { holdCelsius: 20, note: 'tent' }), heating(60, false)).joints.get(
      'j1',
    );
    expect(events?.events.map(({ kind, text }) => [kind, text])).toEqual([
      ['heating', 'heater, on, 20 °C, tent'],
      ['heating', 'heater, off'],
    ]);
  });
});

describe('warnings', () => {
  const warning = (...each: readonly Said[]) => site(warned, ...each).warnings.get(WARNING);
  const ended: Said = { kind: 'warning.ended', warning: WARNING };

  test('stand from when they are raised until they end', () => {
    expect(warning()).toMatchObject({
      code: 'cold-ahead',
      owner: 'j1',
      numbers: { lowMilliC: -3000 },
      raisedMs: ms(700),
      acknowledged: null,
      snoozed: null,
    });
    expect(warning(ended)).toBeUndefined();
  });

  test('tell who saw them and who put them off, until that is taken back', () => {
    const both = warning(acknowledged({ note: 'on it' }), snoozed(1200));
    expect(both?.acknowledged).toEqual({ by: 'A. Layer', atMs: ms(701) });
    expect(both?.snoozed).toEqual({ by: 'A. Layer', untilMs: ms(1200) });
    expect(warning(acknowledged(), snoozed(1200), snoozed(1500))?.snoozed).toMatchObject({ untilMs: ms(1500) });
    expect(warning(acknowledged(), snoozed(1200), snoozed(1500), back(4))?.snoozed).toMatchObject({ untilMs: ms(1200) });
    expect(warning(acknowledged(), snoozed(1200), back(2))).toMatchObject({ acknowledged: null, snoozed: { by: 'A. Layer' } });
  });

  test('that have ended leave nothing behind that could be taken back', () => {
    const before = site(warned, acknowledged());
    expect(before.rederive.has(usual.length + 2)).toBe(true);
    expect(site(warned, acknowledged(), ended).rederive.has(usual.length + 2)).toBe(false);
  });
});

test('lines of a record say what, how warm and until when', () => {
  const state = site(
    booked(2000, 'water-test', { note: 'truck' }),
    cancelled(),
    heating(0, true, { sump: 's1' }, { holdCelsius: 18.5, note: 'tent' }),
    heating(30, false, { sump: 's1' }),
    forecast(700),
    warned,
    acknowledged({ note: 'on it' }),
    snoozed(1200),
  );
  const sump = state.sumps.get('s1');
  const raised = state.warnings.get(WARNING);
  if (sump === undefined || raised === undefined) throw new Error('no sump, or no warning');
  expect(recordOf(sump).map(({ kind, text }) => [kind, text])).toEqual([
    ['heating.changed', 'heater · off'],
    ['heating.changed', 'heater · on · 18.5 °C · tent'],
    ['booking.cancelled', 'water-test'],
    ['booking.made', `water-test · ${clock(2000)} · truck`],
  ]);
  expect(recordOf(state.given)[0]?.text).toBe(`the weather service · – ${clock(1420)}`);
  expect(recordOf(raised).map(({ text }) => text)).toEqual([`${WARNING} · – ${clock(1200)}`, `${WARNING} · on it`]);
});
