import { describe, expect, test } from 'vitest';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import { builtInSequences, Sequence } from '../../edge/site/sequence.ts';

const make = (activity: string, part: string, needs: readonly object[] = []) => ({ activity, label: activity, part, needs });
const ALL_JOINTS = { need: 'allJoints', stage: 'hydro' };
const DECIDED = { need: 'decided' };
const WATER_TEST = { activity: 'test', label: 'Test', waterTest: true, needs: [ALL_JOINTS, DECIDED] };
const BACKFILL = { activity: 'backfill', label: 'Backfill', needs: [{ need: 'passed' }] };
const own = {
  name: 'own',
  version: 1,
  title: 'Own',
  author: 'Q. Fir',
  source: 'The yard.',
  parts: [
    { part: 'base', label: 'Base', schedule: 'polyester-laminate' },
    { part: 'top', label: 'Top', schedule: 'epoxy-pour' },
  ],
};

function faultsOf(...activities: readonly object[]): string[] {
  const read = Sequence.safeParse({ ...own, activities });
  return read.success ? [] : read.error.issues.map(({ path }) => path.join('.'));
}

describe('a sequence', () => {
  test.each(builtInSequences)('$name passes its own schema unchanged, with schedules that are there', (sequence) => {
    expect(Sequence.parse(sequence)).toEqual(sequence);
    const names = builtInSchedules.map(({ name }) => name);
    for (const { schedule } of sequence.parts) expect(names).toContain(schedule);
  });

  test('of one’s own: a base, a top on it, water, earth', () => {
    const top = make('top', 'top', [
      { need: 'stage', part: 'base', stage: 'stress' },
      { need: 'prep', part: 'top' },
    ]);
    expect(faultsOf(make('base', 'base', [{ need: 'prep', part: 'base' }]), top, WATER_TEST, BACKFILL)).toEqual([]);
  });

  test.each<[string, readonly object[], readonly string[]]>([
    [
      'two activities that wait for each other',
      [
        make('base', 'base', [{ need: 'done', activity: 'top' }]),
        make('top', 'top', [{ need: 'done', activity: 'base' }]),
        WATER_TEST,
      ],
      ['activities.0.needs.0.activity'],
    ],
    [
      'two joints that wait for each other’s stages',
      [
        make('base', 'base', [{ need: 'stage', part: 'top', stage: 'stress' }]),
        make('top', 'top', [{ need: 'stage', part: 'base', stage: 'stress' }]),
        WATER_TEST,
      ],
      ['activities.0.needs.0.part'],
    ],
    [
      'a joint that waits for its own stage',
      [make('base', 'base', [{ need: 'stage', part: 'base', stage: 'stress' }]), WATER_TEST],
      ['activities.0.needs.0.part'],
    ],
    [
      'an activity that waits for itself',
      [make('base', 'base', [{ need: 'done', activity: 'base' }]), WATER_TEST],
      ['activities.0.needs.0.activity'],
    ],
    [
      'a joint that is made after the test that waits for it',
      [WATER_TEST, make('top', 'top', [{ need: 'passed' }])],
      ['activities.1.part'],
    ],
    ['earth before water', [BACKFILL, WATER_TEST], ['activities.0.needs.0']],
  ])('whose needs go in circles is refused: %s', (_, activities, paths) => {
    expect(faultsOf(...activities)).toEqual(paths);
  });

  test.each<[string, readonly object[], readonly string[]]>([
    ['no water test', [make('base', 'base')], ['activities']],
    [
      'two water tests',
      [WATER_TEST, { ...WATER_TEST, activity: 'again', needs: [{ need: 'passed' }, ...WATER_TEST.needs] }],
      ['activities'],
    ],
    ['a water test that waits for no joint', [{ ...WATER_TEST, needs: [DECIDED] }], ['activities.0.needs']],
    ['a water test that waits for no decision', [{ ...WATER_TEST, needs: [ALL_JOINTS] }], ['activities.0.needs']],
    ['earth that does not wait for a pass', [WATER_TEST, { ...BACKFILL, needs: [DECIDED] }], ['activities.1.needs']],
    [
      'anything after the water test that does not wait for a pass',
      [WATER_TEST, BACKFILL, { ...BACKFILL, activity: 'pave', needs: [{ need: 'done', activity: 'backfill' }] }],
      ['activities.2.needs'],
    ],
    [
      'an activity twice',
      [make('base', 'base'), { ...BACKFILL, needs: [], activity: 'base' }, WATER_TEST],
      ['activities.1.activity'],
    ],
    ['a joint that is made twice', [make('base', 'base'), make('more', 'base'), WATER_TEST], ['activities.1.part']],
    ['a joint that it does not have', [make('lid', 'lid'), WATER_TEST], ['activities.0.part']],
    [
      'a need of a joint that it does not have',
      [make('base', 'base', [{ need: 'prep', part: 'lid' }]), WATER_TEST],
      ['activities.0.needs.0.part'],
    ],
  ])('with %s is refused', (_, activities, paths) => {
    expect(faultsOf(...activities)).toEqual(paths);
  });
});
