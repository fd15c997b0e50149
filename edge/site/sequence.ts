import { z } from 'zod';
import { Slug } from '../cure/schedule.ts';

const label = z.string().trim().min(1).max(120);

/** What must be there before an activity may start. */
export const Need = z.discriminatedUnion('need', [
  /** A joint of the sump has reached a stage, and nothing blocks it. */
  z.strictObject({ need: z.literal('stage'), part: Slug, stage: Slug }),
  /** Every joint of the sump has, whether the sequence names it or not. */
  z.strictObject({ need: z.literal('allJoints'), stage: Slug }),
  /** The surface of a joint was signed for. */
  z.strictObject({ need: z.literal('prep'), part: Slug }),
  z.strictObject({ need: z.literal('done'), activity: Slug }),
  /** A hold point of the sump was signed. */
  z.strictObject({ need: z.literal('hold'), hold: Slug, label }),
  /** Every finding on the sump that asks for a decision has one. */
  z.strictObject({ need: z.literal('decided') }),
  /** The newest water test was passed. */
  z.strictObject({ need: z.literal('passed') }),
]);
export type Need = z.infer<typeof Need>;

const Activity = z.strictObject({
  activity: Slug,
  label,
  /** It is the making of this joint: it is done when the joint is laid up. */
  part: Slug.optional(),
  /** It is the water test: it is done when one is passed. */
  waterTest: z.boolean().default(false),
  needs: z.array(Need).max(20),
});
export type Activity = z.infer<typeof Activity>;

/** The order of work of a sump: its joints, its activities, and what each activity waits for. */
export const Sequence = z
  .strictObject({
    name: Slug,
    version: z.int().min(1),
    title: label,
    author: label,
    source: z.string().trim().min(1).max(600),
    /** The joints that a sump of this kind has. */
    parts: z.array(z.strictObject({ part: Slug, label, schedule: Slug })).max(24),
    activities: z.array(Activity).min(1).max(40),
  })
  .superRefine(({ parts, activities }, context) => {
    const fault = (path: PropertyKey[], message: string) => context.addIssue({ code: 'custom', path, message });
    const known = new Set(parts.map(({ part }) => part));
    if (known.size < parts.length) fault(['parts'], 'a joint is named twice');
    const before = new Set<string>();
    const testIndex = activities.findIndex(({ waterTest }) => waterTest);
    const makingOf = (name: string) => activities.findIndex(({ part }) => part === name);
    activities.forEach(({ activity, part, needs }, index) => {
      if (before.has(activity)) fault(['activities', index, 'activity'], 'is named twice');
      if (part !== undefined && !known.has(part)) fault(['activities', index, 'part'], `no joint "${part}" in parts`);
      if (part !== undefined && makingOf(part) < index)
        fault(['activities', index, 'part'], `is made by "${activities[makingOf(part)]?.activity}" already`);
      if (part !== undefined && testIndex >= 0 && index > testIndex)
        fault(['activities', index, 'part'], 'comes after the water test, which waits for all joints');
      needs.forEach((need, place) => {
        const path = ['activities', index, 'needs', place];
        if ('part' in need && !known.has(need.part)) fault([...path, 'part'], `no joint "${need.part}" in parts`);
        // What comes later cannot be waited for, or two would wait for each other for ever.
        if (need.need === 'done' && !before.has(need.activity))
          fault([...path, 'activity'], `"${need.activity}" does not come before "${activity}"`);
        if (need.need === 'stage' && makingOf(need.part) >= index)
          fault([...path, 'part'], `joint "${need.part}" is not made before "${activity}"`);
        if (need.need === 'passed' && !activities.slice(0, index).some(({ waterTest }) => waterTest))
          fault(path, 'no water test comes before it');
      });
      before.add(activity);
    });
    if (activities.filter(({ waterTest }) => waterTest).length > 1) fault(['activities'], 'has two water tests');
    const test = activities[testIndex];
    if (test === undefined) fault(['activities'], 'has no water test');
    else {
      const needs = new Set(test.needs.map(({ need }) => need));
      if (!needs.has('allJoints')) fault(['activities', testIndex, 'needs'], 'the water test has to wait for all joints');
      if (!needs.has('decided'))
        fault(['activities', testIndex, 'needs'], 'the water test has to wait for decisions on what was found');
      activities.slice(testIndex + 1).forEach((later, offset) => {
        if (!later.needs.some(({ need }) => need === 'passed'))
          fault(['activities', testIndex + 1 + offset, 'needs'], 'has to wait until the water test before it is passed');
      });
    }
  });
export type Sequence = z.infer<typeof Sequence>;

const FILL_AND_TEST: Activity = {
  activity: 'water-test',
  label: 'Fill and test',
  waterTest: true,
  needs: [{ need: 'allJoints', stage: 'hydro' }, { need: 'decided' }],
};
const BACKFILL: Activity = {
  activity: 'backfill',
  label: 'Backfill evenly',
  waterTest: false,
  needs: [{ need: 'passed' }, { need: 'allJoints', stage: 'hydro' }, { need: 'decided' }],
};

/** The order of work of sumps that name none: whatever the joints are, no water before they clear and no backfill before the test. */
export const testAndBackfill: Sequence = {
  name: 'test-and-backfill',
  version: 1,
  title: 'Water test and backfill',
  author: 'Warmhours',
  source: 'All joints cured, then the hydrostatic test, then the backfill: common practice, no source.',
  parts: [],
  activities: [FILL_AND_TEST, BACKFILL],
};

/** The sequences that come with the program. A site copies and edits them. */
export const builtInSequences: readonly Sequence[] = [
  {
    name: 'two-section-sump',
    version: 1,
    title: 'Sump in two sections',
    author: 'Warmhours',
    source:
      'Order of the work and what each step waits for: common practice, no source. The maker’s instructions for the sump win.',
    parts: [
      { part: 'base', label: 'Base laminate', schedule: 'polyester-laminate' },
      { part: 'inner', label: 'Inner epoxy pour', schedule: 'epoxy-pour' },
      { part: 'bed', label: 'Sealant bed', schedule: 'sealant-bead' },
      { part: 'upper', label: 'Upper laminate', schedule: 'polyester-laminate' },
    ],
    activities: [
      {
        activity: 'base-laminate',
        label: 'Base laminate',
        part: 'base',
        waterTest: false,
        needs: [{ need: 'prep', part: 'base' }],
      },
      {
        activity: 'inner-pour',
        label: 'Inner epoxy pour',
        part: 'inner',
        waterTest: false,
        needs: [
          { need: 'stage', part: 'base', stage: 'stress' },
          { need: 'prep', part: 'inner' },
        ],
      },
      {
        activity: 'cut-penetrations',
        label: 'Cut penetrations',
        waterTest: false,
        needs: [{ need: 'stage', part: 'inner', stage: 'stress' }],
      },
      {
        activity: 'set-upper-section',
        label: 'Bed the upper section in sealant',
        part: 'bed',
        waterTest: false,
        needs: [
          { need: 'done', activity: 'cut-penetrations' },
          { need: 'prep', part: 'bed' },
        ],
      },
      {
        activity: 'upper-laminate',
        label: 'Upper laminate',
        part: 'upper',
        waterTest: false,
        needs: [
          { need: 'stage', part: 'bed', stage: 'stress' },
          { need: 'prep', part: 'upper' },
        ],
      },
      FILL_AND_TEST,
      BACKFILL,
    ],
  },
  testAndBackfill,
];
