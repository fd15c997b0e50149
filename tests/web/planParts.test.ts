import { describe, expect, test } from 'vitest';
import { errorAt } from '../../edge/cure/outlook/airError.ts';
import { DEFAULT_HEATER } from '../../edge/cure/outlook/fitLag.ts';
import { HOUR_MS } from '../../edge/cure/schedule.ts';
import { readWall, wallOf } from '../../web/look/siteTime.ts';
import { lateJoints } from '../../web/pages/plan/aims.ts';
import { heaterOf } from '../../web/pages/plan/heats.ts';
import { msOfQuarter, offSlider, onSlider, quarterOf, quartersUntil } from '../../web/pages/plan/helpDraft.ts';
import { hourAhead, materialStanding } from '../../web/pages/plan/hourAhead.ts';
import { stepped, whenFault } from '../../web/pages/plan/when.ts';
import { dailyAir, inputOf, NOW_MS, steadyAir } from '../cure/outlook/inputs.ts';

describe('the site’s clock', () => {
  test('is shown and read back, whatever zone this machine is in', () => {
    const wall = wallOf(Date.UTC(2026, 0, 15, 20, 15), 'Asia/Kathmandu');
    expect(wall).toBe('2026-01-16T02:00');
    expect(readWall(wall, 'Asia/Kathmandu')).toEqual({ atMs: Date.UTC(2026, 0, 15, 20, 15), isTwice: false });
  });

  test('of a time that comes twice the earlier one is taken, and one that is left out is none', () => {
    expect(readWall('2026-11-01T01:30', 'America/New_York')).toEqual({ atMs: Date.UTC(2026, 10, 1, 5, 30), isTwice: true });
    expect(readWall('2026-03-08T02:30', 'America/New_York')).toBeNull();
    expect(readWall('', 'America/New_York')).toBeNull();
  });
});

describe('a time to come', () => {
  const zone = 'America/New_York';
  const minutes = (count: number) => count * 60_000;

  test('is stepped to full five minutes, and never into the past', () => {
    expect(stepped(NOW_MS + minutes(123), { hours: 1 }, NOW_MS, zone)).toBe(NOW_MS + minutes(185));
    expect(stepped(NOW_MS + minutes(122), { hours: -1 }, NOW_MS, zone)).toBe(NOW_MS + minutes(60));
    expect(stepped(NOW_MS + minutes(30), { days: -1 }, NOW_MS + minutes(2), zone)).toBe(NOW_MS + minutes(5));
  });

  test('a day later is the same time of day, also where the clock changes', () => {
    const before = Date.UTC(2026, 9, 31, 11);
    expect(wallOf(stepped(before, { days: 1 }, before, zone), zone)).toBe('2026-11-01T07:00');
  });

  test('is refused when it has passed, and beyond the days that are looked at', () => {
    expect(whenFault(NOW_MS - 1, NOW_MS)).toBe('passed');
    expect(whenFault(NOW_MS, NOW_MS)).toBeNull();
    expect(whenFault(NOW_MS + 192 * HOUR_MS, NOW_MS)).toBeNull();
    expect(whenFault(NOW_MS + 192 * HOUR_MS + 1, NOW_MS)).toBe('beyond');
  });
});

describe('the slider of times', () => {
  const nowMs = NOW_MS + 7 * 60_000;

  test('begins now and goes on in whole quarters to the appointment', () => {
    expect(msOfQuarter(0, nowMs)).toBeNull();
    expect(msOfQuarter(1, nowMs)).toBe(NOW_MS + HOUR_MS / 4);
    expect(quartersUntil(nowMs, NOW_MS + HOUR_MS)).toBe(4);
    expect(quartersUntil(nowMs, NOW_MS + 500 * HOUR_MS)).toBe(4 * 48);
    expect(quartersUntil(nowMs, nowMs)).toBe(1);
  });

  test('keeps its instant while the clock goes on, until that has passed', () => {
    const chosen = msOfQuarter(3, nowMs);
    expect(quarterOf(chosen, nowMs)).toBe(3);
    expect(quarterOf(chosen, nowMs + HOUR_MS / 4)).toBe(2);
    expect(quarterOf(chosen, nowMs + 5 * HOUR_MS)).toBe(0);
  });
});

test('the slider of temperatures stands on whole °F, and goes back to the same °C', () => {
  expect(onSlider(15.5, 'F')).toBe(60);
  expect(onSlider(offSlider(60, 'F'), 'F')).toBe(60);
  expect(onSlider(15.5, 'C')).toBe(15.5);
});

describe('which joints something is done about', () => {
  const ready = (hours: number) => {
    const at = new Date(NOW_MS + hours * HOUR_MS).toISOString();
    return { earliest: at, likely: at, latest: at, reason: null };
  };
  const needs = ['done', 'soon', 'late'].map((joint) => ({ joint, stage: 'hydro' }));
  const aim = { needs, reason: null, dueMs: NOW_MS + 10 * HOUR_MS };
  const done = { joint: 'done', chance: 1, ready: ready(-5) };
  const soon = { joint: 'soon', chance: 0.95, ready: ready(5) };

  test('those that are late by themselves', () => {
    expect(lateJoints({ joints: [done, soon, { joint: 'late', chance: 0.3, ready: ready(20) }] }, aim, NOW_MS)).toEqual(['late']);
  });
  test('where none is, all whose hours are still to come', () => {
    expect(lateJoints({ joints: [done, soon] }, aim, NOW_MS)).toEqual(['soon']);
  });
});

describe('what a heater does', () => {
  const heat = { kind: 'rise', milliC: 11_000, sdMilliC: 900 } as const;
  const joints = [
    { joint: 'bare', label: 'Bare', input: inputOf('polyester-laminate'), reason: null, basis: null },
    { joint: 'warmed', label: 'Warmed', input: inputOf('polyester-laminate', { heat }), reason: null, basis: null },
  ];
  test('is what is usual, or what the heat that is on does, or what its thermostat says', () => {
    expect(heaterOf({ joints }, ['bare'], null, ['warmed'])).toEqual({ heat: DEFAULT_HEATER, isKnown: false });
    expect(heaterOf({ joints }, ['bare', 'warmed'], null, ['warmed'])).toEqual({ heat, isKnown: true });
    expect(heaterOf({ joints }, ['warmed'], 20, ['warmed']).heat).toMatchObject({ kind: 'level', milliC: 20_000 });
  });
  test('is not what a cover does', () => {
    expect(heaterOf({ joints }, ['warmed'], null, []).heat).toEqual(DEFAULT_HEATER);
  });
});

describe('the hour of a lay-up', () => {
  const use = { minCelsius: 15.6, maxCelsius: 21.1 };
  const error = { sdMilliC: 2500, correlationMs: 48 * HOUR_MS, comparisons: 0 };
  const around = (milliC: number) => ({ air: steadyAir(milliC), error, nowMs: NOW_MS });

  test('has its air, as sure as the lead time allows', () => {
    const hour = hourAhead({ air: dailyAir(5000, 4000), error, nowMs: NOW_MS }, null, use, NOW_MS + 12 * HOUR_MS);
    expect(hour.airCelsius).toBe(1);
    expect(hour.airErrorCelsius).toBe(errorAt(error, 12 * HOUR_MS) / 1000);
    expect(hourAhead(around(1000), null, use, NOW_MS).airErrorCelsius).toBe(0);
  });

  test('material that lay in a truck as cold as the air needs hours in a warm room', () => {
    const { stored, storedCelsius } = hourAhead(around(4000), null, use, NOW_MS + 12 * HOUR_MS);
    expect(storedCelsius).toBe(4);
    // First-order with 6 h from 4 °C in a room of 21 °C: 6·ln(17 / 5.4) = 6.88 h until 15.6 °C.
    expect(stored).toEqual({ kind: 'out', side: 'below', hours: expect.closeTo(6.88, 2) });
  });

  test('stands against its range on both sides, ends included', () => {
    const [least, most] = [use.minCelsius, use.maxCelsius];
    expect([least - 0.1, least, most, most + 0.1].map((celsius) => materialStanding(celsius, use))).toEqual([
      'below',
      'within',
      'within',
      'above',
    ]);
    expect(materialStanding(-10, null)).toBe('within');
  });

  test('in mild air it is within its range, in heat too warm, and a room of 21 °C cools it', () => {
    expect(hourAhead(around(18_000), null, use, NOW_MS + HOUR_MS).stored).toEqual({ kind: 'within' });
    const { stored } = hourAhead(around(30_000), null, use, NOW_MS + HOUR_MS);
    expect(stored).toMatchObject({ kind: 'out', side: 'above' });
    expect(hourAhead(around(30_000), null, null, NOW_MS).stored).toEqual({ kind: 'noUse' });
  });
});
