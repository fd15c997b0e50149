import { describe, expect, it } from 'vitest';

import { builtInSchedules } from '../../edge/cure/schedule.ts';
import { AIR, JOINTS, NOTES, STRANGER } from '../../edge/demo/scenario.ts';
import { sensorsAt } from '../../edge/demo/sensors.ts';
import { statementsAt } from '../../edge/demo/statements.ts';
import { siteAt, viewsAt } from './replay.ts';

/** Nights, mornings and afternoons, all seasons of the wall clock, and both changes of it. */
const starts = [
  '2026-01-15T03:20:00-08:00',
  '2026-02-03T06:45:10-08:00',
  '2026-03-08T10:05:00-07:00',
  '2026-05-21T13:00:00-07:00',
  '2026-07-20T16:10:59-07:00',
  '2026-09-30T19:30:00-07:00',
  '2026-11-01T22:15:00-08:00',
  '2027-01-01T00:00:00-08:00',
];

describe.each(starts)('the scenario started at %s', (start) => {
  const nowMs = Date.parse(start);
  const views = viewsAt(nowMs);
  const view = (joint: string) => views.get(joint) ?? expect.fail(`no joint ${joint}`);

  it.each(JOINTS)('shows $joint as its line declares', ({ joint, atStart }) => {
    const { phase, conditions } = view(joint);
    expect({ phase, conditions }).toEqual(atStart);
  });

  it('shows every picture at once', () => {
    expect(new Set([...views.values()].map(({ phase }) => phase))).toEqual(
      new Set(['planned', 'curing', 'stressReady', 'hydroReady']),
    );
    expect([...views.values()].filter(({ conditions }) => conditions.includes('cold'))).toHaveLength(1);
  });

  it('lets the joints that change soon do so on the minute', () => {
    const changing = JOINTS.filter(({ later }) => later !== undefined);
    expect(changing.length).toBeGreaterThan(0);
    for (const { joint, atStart, later } of changing) {
      const { minutes, phase, conditions } = later ?? expect.fail();
      expect(viewsAt(nowMs, minutes - 0.5).get(joint)).toMatchObject(atStart);
      expect(viewsAt(nowMs, minutes + 0.5).get(joint)).toMatchObject({ phase, conditions });
    }
  });

  it('loses just the hours of the silent probe', () => {
    expect(view('m-outer').unprovenHours).toBeGreaterThan(2.25);
    expect(view('m-outer').unprovenHours).toBeLessThan(2.3);
    for (const { joint, unprovenHours } of views.values()) if (joint !== 'm-outer') expect(unprovenHours, joint).toBe(0);
  });

  it('lets the colder of two probes govern', () => {
    expect(view('m-inner').governing?.probe).toBe('m-inner-b');
  });

  it('has the cold joint earning nothing now, with hours of the night lost behind it', () => {
    expect(view('s-inner').creditRate).toBe(0);
    expect(view('s-inner').coldHours).toBeGreaterThan(8);
    expect(view('s-inner').warmHours).toBeGreaterThan(1);
  });

  it('has the heated joint at full rate again, but behind the clock by what the cold took', () => {
    const { warmHours, clockHours, creditRate } = view('s-base');
    expect(creditRate).toBe(1);
    expect(clockHours - warmHours).toBeGreaterThan(1);
  });
});

describe('the scenario', () => {
  const nowMs = Date.parse('2026-01-15T14:30:00-08:00');

  it('is the same twice', () => {
    const read = () =>
      sensorsAt(nowMs).map(({ probe, history, loose, celsiusAt }) => ({ probe, history, loose, next: celsiusAt(nowMs + 5000) }));
    expect(read()).toEqual(read());
    expect(statementsAt(nowMs)).toEqual(statementsAt(nowMs));
  });

  it('keeps 25,000 to 40,000 readings, each probe’s in rising order up to now', () => {
    const sensors = sensorsAt(nowMs);
    const total = sensors.reduce((sum, { history }) => sum + history.length, 0);
    expect(total).toBeGreaterThan(25_000);
    expect(total).toBeLessThan(40_000);
    for (const { probe, history } of sensors) {
      expect(
        history.every(({ atMs }, index) => atMs < nowMs && atMs > (history[index - 1]?.atMs ?? 0)),
        probe,
      ).toBe(true);
      expect(nowMs - (history.at(-1)?.atMs ?? 0), probe).toBeLessThanOrEqual(30_000);
    }
  });

  it('registers every probe but the stranger, who measures all the same', () => {
    const site = siteAt(nowMs);
    const heard = sensorsAt(nowMs).map(({ probe }) => probe);
    expect(heard.filter((probe) => !site.probes.has(probe))).toEqual([STRANGER.probe]);
    expect([...site.probes.keys()].filter((probe) => !heard.includes(probe))).toEqual([]);
    expect(site.probes.get(AIR.probe)?.role).toBe('ambient');
    expect(new Set(heard).size).toBe(heard.length);
  });

  it('uses every built-in schedule', () => {
    expect(new Set(JOINTS.map(({ schedule }) => schedule))).toEqual(new Set(builtInSchedules.map(({ name }) => name)));
  });

  it('has a sensor that hung loose for a while, shorter than the gap limit', () => {
    const loose = sensorsAt(nowMs).filter((sensor) => sensor.loose.length > 0);
    expect(loose.map(({ probe }) => probe)).toEqual(['s-base-a']);
    const samples = loose[0]?.loose ?? [];
    expect(samples.every(({ celsius }) => celsius === -127)).toBe(true);
    expect((samples.at(-1)?.atMs ?? 0) - (samples[0]?.atMs ?? 0)).toBeLessThan(15 * 60_000);
    expect(samples.length).toBeGreaterThan(5);
  });

  it('tells its notes in the order in which things happened', () => {
    const hoursAgo = NOTES.map((note) => note.hoursAgo);
    expect(hoursAgo).toEqual([...hoursAgo].sort((a, b) => b - a));
    const heaterOn = JOINTS.find(({ joint }) => joint === 's-base')?.heat.heater;
    expect(NOTES.find(({ joint }) => joint === 's-base')).toMatchObject({
      hoursAgo: heaterOn?.hoursAgo,
      text: expect.stringMatching(/heater on/i),
    });
  });
});
