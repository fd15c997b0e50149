import { describe, expect, test } from 'vitest';
import { Entry, Statement } from '../../edge/site/entries.ts';

function pathsOf(said: object, schema: typeof Statement | typeof Entry = Statement): string[] {
  const read = schema.safeParse(said);
  return read.success ? [] : read.error.issues.map(({ path }) => path.join('.'));
}

const laidUp = { kind: 'joint.laidUp', joint: 'j1', at: '2026-01-15T13:00:00Z' };

describe('statements', () => {
  test('a probe is a digital one unless it says otherwise; how uncertain it is follows from that', () => {
    expect(Statement.parse({ kind: 'probe.registered', probe: 'p1', role: 'material' })).toEqual({
      kind: 'probe.registered',
      probe: 'p1',
      role: 'material',
      sensor: { kind: 'digital' },
    });
  });

  test.each([
    [{ ...laidUp, at: '2026-01-15T13:00:00' }, ['at']],
    [{ ...laidUp, at: '2026-02-30T13:00:00Z' }, ['at']],
    [{ ...laidUp, joint: 'j 1' }, ['joint']],
    [{ ...laidUp, joint: 'a/b' }, ['joint']],
    [{ ...laidUp, joint: '+' }, ['joint']],
    [{ ...laidUp, joint: '#' }, ['joint']],
    [{ ...laidUp, joint: '.hidden' }, ['joint']],
    [{ ...laidUp, joint: 'x'.repeat(65) }, ['joint']],
    [{ ...laidUp, joint: undefined, at: 1 }, ['joint', 'at']],
    [{ ...laidUp, wether: 'fair' }, ['']],
    [{ kind: 'joint.laidup', joint: 'j1' }, ['kind']],
    [{ kind: 'site.described', name: ' ', timeZone: 'Mars/Olympus' }, ['name', 'timeZone']],
    [{ kind: 'probe.registered', probe: 'p1', role: 'air' }, ['role']],
    [{ kind: 'probe.registered', probe: 'p1', role: 'ambient', uncertaintyCelsius: -0.1 }, ['uncertaintyCelsius']],
    [{ kind: 'joint.added', joint: 'j', sump: 's', label: 'J', schedule: 'x', probes: ['p1', 'p1'] }, ['probes']],
    [{ kind: 'note.added', text: '' }, ['text']],
  ])('%j is refused at %j', (said, paths) => {
    expect(pathsOf(said)).toEqual(paths);
  });

  test('nobody may say what only the program may, nor who and when', () => {
    expect(pathsOf({ kind: 'boot.started', boot: 1, bootId: '0198a4be-0000-7000-8000-000000000000', program: 'x' })).toEqual([
      'kind',
    ]);
    expect(pathsOf({ ...laidUp, recordedAt: '2026-01-15T13:00:00Z' })).toEqual(['']);
  });
});

test('an entry is a statement with who and when', () => {
  const by = { name: 'A. Layer', role: 'crew' };
  expect(pathsOf({ ...laidUp, recordedAt: '2026-01-15T13:00:00Z', by }, Entry)).toEqual([]);
  expect(pathsOf(laidUp, Entry)).toEqual(['recordedAt', 'by']);
  expect(pathsOf({ ...laidUp, recordedAt: '2026-01-15T13:00:00Z', by: { ...by, role: 'owner' } }, Entry)).toEqual(['by.role']);
});
