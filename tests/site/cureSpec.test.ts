import { describe, expect, test } from 'vitest';
import { foldAll } from '../../edge/cure/fold.ts';
import { HOUR_MS, hoursOf } from '../../edge/cure/schedule.ts';
import { foldSpecOf } from '../../edge/site/cureSpec.ts';
import type { Entry } from '../../edge/site/entries.ts';
import type { Joint } from '../../edge/site/state/joint.ts';
import { entry, siteWith, usual } from './entriesOf.ts';

const LAID_UP = entry({ kind: 'joint.laidUp', joint: 'j1', at: '2026-01-15T13:00:00Z' });
const ms = (clock: string) => Date.parse(`2026-01-15T${clock}:00Z`);
const ALWAYS = { fromMs: Number.NEGATIVE_INFINITY, untilMs: Number.POSITIVE_INFINITY };

function specAfter(...more: readonly Entry[]) {
  const site = siteWith(...usual, ...more);
  return foldSpecOf(site, site.joints.get('j1') as Joint);
}

function assigned(clock: string, probes: readonly string[], ambient?: string): Entry {
  return entry({
    kind: 'joint.assigned',
    joint: 'j1',
    probes,
    at: `2026-01-15T${clock}:00Z`,
    ...(ambient === undefined ? {} : { ambient }),
  });
}

function settings(clock: string, probe: string, uncertaintyCelsius: number, role = 'material'): Entry {
  return entry({ kind: 'probe.registered', probe, role, uncertaintyCelsius }, `2026-01-15T${clock}:00Z`);
}

describe('what a joint’s fold is told', () => {
  test('nothing before lay-up', () => {
    expect(specAfter()).toBeNull();
  });

  test('the start, the schedule’s own terms, and a lane per probe with its guard band', () => {
    const spec = specAfter(LAID_UP);
    expect(spec).toMatchObject({
      startMs: ms('13:00'),
      gapLimitMs: 15 * 60_000,
      ambientStandIn: false,
      table: { floorMilliC: 5000, topMilliC: 10_000 },
      stages: [
        { stage: 'stress', requiredPpmMs: 12 * HOUR_MS * 1e6 },
        { stage: 'hydro', requiredPpmMs: 24 * HOUR_MS * 1e6 },
      ],
    });
    expect(spec?.lanes).toEqual([
      { probe: 'p1', role: 'material', guardMilliC: 500, ...ALWAYS },
      { probe: 'p2', role: 'material', guardMilliC: 200, ...ALWAYS },
      { probe: 'air', role: 'ambient', guardMilliC: 500, ...ALWAYS },
    ]);
  });

  test('a probe that nobody registered has no lane until somebody does; then all its readings count', () => {
    const added = assigned('12:00', ['p1', 'new']);
    expect(specAfter(added, LAID_UP)?.lanes.map(({ probe }) => probe)).toEqual(['p1']);
    expect(specAfter(added, LAID_UP, settings('15:00', 'new', 0.3))?.lanes).toContainEqual({
      probe: 'new',
      role: 'material',
      guardMilliC: 300,
      ...ALWAYS,
      fromMs: ms('12:00'),
    });
  });

  test('a stranger that turns out to measure the air has no lane where it had been taken for a material probe', () => {
    const spec = specAfter(
      LAID_UP,
      assigned('14:00', ['new']),
      assigned('15:00', ['p1']),
      settings('16:00', 'new', 0.5, 'ambient'),
    );
    expect(spec?.lanes.map(({ probe }) => probe)).not.toContain('new');
  });

  test('new settings cut a lane in two where they were recorded', () => {
    expect(specAfter(LAID_UP, settings('15:00', 'p1', 0.1))?.lanes.filter(({ probe }) => probe === 'p1')).toEqual([
      { probe: 'p1', role: 'material', guardMilliC: 500, ...ALWAYS, untilMs: ms('15:00') },
      { probe: 'p1', role: 'material', guardMilliC: 100, ...ALWAYS, fromMs: ms('15:00') },
    ]);
  });

  test('a probe that leaves has a lane until then, one that comes has a lane from then, one that stays keeps its own', () => {
    const spec = specAfter(settings('12:00', 'p3', 0.5), LAID_UP, assigned('15:00', ['p1', 'p3']));
    expect(spec?.lanes).toEqual([
      { probe: 'p1', role: 'material', guardMilliC: 500, ...ALWAYS },
      { probe: 'p2', role: 'material', guardMilliC: 200, ...ALWAYS, untilMs: ms('15:00') },
      { probe: 'air', role: 'ambient', guardMilliC: 500, ...ALWAYS, untilMs: ms('15:00') },
      { probe: 'p3', role: 'material', guardMilliC: 500, ...ALWAYS, fromMs: ms('15:00') },
    ]);
  });

  test('a probe that leaves and comes back has two lanes, and nothing is credited between', () => {
    const spec = specAfter(LAID_UP, assigned('14:00', ['p2']), assigned('16:00', ['p1']));
    const own = spec?.lanes.filter(({ probe }) => probe === 'p1');
    expect(own?.map(({ fromMs, untilMs }) => [fromMs, untilMs])).toEqual([
      [Number.NEGATIVE_INFINITY, ms('14:00')],
      [ms('16:00'), Number.POSITIVE_INFINITY],
    ]);
    const atMs = Array.from({ length: 5 * 60 + 1 }, (_, minute) => ms('13:00') + minute * 60_000);
    const readings = { atMs, milliC: atMs.map(() => 20_000) };
    const none = { atMs: [], milliC: [] };
    if (spec === null) throw new Error('no spec');
    const { state } = foldAll(
      spec,
      spec.lanes.map(({ probe }) => (probe === 'p1' ? readings : none)),
    );
    // 13:00–13:59 and 16:00–18:00: the minute to 14:00 is not the lane's any more.
    expect(hoursOf(state.creditPpmMs)).toBeCloseTo(59 / 60 + 2, 9);
  });

  test('settings and assignments that change together cut at each', () => {
    const spec = specAfter(
      LAID_UP,
      assigned('14:00', ['p2']),
      settings('15:00', 'p1', 0.1),
      assigned('16:00', ['p1']),
      settings('17:00', 'p1', 0.9),
    );
    expect(
      spec?.lanes.filter(({ probe }) => probe === 'p1').map(({ fromMs, untilMs, guardMilliC }) => [fromMs, untilMs, guardMilliC]),
    ).toEqual([
      [Number.NEGATIVE_INFINITY, ms('14:00'), 500],
      [ms('16:00'), ms('17:00'), 100],
      [ms('17:00'), Number.POSITIVE_INFINITY, 900],
    ]);
  });

  test('two assignments at one instant: the later word counts', () => {
    const spec = specAfter(LAID_UP, assigned('14:00', ['p2']), assigned('14:00', ['p1']));
    expect(spec?.lanes.map(({ probe, fromMs, untilMs }) => [probe, fromMs, untilMs])).toEqual([
      ['p1', Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY],
      ['p2', Number.NEGATIVE_INFINITY, ms('14:00')],
      ['air', Number.NEGATIVE_INFINITY, ms('14:00')],
    ]);
  });

  test('lanes of one probe never overlap, so no reading counts twice', () => {
    const spec = specAfter(
      LAID_UP,
      settings('13:30', 'p1', 0.1),
      assigned('14:00', ['p2']),
      assigned('15:00', ['p1', 'p2']),
      settings('15:30', 'p2', 0.4),
    );
    const lanes = spec?.lanes ?? [];
    for (const lane of lanes)
      for (const other of lanes)
        if (lane !== other && lane.probe === other.probe)
          expect(lane.untilMs <= other.fromMs || other.untilMs <= lane.fromMs).toBe(true);
    expect(lanes.length).toBeGreaterThan(4);
  });
});
