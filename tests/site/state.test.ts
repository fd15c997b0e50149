import { describe, expect, test } from 'vitest';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import type { Schedule } from '../../edge/cure/schedule.ts';
import type { Entry } from '../../edge/site/entries.ts';
import { applyEntry } from '../../edge/site/state/apply.ts';
import type { Joint } from '../../edge/site/state/joint.ts';
import { emptySite } from '../../edge/site/state/site.ts';
import { entry, plain, scheduleEntry, siteWith, usual } from './entriesOf.ts';

function jointAfter(...more: readonly Entry[]): Joint {
  return siteWith(...usual, ...more).joints.get('j1') as Joint;
}

const laidUp = (at: string) => entry({ kind: 'joint.laidUp', joint: 'j1', at });

describe('what the entries add up to', () => {
  test('a site, its probes, sumps and joints', () => {
    const site = siteWith(...usual);
    expect(site).toMatchObject({ name: 'North yard', timeZone: 'America/Chicago' });
    expect(site.probes.get('p1')).toMatchObject({
      probe: 'p1',
      label: 'Flange',
      role: 'material',
      settings: [
        {
          fromMs: Number.NEGATIVE_INFINITY,
          sensor: { kind: 'digital' },
          calibration: null,
          uncertaintyMilliC: 500,
          uncertaintyMilliPercent: 3000,
        },
      ],
      calibrations: [],
      imports: [],
    });
    expect(site.probes.get('p2')).toMatchObject({ label: 'p2', settings: [{ uncertaintyMilliC: 200 }] });
    expect(site.sumps.get('s1')).toMatchObject({
      sump: 's1',
      label: 'Sump 1',
      serial: 'A-17',
      joints: ['j1'],
      sequence: { name: 'test-and-backfill' },
    });
    expect(site.joints.get('j1')).toMatchObject({
      laidUpMs: null,
      assignments: [{ fromMs: Number.NEGATIVE_INFINITY, probes: ['p1', 'p2'], ambient: 'air' }],
    });
  });

  test('a joint keeps the version of its schedule that was on record when it was added', () => {
    const [first] = builtInSchedules as readonly [Schedule];
    const second = { ...first, version: 2, referenceCelsius: 12 };
    const later = { kind: 'joint.added', joint: 'j2', sump: 's1', label: 'Joint 2', schedule: first.name, probes: [] };
    const site = siteWith(...usual, scheduleEntry(second), entry(later));
    expect(site.joints.get('j1')?.schedule.definition.version).toBe(1);
    expect(site.joints.get('j2')?.schedule).toMatchObject({ definition: { version: 2 }, table: { topMilliC: 12_000 } });
  });

  test('new settings of a probe count from when they were recorded; the same ones again change nothing', () => {
    const again = (uncertaintyCelsius: number, recordedAt: string) =>
      entry({ kind: 'probe.registered', probe: 'p1', role: 'material', uncertaintyCelsius }, recordedAt);
    const site = siteWith(...usual, again(0.5, '2026-01-15T13:00:00Z'), again(0.1, '2026-01-15T14:00:00Z'));
    expect(site.probes.get('p1')).toMatchObject({
      label: 'Flange',
      settings: [
        { fromMs: Number.NEGATIVE_INFINITY, uncertaintyMilliC: 500 },
        { fromMs: Date.parse('2026-01-15T14:00:00Z'), uncertaintyMilliC: 100 },
      ],
    });
  });

  test('each further ply moves the start on, never back', () => {
    expect(jointAfter(laidUp('2026-01-15T13:00:00Z'), laidUp('2026-01-15T14:00:00Z')).laidUpMs).toBe(
      Date.parse('2026-01-15T14:00:00Z'),
    );
    expect(jointAfter(laidUp('2026-01-15T14:00:00Z'), laidUp('2026-01-15T13:00:00Z')).laidUpMs).toBe(
      Date.parse('2026-01-15T14:00:00Z'),
    );
  });

  test('a joint that is laid up anew starts from there', () => {
    const relaid = entry({ kind: 'joint.relaid', joint: 'j1', at: '2026-01-16T08:00:00Z', reason: 'dry fibres' });
    const joint = jointAfter(laidUp('2026-01-15T13:00:00Z'), relaid);
    expect(joint.laidUpMs).toBe(Date.parse('2026-01-16T08:00:00Z'));
    expect(joint.events.map(({ kind, text, by }) => [kind, text, by.name])).toEqual([
      ['laidUp', '', 'A. Layer'],
      ['relaid', 'dry fibres', 'A. Layer'],
    ]);
  });

  test('before lay-up an assignment counts for all time; afterwards from its own time, or from when it was recorded', () => {
    const assigned = (probes: string[], at?: string) =>
      entry({ kind: 'joint.assigned', joint: 'j1', probes, ...(at === undefined ? {} : { at }) }, '2026-01-15T16:00:00Z');
    const joint = jointAfter(
      assigned(['p2']),
      laidUp('2026-01-15T13:00:00Z'),
      assigned(['p1'], '2026-01-15T15:00:00Z'),
      assigned([]),
    );
    expect(joint.assignments).toEqual([
      { fromMs: Number.NEGATIVE_INFINITY, probes: ['p2'], ambient: null },
      { fromMs: Date.parse('2026-01-15T15:00:00Z'), probes: ['p1'], ambient: null },
      { fromMs: Date.parse('2026-01-15T16:00:00Z'), probes: [], ambient: null },
    ]);
  });

  test('a note goes to its joint; one on the site touches no joint', () => {
    const onJoint = entry({ kind: 'note.added', text: 'Heater on', joint: 'j1', at: '2026-01-15T15:00:00Z' });
    const onSite = entry({ kind: 'note.added', text: 'Frost' }, '2026-01-15T16:00:00Z');
    const site = siteWith(...usual, onJoint, onSite);
    expect(site.joints.get('j1')?.events).toMatchObject([
      { kind: 'note', text: 'Heater on', atMs: Date.parse('2026-01-15T15:00:00Z') },
    ]);
  });

  test('the same entries give the same state, and a boot changes nothing', () => {
    const boot = entry({ kind: 'boot.started', boot: 1, bootId: '0198a4be-0000-7000-8000-000000000000', program: 'test' });
    expect(plain(siteWith(...usual, boot))).toEqual(plain(siteWith(...usual)));
    expect(plain(siteWith(...usual)).probes).toHaveLength(3);
  });

  test.each([
    ['schedule', { kind: 'joint.added', joint: 'j', sump: 's', label: 'J', schedule: 'glue', probes: [] }],
    ['joint', { kind: 'joint.laidUp', joint: 'j', at: '2026-01-15T13:00:00Z' }],
    ['joint', { kind: 'joint.assigned', joint: 'j', probes: [] }],
    ['joint', { kind: 'joint.relaid', joint: 'j', at: '2026-01-15T13:00:00Z' }],
    ['joint', { kind: 'note.added', text: 'x', joint: 'j' }],
  ])('an entry that names an unknown %s is a damaged ledger', (what, said) => {
    expect(() => applyEntry(emptySite(), entry(said), 1)).toThrow(new RegExp(`names ${what} ".*" before it was added`));
  });

  test('an entry that names an unknown sump is a damaged ledger', () => {
    const site = siteWith(...usual);
    const added = entry({ kind: 'joint.added', joint: 'j2', sump: 's9', label: 'J', schedule: 'epoxy-pour', probes: [] });
    expect(() => applyEntry(site, added, 99)).toThrow(/names sump "s9" before it was added/);
  });
});

describe('taking back', () => {
  const LAID_UP = entry({ kind: 'joint.laidUp', joint: 'j1', at: '2026-01-15T13:00:00Z' });
  const PLY = entry({ kind: 'joint.laidUp', joint: 'j1', at: '2026-01-15T14:00:00Z' });
  const back = (seq: number) => entry({ kind: 'entry.withdrawn', seq, reason: 'wrong joint' }, '2026-01-15T15:00:00Z');
  const joint = (...entries: Entry[]) => siteWith(...usual, ...entries).joints.get('j1') as Joint;
  const first = usual.length + 1;

  test('a lay-up that is taken back never was, and stays in sight', () => {
    const { laidUpMs, events } = joint(LAID_UP, back(first));
    expect(laidUpMs).toBeNull();
    const withdrawn = { by: LAID_UP.by, atMs: Date.parse('2026-01-15T15:00:00Z'), reason: 'wrong joint' };
    expect(events).toEqual([
      {
        seq: first,
        atMs: Date.parse('2026-01-15T13:00:00Z'),
        recordedMs: Date.parse('2026-01-15T12:00:00Z'),
        kind: 'laidUp',
        text: '',
        by: LAID_UP.by,
        withdrawn,
      },
    ]);
  });

  test('an assignment that says since when it holds does not reach further back, even before lay-up', () => {
    const moved = entry({ kind: 'joint.assigned', joint: 'j1', probes: ['p2'], at: '2026-01-15T12:50:00Z' });
    const early = entry({ kind: 'joint.laidUp', joint: 'j1', at: '2026-01-15T07:00:00Z' });
    expect(joint(moved, early).assignments.map(({ fromMs, probes }) => [fromMs, probes])).toEqual([
      [Number.NEGATIVE_INFINITY, ['p1', 'p2']],
      [Date.parse('2026-01-15T12:50:00Z'), ['p2']],
    ]);
  });

  test('a further ply is told as one', () => {
    expect(joint(LAID_UP, PLY).events.map(({ kind }) => kind)).toEqual(['laidUp', 'furtherPly']);
  });

  test('a further ply that is taken back gives the start back', () => {
    expect(joint(LAID_UP, PLY).laidUpMs).toBe(Date.parse('2026-01-15T14:00:00Z'));
    expect(joint(LAID_UP, PLY, back(first + 1)).laidUpMs).toBe(Date.parse('2026-01-15T13:00:00Z'));
  });

  test('an assignment that is taken back leaves the one before in force', () => {
    const moved = entry({ kind: 'joint.assigned', joint: 'j1', probes: ['p2'], at: '2026-01-15T14:00:00Z' });
    expect(joint(LAID_UP, moved, back(first + 1)).assignments).toEqual(joint(LAID_UP).assignments);
  });

  test('a probe that came after a lay-up does not count before it came, even if that lay-up is taken back', () => {
    const moved = entry({ kind: 'joint.assigned', joint: 'j1', probes: ['p2'], at: '2026-01-15T14:00:00Z' });
    const again = entry({ kind: 'joint.laidUp', joint: 'j1', at: '2026-01-15T12:30:00Z' });
    expect(joint(LAID_UP, moved, back(first), again).assignments).toEqual([
      { fromMs: Number.NEGATIVE_INFINITY, probes: ['p1', 'p2'], ambient: 'air' },
      { fromMs: Date.parse('2026-01-15T14:00:00Z'), probes: ['p2'], ambient: null },
    ]);
  });
});
