import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import { type Fold, foldAll } from '../../edge/cure/fold.ts';
import { ratePpmAt } from '../../edge/cure/rateTable.ts';
import { HOUR_MS, PPM, requiredPpmMs, type Schedule } from '../../edge/cure/schedule.ts';
import { foldSpecOf } from '../../edge/site/cureSpec.ts';
import type { Entry } from '../../edge/site/entries.ts';
import { jointFindings } from '../../edge/site/findings/jointFindings.ts';
import type { Joint } from '../../edge/site/state/joint.ts';
import type { SiteState } from '../../edge/site/state/site.ts';
import type { Latest } from '../../edge/site/views/governing.ts';
import { JointView, jointView } from '../../edge/site/views/joint.ts';
import type { JointProjection } from '../../edge/site/views/outlook.ts';
import { ProbeView, probeView } from '../../edge/site/views/probe.ts';
import { SumpView, sumpView } from '../../edge/site/views/sump.ts';
import { entry, scheduleEntry, siteWith, usual } from './entriesOf.ts';

const START_MS = Date.parse('2026-01-15T13:00:00Z');
const MINUTE_MS = 60_000;
const LAID_UP = entry({ kind: 'joint.laidUp', joint: 'j1', at: new Date(START_MS).toISOString() });

type Temperatures = Readonly<Record<string, (minute: number) => number>>;

/** A joint with a reading a minute of each probe over `minutes`, seen `laterMs` after the last of them. */
function seen(
  temperatures: Temperatures,
  minutes: number,
  laterMs = 0,
  entries: readonly Entry[] = [...usual, LAID_UP],
  projected: JointProjection | null = null,
): JointView {
  const site = siteWith(...entries);
  const joint = site.joints.get('j1') as Joint;
  const readings = Object.fromEntries(
    Object.entries(temperatures).map(([probe, celsius]) => {
      const atMs = Array.from({ length: minutes + 1 }, (_, minute) => START_MS + minute * MINUTE_MS);
      return [probe, { atMs, milliC: atMs.map((_, minute) => Math.round(celsius(minute) * 1000)) }];
    }),
  );
  const temperature = new Map<string, Latest>(
    Object.entries(readings).map(([probe, { atMs, milliC }]) => [probe, { atMs: atMs.at(-1) ?? 0, milliC: milliC.at(-1) ?? 0 }]),
  );
  const fold = foldOf(site, joint, readings);
  const nowMs = START_MS + minutes * MINUTE_MS + laterMs;
  const findings = jointFindings(site, joint, { episodes: [], reached: fold?.state.reached ?? [], gelMs: null }, nowMs);
  const latest = { temperature, humidity: new Map() };
  return JointView.parse(jointView(site, joint, { fold, mixFold: null, findings, projected }, latest, nowMs));
}

function foldOf(
  site: SiteState,
  joint: Joint,
  readings: Readonly<Record<string, { atMs: number[]; milliC: number[] }>>,
): Fold | null {
  const spec = foldSpecOf(site, joint);
  if (spec === null) return null;
  return foldAll(
    spec,
    spec.lanes.map(({ probe }) => readings[probe] ?? { atMs: [], milliC: [] }),
  );
}

const steady = (celsius: number) => () => celsius;
const both = (celsius: number): Temperatures => ({ p1: steady(celsius), p2: steady(celsius) });

describe('a joint’s phase', () => {
  test('planned before lay-up, with nothing counted and nothing complained of', () => {
    expect(seen(both(20), 60, 0, usual)).toMatchObject({
      phase: 'planned',
      conditions: [],
      warmHours: 0,
      clockHours: 0,
      laidUpAt: null,
      provenUntil: null,
      creditRate: null,
      stages: [
        { stage: 'stress', reachedAt: null, remainingHours: 12, ifHeldAt: null },
        { stage: 'hydro', reachedAt: null, remainingHours: 24, ifHeldAt: null },
      ],
    });
  });

  test.each([
    [12 * 60 - 1, 'curing'],
    [12 * 60, 'stressReady'],
    [24 * 60 - 1, 'stressReady'],
    [24 * 60, 'hydroReady'],
  ])('after %i minutes at the reference: %s', (minutes, phase) => {
    expect(seen(both(10.5), minutes).phase).toBe(phase);
  });

  test('a reached stage names its instant and the reading that proved it, and stays reached when the probes fall silent', () => {
    const view = seen(both(10.5), 13 * 60, 5 * HOUR_MS);
    expect(view).toMatchObject({ phase: 'stressReady', conditions: ['unproven'] });
    expect(view.stages[0]).toEqual({
      stage: 'stress',
      requiredHours: 12,
      reachedAt: '2026-01-16T01:00:00.000Z',
      clearAt: '2026-01-16T01:00:00.000Z',
      provenBy: { probe: 'p1', at: '2026-01-16T01:00:00.000Z' },
      remainingHours: 0,
      ifHeldAt: null,
      blockedBy: [],
    });
  });

  test('the reading’s age is beside it: as of now, proven until the last reading', () => {
    expect(seen(both(20), 60, 7 * MINUTE_MS)).toMatchObject({
      asOf: '2026-01-15T14:07:00.000Z',
      provenUntil: '2026-01-15T14:00:00.000Z',
      governing: { at: '2026-01-15T14:00:00.000Z' },
      warmHours: 1,
      clockHours: 67 / 60,
    });
  });
});

describe('conditions', () => {
  test('unproven from beyond the gap limit on, exactly', () => {
    expect(seen(both(20), 60, 15 * MINUTE_MS)).toMatchObject({ conditions: [], creditRate: 1 });
    expect(seen(both(20), 60, 15 * MINUTE_MS + 1)).toMatchObject({ conditions: ['unproven'], creditRate: null, governing: null });
  });

  test('cold below the floor, after the guard band; no time is named then', () => {
    // p1 takes off 0.5 °C and p2 0.2 °C: 5.5 °C is the coldest that still earns.
    const earning = seen(both(5.5), 60);
    expect(earning.conditions).toEqual([]);
    expect(earning.stages[0]?.ifHeldAt).not.toBeNull();
    const cold = seen(both(5.499), 60);
    expect(cold).toMatchObject({ conditions: ['cold'], creditRate: 0, coldHours: 1, warmHours: 0 });
    expect(cold.stages.map(({ ifHeldAt }) => ifHeldAt)).toEqual([null, null]);
  });

  test('hours that only an ambient probe stood for are provisional, and hold a stage back until somebody decides', () => {
    const standIn = scheduleEntry({ ...(builtInSchedules[0] as Schedule), ambientStandIn: true });
    const entries = [standIn, ...usual.filter(({ kind }) => kind !== 'schedule.recorded'), LAID_UP];
    const view = seen({ air: steady(20) }, 13 * 60, 0, entries);
    expect(view).toMatchObject({
      phase: 'curing',
      conditions: ['silent', 'provisional'],
      provisionalHours: 13,
      governing: { probe: 'air' },
    });
    const [finding] = view.findings.filter(({ code }) => code === 'provisional');
    expect(finding).toMatchObject({ open: true, severity: 'stop', blocks: ['stress'] });
    expect(view.stages[0]).toMatchObject({ reachedAt: '2026-01-16T01:00:00.000Z', blockedBy: [finding?.id] });
    expect(seen({ air: steady(20) }, 13 * 60)).toMatchObject({ conditions: ['unproven'], warmHours: 0, governing: null });
  });
});

describe('who governs now', () => {
  test('the coldest of the live probes after the guard band, shown as measured', () => {
    // 8.0 − 0.5 = 7.5 is colder than 7.8 − 0.2 = 7.6.
    expect(seen({ p1: steady(8), p2: steady(7.8) }, 30).governing).toEqual({
      probe: 'p1',
      celsius: 8,
      guardCelsius: 0.5,
      humidityPercent: null,
      at: '2026-01-15T13:30:00.000Z',
    });
    expect(seen({ p1: steady(8.2), p2: steady(7.8) }, 30).governing).toMatchObject({
      probe: 'p2',
      celsius: 7.8,
      guardCelsius: 0.2,
    });
  });

  test('cold air does not govern a joint with a live probe of its own', () => {
    expect(seen({ ...both(12), air: steady(-5) }, 30)).toMatchObject({ governing: { probe: 'p1' }, conditions: [] });
  });

  test('a probe that nobody registered is listed and governs nothing', () => {
    const entries = [...usual, entry({ kind: 'joint.assigned', joint: 'j1', probes: ['p1', 'stranger'] }), LAID_UP];
    const view = seen({ p1: steady(12), stranger: steady(-5) }, 30, 0, entries);
    expect(view.governing?.probe).toBe('p1');
    expect(view.probes).toEqual([
      { probe: 'p1', role: 'material', registered: true },
      { probe: 'stranger', role: 'material', registered: false },
    ]);
  });
});

describe('what is shown never exceeds what was earned', () => {
  test('warm hours are rounded down, remaining hours up', () => {
    fc.assert(
      fc.property(fc.integer({ min: 5500, max: 9999 }), fc.integer({ min: 1, max: 300 }), (milliC, minutes) => {
        const view = seen(both(milliC / 1000), minutes);
        const site = siteWith(...usual, LAID_UP);
        const table = (site.joints.get('j1') as Joint).schedule.table;
        // In whole millionths of an hour, so that no rounding of the test's own stands in the way.
        const earnedPpmMs = ratePpmAt(table, milliC - 500) * minutes * MINUTE_MS;
        const millionths = (hours: number) => Math.round(hours * 1e6);
        expect(millionths(view.warmHours) * 3_600_000).toBeLessThanOrEqual(earnedPpmMs);
        expect((millionths(view.warmHours) + 1) * 3_600_000).toBeGreaterThan(earnedPpmMs);
        for (const { requiredHours, remainingHours } of view.stages)
          expect(millionths(remainingHours) * 3_600_000).toBeGreaterThanOrEqual(requiredPpmMs(requiredHours) - earnedPpmMs);
        expect(view.warmHours).toBeLessThanOrEqual(view.clockHours);
      }),
      { numRuns: 300 },
    );
  });

  test('“if held” is when the missing hours would be there at the present rate, counted from what is proven', () => {
    const view = seen(both(8.5), 120, 5 * MINUTE_MS);
    const rate = view.creditRate ?? 0;
    expect(rate).toBe(ratePpmAt((siteWith(...usual).joints.get('j1') as Joint).schedule.table, 8000) / PPM);
    const expectedMs = Date.parse(view.provenUntil ?? '') + ((12 - 2 * rate) / rate) * HOUR_MS;
    expect(Math.abs(Date.parse(view.stages[0]?.ifHeldAt ?? '') - expectedMs)).toBeLessThan(2);
    expect(Date.parse(view.stages[0]?.ifHeldAt ?? '')).toBeGreaterThanOrEqual(Math.floor(expectedMs));
  });

  test('“if held” is never in the past, although what is missing would be there already', () => {
    const view = seen(both(10.5), 12 * 60 - 2, 10 * MINUTE_MS);
    expect(view.stages[0]).toMatchObject({ reachedAt: null, ifHeldAt: view.asOf });
  });
});

describe('what lies ahead of a joint', () => {
  const AHEAD: JointProjection = {
    asOf: '2026-01-15T14:00:00.000Z',
    air: 'persistence',
    stages: [
      {
        stage: 'stress',
        earliest: '2026-01-16T01:00:00.000Z',
        likely: '2026-01-16T03:00:00.000Z',
        latest: null,
        reason: 'beyond-horizon',
      },
    ],
    readiness: [{ stage: 'stress', membersMs: [Number.POSITIVE_INFINITY] }],
    reason: null,
  };
  const { readiness: _, reason: __, ...shown } = AHEAD;
  const seenAhead = (minutes: number, ...more: readonly Entry[]) =>
    seen(both(10.5), minutes, 0, [...usual, ...more], AHEAD).projected;
  const said = (more: object) => entry({ joint: 'j1', at: new Date(START_MS).toISOString(), ...more });

  test('is shown while it cures, without the single worlds', () => {
    expect(seenAhead(60, LAID_UP)).toEqual(shown);
    expect(seen(both(10.5), 60).projected).toBeNull();
  });

  test('is not before it is laid up, when it is through, or when it is to be done again', () => {
    expect(seenAhead(60)).toBeNull();
    expect(seenAhead(24 * 60 - 1, LAID_UP)).toEqual(shown);
    expect(seenAhead(24 * 60, LAID_UP)).toBeNull();
    const redo = entry({ kind: 'finding.decided', finding: 'gap:j1:t1', decision: 'redo', reason: 'dry' });
    expect(seenAhead(60, LAID_UP, redo)).toBeNull();
  });

  test('heat that is on now is named with who put it on; of heater and cover the heater', () => {
    const cover = said({ kind: 'heating.changed', what: 'cover', on: true });
    const heater = entry({
      kind: 'heating.changed',
      sump: 's1',
      what: 'heater',
      on: true,
      holdCelsius: 18.5,
      at: new Date(START_MS).toISOString(),
    });
    const heated = (...more: readonly Entry[]) => seen(both(10.5), 60, 0, [...usual, ...more]).heating;
    const base = { since: '2026-01-15T13:00:00.000Z', by: 'A. Layer' };
    expect(heated()).toBeNull();
    expect(heated(cover)).toEqual({ ...base, seq: usual.length + 1, what: 'cover', holdCelsius: null, sump: false });
    expect(heated(cover, heater)).toEqual({ ...base, seq: usual.length + 2, what: 'heater', holdCelsius: 18.5, sump: true });
    expect(heated(cover, said({ kind: 'heating.changed', what: 'cover', on: false }))).toBeNull();
  });
});

describe('a joint’s view of its schedule', () => {
  test('names reference, floor, source and the hash of the table', () => {
    const [laminate] = builtInSchedules as readonly [Schedule];
    const { scheduleDetail, schedule } = seen(both(20), 1);
    expect(schedule).toBe('polyester-laminate');
    expect(scheduleDetail).toMatchObject({
      version: 1,
      referenceCelsius: 10,
      floorCelsius: 5,
      gapLimitMinutes: 15,
      source: laminate.source,
    });
    expect(scheduleDetail.rateTableSha256).toMatch(/^[0-9a-f]{64}$/);
  });
});

describe('a sump', () => {
  const site = siteWith(
    ...usual,
    entry({ kind: 'joint.added', joint: 'j2', sump: 's1', label: 'Joint 2', schedule: 'polyester-laminate', probes: ['p1'] }),
    entry({ kind: 'sump.added', sump: 's2', label: 'Sump 2' }),
  );
  const views = (j1: JointView, j2: JointView) =>
    new Map([
      ['j1', j1],
      ['j2', { ...j2, joint: 'j2' }],
    ]);
  const summary = (j1: JointView, j2: JointView) => {
    const sump = site.sumps.get('s1');
    if (sump === undefined) throw new Error('no sump');
    return SumpView.parse(sumpView(site, sump, views(j1, j2), new Map(), START_MS));
  };

  test('is released by its slowest joint', () => {
    const slow = seen(both(10.5), 13 * 60);
    const fast = seen(both(10.5), 25 * 60);
    expect(summary(fast, slow)).toMatchObject({ phase: 'stressReady', slowestJoint: 'j2', serial: 'A-17', joints: ['j1', 'j2'] });
    expect(summary(slow, fast)).toMatchObject({ phase: 'stressReady', slowestJoint: 'j1' });
    expect(summary(fast, seen(both(20), 1, 0, usual))).toMatchObject({ phase: 'planned', slowestJoint: 'j2' });
  });

  test('of two joints in one phase the one that has longer to go is the slowest', () => {
    expect(summary(seen(both(10.5), 120), seen(both(10.5), 60))).toMatchObject({ phase: 'curing', slowestJoint: 'j2' });
  });

  test('without a joint it has no phase', () => {
    const empty = site.sumps.get('s2');
    if (empty === undefined) throw new Error('no sump');
    expect(SumpView.parse(sumpView(site, empty, new Map(), new Map(), START_MS))).toMatchObject({
      phase: null,
      slowestJoint: null,
      serial: null,
    });
  });
});

const UNHEARD = { temperature: undefined, humidity: undefined, level: undefined, resistance: undefined };

describe('a probe', () => {
  const site = siteWith(...usual);

  test('with its settings, its joints and its newest reading', () => {
    const latest = { ...UNHEARD, temperature: { atMs: START_MS, milliC: 7250 } };
    expect(ProbeView.parse(probeView(site, 'p2', site.probes.get('p2') ?? null, latest, true))).toEqual({
      probe: 'p2',
      label: 'p2',
      role: 'material',
      registered: true,
      sensor: { kind: 'digital' },
      uncertaintyCelsius: 0.2,
      humidityUncertaintyPercent: 3,
      told: {
        uncertaintyCelsius: 0.2,
        humidityUncertaintyPercent: null,
        levelUncertaintyMillimetres: null,
        batteryLowVolts: null,
      },
      joints: ['j1'],
      latest: { celsius: 7.25, at: '2026-01-15T13:00:00.000Z' },
      humidity: null,
      level: null,
      ohms: null,
      online: true,
      calibrations: [],
      imports: [],
      mappings: [],
      record: [
        {
          seq: 7,
          kind: 'probe.registered',
          at: '2026-01-15T12:00:00.000Z',
          text: 'digital · ±0.2 °C',
          by: 'A. Layer',
          role: 'crew',
          recordedAt: '2026-01-15T12:00:00.000Z',
          withdrawn: null,
        },
      ],
    });
    expect(probeView(site, 'air', site.probes.get('air') ?? null, UNHEARD, null)).toMatchObject({
      joints: ['j1'],
      role: 'ambient',
      latest: null,
    });
  });

  test('a stranger heard on the site’s topics', () => {
    expect(ProbeView.parse(probeView(site, 'x', null, UNHEARD, false))).toMatchObject({
      label: 'x',
      registered: false,
      role: null,
      uncertaintyCelsius: null,
      joints: [],
    });
  });
});
