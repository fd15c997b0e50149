import { describe, expect, test } from 'vitest';
import type { Entry } from '../../edge/site/entries.ts';
import { type Context, type Fault, FUTURE_TOLERANCE_MS } from '../../edge/site/refusals/context.ts';
import { faultsOf } from '../../edge/site/refusals/faults.ts';
import { emptySite, type SiteState } from '../../edge/site/state/site.ts';
import { entry, type Said, siteWith, statement, usual } from './entriesOf.ts';

const NOW_MS = Date.parse('2026-01-16T12:00:00Z');
const LAID_UP = entry({ kind: 'joint.laidUp', joint: 'j1', at: '2026-01-15T13:00:00Z' });
const REASSIGNED = entry({ kind: 'joint.assigned', joint: 'j1', probes: ['p1'], at: '2026-01-15T18:00:00Z' });

/** A site on which no reading shows anything. */
const about = (site: SiteState): Context => ({
  site,
  by: { name: 'A. Layer', role: 'crew' },
  nowMs: NOW_MS,
  seen: {
    activities: () => [],
    finding: () => undefined,
    isDone: () => false,
    coldestMilliC: () => null,
    airMilliC: () => null,
    firstStage: () => ({ stage: 'stress', remainingHours: 0 }),
  },
});

function faults(said: Said, ...more: readonly Entry[]): readonly Fault[] {
  return faultsOf(statement(said), about(siteWith(...usual, ...more)));
}

describe('statements that fit', () => {
  test.each<Said>([
    { kind: 'site.described', name: 'South yard', timeZone: 'Europe/Berlin' },
    { kind: 'probe.registered', probe: 'p3', role: 'material' },
    { kind: 'probe.registered', probe: 'p1', role: 'material', label: 'Flange', uncertaintyCelsius: 0.6 },
    { kind: 'sump.added', sump: 's2', label: 'Sump 2' },
    {
      kind: 'joint.added',
      joint: 'j2',
      sump: 's1',
      label: 'Joint 2',
      schedule: 'epoxy-pour',
      probes: ['p1', 'nobody-yet'],
      ambient: 'air',
    },
    { kind: 'joint.assigned', joint: 'j1', probes: [] },
    { kind: 'joint.assigned', joint: 'j1', probes: ['p2'], at: '2026-01-15T18:00:00Z' },
    { kind: 'joint.laidUp', joint: 'j1', at: '2026-01-16T06:00:00-06:00' },
    { kind: 'joint.relaid', joint: 'j1', at: '2026-01-15T13:00:00Z' },
    { kind: 'note.added', text: 'Heater on', joint: 'j1', sump: 's1', probe: 'p1', at: '2026-01-15T13:00:00Z' },
  ])('%j', (said) => {
    expect(faults(said, LAID_UP, REASSIGNED)).toEqual([]);
  });

  test('a built-in schedule need not be on record yet', () => {
    const site = emptySite();
    const added = { kind: 'joint.added', joint: 'j2', sump: 's1', label: 'J', schedule: 'epoxy-pour', probes: [] };
    expect(faultsOf(statement(added), about(site)).map(({ path }) => path)).toEqual(['sump']);
  });
});

const joint2 = { kind: 'joint.added', joint: 'j2', sump: 's1', label: 'Joint 2', schedule: 'epoxy-pour', probes: ['p1'] };

describe('statements that do not fit: where, what, and what would be right', () => {
  test.each<[Said, string, RegExp]>([
    [
      { kind: 'probe.registered', probe: 'p2', role: 'ambient', uncertaintyCelsius: 0.2 },
      'role',
      /"p2" is registered as material; give the other probe a name/,
    ],
    [{ kind: 'sump.added', sump: 's1', label: 'Again' }, 'sump', /a sump "s1" is on this site already/],
    [{ ...joint2, joint: 'j1' }, 'joint', /a joint "j1" is on this site already/],
    [{ ...joint2, sump: 's9' }, 'sump', /no sump "s9" on this site; known: s1$/],
    [
      { ...joint2, schedule: 'glue' },
      'schedule',
      /no schedule "glue"; known: polyester-laminate, epoxy-pour, sealant-bead, laminate-strict$/,
    ],
    [{ ...joint2, probes: ['p1', 'air'] }, 'probes.1', /"air" is registered as ambient, not on a material/],
    [{ ...joint2, probes: ['p3'], ambient: 'p3' }, 'ambient', /"p3" cannot be both on the material and in the air/],
    [{ ...joint2, ambient: 'p2' }, 'ambient', /"p2" is registered on a material, not as ambient/],
    [{ kind: 'joint.assigned', joint: 'j9', probes: [] }, 'joint', /no joint "j9" on this site; known: j1$/],
    [{ kind: 'joint.assigned', joint: 'j1', probes: ['air'] }, 'probes.0', /"air" is registered as ambient/],
    [
      { kind: 'joint.assigned', joint: 'j1', probes: ['p1'], at: '2026-01-15T17:59:59Z' },
      'at',
      /before .* since 2026-01-15T18:00:00.000Z/,
    ],
    [
      { kind: 'joint.assigned', joint: 'j1', probes: ['p1'], at: '2027-01-15T18:00:00Z' },
      'at',
      /future; it is 2026-01-16T12:00:00.000Z here/,
    ],
    [{ kind: 'joint.laidUp', joint: 'j9', at: '2026-01-15T13:00:00Z' }, 'joint', /no joint "j9"/],
    [{ kind: 'joint.laidUp', joint: 'j1', at: '2026-01-16T12:02:00.001Z' }, 'at', /lies in the future/],
    [{ kind: 'joint.laidUp', joint: 'j1', at: '1970-01-01T00:00:00Z' }, 'at', /before 2015; check the year/],
    [{ kind: 'joint.relaid', joint: 'j9', at: '2026-01-15T13:00:00Z' }, 'joint', /no joint "j9"/],
    [
      { kind: 'joint.relaid', joint: 'j1', at: '2026-01-15T12:59:59Z' },
      'at',
      /before the lay-up it replaces, 2026-01-15T13:00:00.000Z/,
    ],
    [{ kind: 'joint.relaid', joint: 'j1', at: '2026-01-17T12:00:00Z' }, 'at', /lies in the future/],
    [{ kind: 'note.added', text: 'x', joint: 'j9' }, 'joint', /no joint "j9"/],
    [
      { kind: 'entry.withdrawn', seq: 3, reason: 'x' },
      'seq',
      /entry 3 cannot be taken back; what was said about joints, sumps, probes and lots can/,
    ],
    [{ kind: 'note.added', text: 'x', sump: 's9' }, 'sump', /no sump "s9"/],
    [{ kind: 'note.added', text: 'x', probe: 'p9' }, 'probe', /no probe "p9" on this site; known: p1, p2, air$/],
    [{ kind: 'note.added', text: 'x', at: '2026-01-17T12:00:00Z' }, 'at', /lies in the future/],
  ])('%j', (said, path, message) => {
    expect(faults(said, LAID_UP, REASSIGNED)).toEqual([{ path, message: expect.stringMatching(message) }]);
  });

  test('a joint that was not laid up cannot be laid up anew', () => {
    expect(faults({ kind: 'joint.relaid', joint: 'j1', at: '2026-01-15T13:00:00Z' })).toEqual([
      { path: 'joint', message: expect.stringMatching(/has not been laid up yet; record that first/) },
    ]);
  });

  test('a probe cannot be registered against what a joint counts on', () => {
    const assigned = entry({ kind: 'joint.assigned', joint: 'j1', probes: ['new'], ambient: 'sky' });
    expect(faults({ kind: 'probe.registered', probe: 'new', role: 'ambient' }, assigned)).toEqual([
      { path: 'role', message: expect.stringMatching(/joint "j1" counts on probe "new" as a material probe/) },
    ]);
    expect(faults({ kind: 'probe.registered', probe: 'sky', role: 'material' }, assigned)).toEqual([
      { path: 'role', message: expect.stringMatching(/joint "j1" counts on probe "sky" as its ambient probe/) },
    ]);
    expect(faults({ kind: 'probe.registered', probe: 'new', role: 'material' }, assigned)).toEqual([]);
  });

  describe('crew make no probe better than it was believed to be', () => {
    const THERMISTOR = {
      kind: 'thermistor',
      curve: { kind: 'steinhartHart', a: 1.129148e-3, b: 2.34125e-4, c: 8.76741e-8 },
    } as const;
    const registered = { kind: 'probe.registered', role: 'material' };
    const level = { kind: 'probe.registered', role: 'level' };
    const air = { kind: 'probe.registered', role: 'ambient' };
    const told = [
      entry({ ...registered, probe: 'wide', uncertaintyCelsius: 0.9 }),
      entry({ ...level, probe: 'stick', levelUncertaintyMillimetres: 3 }),
      entry({ ...registered, probe: 'wired', sensor: THERMISTOR }),
    ];
    const of = (said: Said, role: 'crew' | 'quality') =>
      faultsOf(statement(said), { ...about(siteWith(...usual, ...told)), by: { name: 'A. Layer', role } });

    test.each<[string, Said, string]>([
      ['a new one below the default', { ...registered, probe: 'p9', uncertaintyCelsius: 0.49 }, 'uncertaintyCelsius'],
      ['one below what was told', { ...registered, probe: 'wide', uncertaintyCelsius: 0.89 }, 'uncertaintyCelsius'],
      ['one that was told, left out', { ...registered, probe: 'wide' }, 'uncertaintyCelsius'],
      ['humidity below the default', { ...air, probe: 'air', humidityUncertaintyPercent: 2.9 }, 'humidityUncertaintyPercent'],
      ['a level below the default', { ...level, probe: 'l9', levelUncertaintyMillimetres: 0.9 }, 'levelUncertaintyMillimetres'],
      [
        'a level below what was told',
        { ...level, probe: 'stick', levelUncertaintyMillimetres: 2.9 },
        'levelUncertaintyMillimetres',
      ],
      ['another sensor', { ...registered, probe: 'p1', sensor: { kind: 'pt100', tolerance: 'A' } }, 'sensor'],
      [
        'another curve',
        { ...registered, probe: 'wired', sensor: { ...THERMISTOR, curve: { ...THERMISTOR.curve, a: 1.1e-3 } } },
        'sensor',
      ],
      ['a sensor left out, which is a digital one', { ...registered, probe: 'wired' }, 'sensor'],
    ])('%s: quality may', (_, said, path) => {
      expect(of(said, 'crew')).toEqual([{ path, message: expect.stringMatching(/only quality or admin may/) }]);
      expect(of(said, 'quality')).toEqual([]);
    });

    test.each<Said>([
      { ...registered, probe: 'p9', uncertaintyCelsius: 0.5, sensor: THERMISTOR },
      { ...registered, probe: 'p2', uncertaintyCelsius: 0.2, label: 'Rim' },
      { ...registered, probe: 'wide', uncertaintyCelsius: 1 },
      { ...level, probe: 'stick', levelUncertaintyMillimetres: 3 },
      {
        ...registered,
        probe: 'wired',
        sensor: { ...THERMISTOR, curve: { c: 8.76741e-8, b: 2.34125e-4, a: 1.129148e-3, kind: 'steinhartHart' } },
      },
    ])('%j is in order', (said) => {
      expect(of(said, 'crew')).toEqual([]);
    });
  });

  test('people’s clocks may be ahead by the tolerance, no more', () => {
    const at = (ms: number) => faults({ kind: 'joint.laidUp', joint: 'j1', at: new Date(ms).toISOString() });
    expect(at(NOW_MS + FUTURE_TOLERANCE_MS)).toEqual([]);
    expect(at(NOW_MS + FUTURE_TOLERANCE_MS + 1)).toHaveLength(1);
  });

  test('all faults are told at once', () => {
    const all = faults({ ...joint2, joint: 'j1', sump: 's9', schedule: 'glue', probes: ['air'], ambient: 'p1' });
    expect(all.map(({ path }) => path)).toEqual(['joint', 'sump', 'schedule', 'probes.0', 'ambient']);
  });

  test('long lists of what is known are cut short', () => {
    const many = Array.from({ length: 20 }, (_, index) => entry({ kind: 'sump.added', sump: `t${index}`, label: 'T' }));
    const [fault] = faults({ ...joint2, sump: 's9' }, ...many);
    expect(fault?.message).toMatch(/known: s1, t0, .*, t10$/);
    const onJoint = statement({ kind: 'note.added', text: 'x', joint: 'j1' });
    expect(faultsOf(onJoint, about(emptySite()))[0]?.message).toMatch(/known: none yet$/);
  });
});
