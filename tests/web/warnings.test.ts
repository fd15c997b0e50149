import { describe, expect, test } from 'vitest';
import type { WarningView } from '../../edge/site/views/warning.ts';
import { heatingSaid, heatingStatement, isOn } from '../../web/answer/heating.ts';
import { remindTimes } from '../../web/answer/remind.ts';
import { comesMs, sorted, warningsAbout } from '../../web/answer/warning.ts';

const NOW_MS = Date.UTC(2026, 0, 15, 20, 0);
const HOUR_MS = 3_600_000;
const at = (hours: number) => new Date(NOW_MS + hours * HOUR_MS).toISOString();

const warning = (name: string, part: Partial<WarningView> = {}): WarningView => ({
  warning: name,
  code: 'cold-ahead',
  owner: 'j1',
  sump: 's1',
  joint: 'j1',
  numbers: {},
  raisedAt: at(-1),
  acknowledged: null,
  snoozed: null,
  ...part,
});
const names = (warnings: readonly WarningView[]) => warnings.map((each) => each.warning);

describe('warnings', () => {
  const all = [
    warning('new'),
    warning('seen', { acknowledged: { by: 'Sam', at: at(-0.5) } }),
    warning('waits', { snoozed: { by: 'Sam', until: at(8) } }),
    warning('waits-less', { snoozed: { by: 'Sam', until: at(4) }, acknowledged: { by: 'Sam', at: at(-0.5) } }),
    warning('back', { snoozed: { by: 'Sam', until: at(0) } }),
  ];

  test('stand by whether somebody has seen them, and come back by themselves when their time is over', () => {
    const { open, seen, waiting, backMs } = sorted(all, NOW_MS);
    expect([names(open), names(seen), names(waiting)]).toEqual([['new', 'back'], ['seen'], ['waits', 'waits-less']]);
    expect(backMs).toBe(NOW_MS + 4 * HOUR_MS);
    expect(sorted(all.slice(0, 1), NOW_MS).backMs).toBeNull();
    expect(names(sorted(all, NOW_MS + 5 * HOUR_MS).seen)).toEqual(['seen', 'waits-less']);
  });

  test('stand on the page that they are about: a sump’s also on its joints', () => {
    const four = [
      warning('joint'),
      warning('sump', { code: 'booking-at-risk', owner: 's1', joint: null }),
      warning('other', { joint: 'j2', owner: 'j2' }),
      warning('probe', { code: 'reading-stopped', owner: 'p1', joint: null, sump: null }),
    ];
    expect(names(warningsAbout(four, {}))).toEqual(['joint', 'sump', 'other', 'probe']);
    expect(names(warningsAbout(four, { sump: 's1' }))).toEqual(['joint', 'sump', 'other']);
    expect(names(warningsAbout(four, { sump: 's1', joint: 'j1' }))).toEqual(['joint', 'sump']);
  });
});

describe('when a warning can be put off to', () => {
  const offered = (comes: number | null) => remindTimes(NOW_MS, 'America/Chicago', comes).map(({ name }) => name);

  test('is always before what it warns of', () => {
    // The next six o’clock there is 16 h away.
    expect(offered(null)).toEqual(['one', 'four', 'morning']);
    expect(offered(NOW_MS + 17 * HOUR_MS)).toEqual(['one', 'four', 'morning']);
    expect(offered(NOW_MS + 16 * HOUR_MS)).toEqual(['one', 'four']);
    expect(offered(NOW_MS + 2 * HOUR_MS)).toEqual(['one']);
    expect(offered(NOW_MS + HOUR_MS)).toEqual([]);
  });

  test('what it warns of comes when the cold or the appointment does; what is on already has no hour', () => {
    expect(comesMs(warning('cold', { numbers: { atMs: NOW_MS + HOUR_MS } }), NOW_MS)).toBe(NOW_MS + HOUR_MS);
    expect(comesMs(warning('booked', { numbers: { dueMs: NOW_MS + 9 * HOUR_MS, likelyMs: NOW_MS } }), NOW_MS)).toBe(
      NOW_MS + 9 * HOUR_MS,
    );
    expect(comesMs(warning('cold', { numbers: { atMs: NOW_MS } }), NOW_MS)).toBeNull();
    expect(comesMs(warning('silent', { numbers: { lastMs: NOW_MS } }), NOW_MS)).toBeNull();
  });
});

describe('the morning that a warning can be put off to', () => {
  const morning = (iso: string, zone: string) =>
    new Date(remindTimes(Date.parse(iso), zone, null).find(({ name }) => name === 'morning')?.atMs ?? 0).toISOString();

  test('is the next six o’clock of the site, whatever the zone', () => {
    expect(morning('2026-01-15T20:00:00Z', 'America/Chicago')).toBe('2026-01-16T12:00:00.000Z');
    expect(morning('2026-01-16T08:00:00Z', 'America/Chicago'), 'after midnight it is the same day’s').toBe(
      '2026-01-16T12:00:00.000Z',
    );
    expect(morning('2026-01-16T12:00:00Z', 'America/Chicago'), 'at six it is the next day’s').toBe('2026-01-17T12:00:00.000Z');
  });

  test('is six o’clock in the night that the clock changes, too', () => {
    expect(morning('2026-03-08T03:00:00Z', 'America/Chicago')).toBe('2026-03-08T11:00:00.000Z');
    expect(morning('2026-11-01T03:00:00Z', 'America/Chicago')).toBe('2026-11-01T12:00:00.000Z');
  });
});

describe('heat', () => {
  test('is said of a joint or of a sump; a thermostat only of what is on', () => {
    const change = { what: 'heater', atMs: NOW_MS, holdCelsius: 20 } as const;
    expect(heatingStatement({ joint: 'j1' }, { ...change, on: true })).toEqual({
      kind: 'heating.changed',
      joint: 'j1',
      what: 'heater',
      on: true,
      at: at(0),
      holdCelsius: 20,
    });
    expect(heatingStatement({ sump: 's1' }, { ...change, on: false })).toEqual({
      kind: 'heating.changed',
      sump: 's1',
      what: 'heater',
      on: false,
      at: at(0),
    });
  });

  test('on one joint is not on the whole sump', () => {
    const heating = { seq: 1, what: 'heater', since: at(-1), holdCelsius: null, by: 'Sam', sump: false } as const;
    expect(isOn([{ heating }], 'heater', { joint: 'j1' })).toBe(true);
    expect(isOn([{ heating }], 'cover', { joint: 'j1' })).toBe(false);
    expect(isOn([{ heating }, { heating: null }], 'heater', { sump: 's1' })).toBe(false);
    expect(isOn([{ heating: { ...heating, sump: true } }], 'heater', { sump: 's1' })).toBe(true);
  });

  test('is read from the record with and without thermostat and people’s own words', () => {
    expect(heatingSaid('heater, on')).toEqual({ what: 'heater', on: true, holdCelsius: null, note: '' });
    expect(heatingSaid('heater, on, 18.5 °C, tent, both sides')).toEqual({
      what: 'heater',
      on: true,
      holdCelsius: 18.5,
      note: 'tent, both sides',
    });
    expect(heatingSaid('cover · off · wind took it')).toEqual({
      what: 'cover',
      on: false,
      holdCelsius: null,
      note: 'wind took it',
    });
    expect(heatingSaid('something else')).toBeNull();
  });
});
