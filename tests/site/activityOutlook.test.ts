import { describe, expect, test } from 'vitest';
import { HOUR_MS } from '../../edge/cure/schedule.ts';
import type { Entry } from '../../edge/site/entries.ts';
import type { Joint } from '../../edge/site/state/joint.ts';
import type { Sump } from '../../edge/site/state/sump.ts';
import { activityOutlook, needsOf } from '../../edge/site/views/activityOutlook.ts';
import { iso } from '../../edge/site/views/iso.ts';
import { JointView, jointView, withLateness } from '../../edge/site/views/joint.ts';
import { type JointProjection, notBefore, timesOf } from '../../edge/site/views/outlook.ts';
import { SumpView, sumpView } from '../../edge/site/views/sump.ts';
import { entry, type Said, siteWith, usual } from './entriesOf.ts';
import { clock } from './work.ts';

const NOW_MS = Date.parse(clock(600));
const at = (hours: number) => NOW_MS + hours * HOUR_MS;
const never = Number.POSITIVE_INFINITY;

interface Plan {
  /** Hours from now at which its stages will be reached, world by world. */
  readonly stress?: readonly number[];
  readonly hydro?: readonly number[];
  /** Stages that were reached so many hours ago. */
  readonly reached?: Readonly<Record<string, number>>;
  /** Ids of open findings that block its stages. */
  readonly blockedBy?: readonly string[];
  readonly reason?: JointProjection['reason'];
  readonly isLaidUp?: boolean;
  readonly isVoid?: boolean;
}

const added = (part: string): Said => ({
  kind: 'joint.added',
  joint: `${part}-joint`,
  sump: 's2',
  label: part,
  part,
  schedule: part === 'bed' ? 'sealant-bead' : part === 'inner' ? 'epoxy-pour' : 'polyester-laminate',
  probes: [],
});

/** A sump in two sections with the joints that are named, and what lies ahead of them. */
function sumpWith(plans: Readonly<Record<string, Plan>>, ...more: readonly Said[]) {
  const said = [
    { kind: 'sump.added', sump: 's2', label: 'Two', sequence: 'two-section-sump' },
    ...Object.keys(plans).map(added),
    ...Object.entries(plans).flatMap(([part, { isLaidUp = true }]): Said[] =>
      isLaidUp ? [{ kind: 'joint.laidUp', joint: `${part}-joint`, at: clock(60) }] : [],
    ),
    ...Object.entries(plans).flatMap(([part, { isVoid = false }]): Said[] =>
      isVoid
        ? [{ kind: 'finding.decided', finding: `gap:${part}-joint:t1`, decision: 'redo', reason: 'dry fibres', at: clock(90) }]
        : [],
    ),
    ...more,
  ];
  const site = siteWith(...usual, ...said.map((each): Entry => entry(each, clock(100))));
  const ahead = new Map<string, Pick<JointProjection, 'readiness' | 'reason'>>();
  const views = new Map<string, JointView>();
  for (const [part, plan] of Object.entries(plans)) {
    const joint = site.joints.get(`${part}-joint`) as Joint;
    const proof = { fold: null, mixFold: null, findings: [], projected: null };
    const view = jointView(site, joint, proof, { temperature: new Map(), humidity: new Map() }, NOW_MS);
    const { stress = [], hydro = [], reached = {}, blockedBy = [], reason = null } = plan;
    const stages = view.stages.map((stage) => {
      const ago = reached[stage.stage];
      return { ...stage, reachedAt: ago === undefined ? null : iso(at(-ago)), blockedBy: [...blockedBy] };
    });
    views.set(joint.joint, JointView.parse({ ...view, stages }));
    const readiness = Object.entries({ stress, hydro }).flatMap(([stage, hours]) =>
      hours.length === 0 ? [] : [{ stage, membersMs: hours.map(at) }],
    );
    ahead.set(joint.joint, { readiness, reason });
  }
  const view = SumpView.parse(sumpView(site, site.sumps.get('s2') as Sump, views, ahead, NOW_MS));
  const projected = (name: string) => view.activities.find(({ activity }) => activity === name)?.projected;
  return { view, views, ahead, projected, booking: view.bookings[0] };
}

const range = (count: number, hours: (world: number) => number) => Array.from({ length: count }, (_, world) => hours(world));
const times = (earliest: number, likely: number, latest: number) => ({
  earliest: iso(at(earliest)),
  likely: iso(at(likely)),
  latest: iso(at(latest)),
  reason: null,
});
const noTimes = (reason: string) => ({ earliest: null, likely: null, latest: null, reason });
const due = (activity: string, hours: number): Said => ({ kind: 'booking.made', sump: 's2', activity, due: iso(at(hours)) });
const started = (activity: string): Said => ({ kind: 'activity.started', sump: 's2', activity, at: clock(99) });
const done = (activity: string): Said => ({ kind: 'activity.done', sump: 's2', activity, at: clock(99) });

const twenty = range(20, (world) => world + 1);
const whole = {
  base: { reached: { stress: 5, hydro: 2 } },
  inner: { reached: { stress: 4, hydro: 1 } },
  bed: { reached: { stress: 3, hydro: 0.5 } },
  upper: { hydro: twenty },
};

describe('times of many worlds', () => {
  test('earliest, likely and latest are what 5, 50 and 95 of 100 have by then', () => {
    expect(timesOf(twenty.map(at))).toEqual(times(1, 10, 19));
    expect(timesOf(twenty.map(at).reverse())).toEqual(times(1, 10, 19));
  });

  test('what most worlds do not have within the days looked at has no time, and says why', () => {
    expect(timesOf([at(1), at(2), never])).toEqual({ ...times(1, 2, 2), latest: null, reason: 'beyond-horizon' });
    expect(timesOf([never, never])).toEqual(noTimes('beyond-horizon'));
  });
});

describe('what is not proven yet', () => {
  test('is not before the present in any world', () => {
    expect(notBefore([at(-2), at(1), never], NOW_MS)).toEqual([NOW_MS, at(1), never]);
  });
});

describe('an activity', () => {
  test('that waits for the stage of one joint has that joint’s times', () => {
    expect(sumpWith({ base: { stress: twenty } }).projected('inner-pour')).toEqual(times(1, 10, 19));
  });

  test('that waits for another one has not its own hours only, but those of what comes before it', () => {
    const { projected } = sumpWith({ base: { reached: { stress: 1 } }, inner: { stress: twenty } });
    expect(projected('cut-penetrations')).toEqual(times(1, 10, 19));
    // It needs a preparation, and the penetrations cut: no hours of its own.
    expect(projected('set-upper-section')).toEqual(times(1, 10, 19));
  });

  test('does not wait for the hours of one that has been started or done', () => {
    for (const before of [[started('cut-penetrations')], [started('cut-penetrations'), done('cut-penetrations')]]) {
      const { projected } = sumpWith({ inner: { stress: twenty } }, ...before);
      expect(projected('set-upper-section')).toBeNull();
      expect(projected('cut-penetrations')).toBeNull();
    }
  });

  test('that waits for all joints has the latest of them, world by world', () => {
    const opposite = { base: { hydro: twenty }, inner: { hydro: twenty.toReversed() } };
    const { projected } = sumpWith({ ...whole, ...opposite, upper: { reached: { hydro: 1 } } });
    // Each has half of the worlds within 10 h, both together none: the later of n and 21 − n is 11 at least.
    expect(projected('water-test')).toEqual(times(11, 15, 20));
  });

  test('that waits for a passed test has at least the hours of the test', () => {
    const { projected } = sumpWith(whole);
    expect(projected('water-test')).toEqual(times(1, 10, 19));
    expect(projected('backfill')).toEqual(times(1, 10, 19));
  });

  test('whose hours are there already shows none', () => {
    const { view, projected } = sumpWith({ base: { reached: { stress: 1 } } });
    expect(view.activities.find(({ activity }) => activity === 'inner-pour')?.state).toBe('waiting');
    expect(projected('inner-pour')).toBeNull();
    expect(projected('base-laminate')).toBeNull();
  });

  test('has no time while a joint is not on the site, not laid up, or to be done again', () => {
    const { upper: _, ...without } = whole;
    expect(sumpWith(without).projected('water-test')).toEqual(noTimes('not-laid-up'));
    expect(sumpWith({ base: { isLaidUp: false } }).projected('inner-pour')).toEqual(noTimes('not-laid-up'));
    expect(sumpWith({ base: { reached: { stress: 1 }, isVoid: true } }).projected('inner-pour')).toEqual(noTimes('not-laid-up'));
    expect(sumpWith({}).projected('water-test')).toEqual(noTimes('not-laid-up'));
  });

  test('has no time where nothing is known to go by, and says what is wanting', () => {
    expect(sumpWith({ base: { reason: 'no-humidity' } }).projected('inner-pour')).toEqual(noTimes('no-humidity'));
    expect(sumpWith({ base: {} }).projected('inner-pour')).toEqual(noTimes('not-yet'));
  });

  test('is never expected in the past: what is not proven is not there yet', () => {
    expect(sumpWith({ base: { stress: [-1, -1, 2] } }).projected('inner-pour')).toEqual(times(0, 0, 2));
  });
});

describe('whether nothing is missing', () => {
  const outlookOf = ({ view, views, ahead }: ReturnType<typeof sumpWith>, activity: string) =>
    activityOutlook(
      { ...view, viewOf: (joint) => views.get(joint), aheadOf: (joint) => ahead.get(joint), nowMs: NOW_MS },
      activity,
    );

  test('it is so where all hours are there, whatever is known of what lies ahead, and where none are needed', () => {
    const plans = { base: { reached: { stress: 1 }, reason: 'no-probe' } } as const;
    expect(outlookOf(sumpWith(plans), 'inner-pour')).toMatchObject({ nothingMissing: true, missing: [], unknown: null });
    expect(outlookOf(sumpWith({}), 'base-laminate')).toMatchObject({ nothingMissing: true, missing: [], unknown: null });
  });

  test('it is not while hours are missing or a joint cannot be told', () => {
    expect(outlookOf(sumpWith({ base: { stress: twenty } }), 'inner-pour').nothingMissing).toBe(false);
    expect(outlookOf(sumpWith({ base: { reason: 'no-probe' } }), 'inner-pour')).toMatchObject({
      nothingMissing: false,
      ready: noTimes('no-probe'),
      unknown: 'base-joint',
    });
    expect(outlookOf(sumpWith({}), 'inner-pour').nothingMissing).toBe(false);
  });
});

describe('what an activity needs', () => {
  const needs = ({ view, views }: ReturnType<typeof sumpWith>, activity: string) =>
    needsOf(view, activity, (joint) => views.get(joint));

  test('its own stages and those of what has to be done before it, each once', () => {
    expect(needs(sumpWith({ base: { stress: [1] }, inner: { stress: [2] } }), 'set-upper-section')).toEqual([
      { joint: 'inner-joint', stage: 'stress' },
    ]);
    const all = ['base-joint', 'inner-joint', 'bed-joint', 'upper-joint'].map((joint) => ({ joint, stage: 'hydro' }));
    expect(needs(sumpWith(whole), 'water-test')).toEqual(all);
    expect(needs(sumpWith(whole), 'backfill')).toEqual(all);
  });

  test('of a joint whose schedule has no stage of that name the last stage', () => {
    const { view, views } = sumpWith({ base: {} });
    const cut = (joint: string) => {
      const found = views.get(joint);
      return found && { ...found, stages: found.stages.map((stage) => ({ ...stage, stage: `${stage.stage}-of-ours` })) };
    };
    expect(needsOf(view, 'inner-pour', cut)).toEqual([{ joint: 'base-joint', stage: 'hydro-of-ours' }]);
  });

  test('nothing that could be told where a joint is wanting or void', () => {
    const { upper: _, ...without } = whole;
    expect(needs(sumpWith(without), 'water-test')).toEqual([]);
    expect(needs(sumpWith({ ...whole, upper: { isVoid: true } }), 'water-test')).toEqual([]);
  });
});

describe('a booking', () => {
  test('has the share of the worlds that have the hours by then as its chance', () => {
    const { booking } = sumpWith(whole, { ...due('water-test', 15), note: 'pump truck' });
    expect(booking).toEqual({
      seq: usual.length + 10,
      activity: 'water-test',
      label: 'Fill and test',
      due: iso(at(15)),
      by: 'A. Layer',
      note: 'pump truck',
      chance: 0.75,
      decidedBy: 'upper-joint',
      ready: times(1, 10, 19),
      safeFrom: iso(at(18)),
      waitsFor: [],
    });
  });

  test('is safe from the next quarter of an hour on', () => {
    const { booking } = sumpWith({ base: { stress: [1 / 60, 2 / 60, 3 / 60] } }, due('inner-pour', 1));
    expect(booking?.safeFrom).toBe(iso(at(0.25)));
    expect(sumpWith({ base: { stress: [never] } }, due('inner-pour', 1)).booking).toMatchObject({ chance: 0, safeFrom: null });
  });

  test('two joints that are late in different worlds leave it less of a chance than either', () => {
    const plans = { ...whole, base: { hydro: twenty }, upper: { hydro: twenty.toReversed() } };
    expect(sumpWith(plans, due('water-test', 12)).booking).toMatchObject({ chance: 0.2, ready: times(11, 15, 20) });
  });

  test('whose hours are there in time holds, however long ago they came and it was due', () => {
    const passed = sumpWith({ base: { reached: { stress: 2 } } }, due('inner-pour', -1)).booking;
    expect(passed).toMatchObject({ chance: 1, decidedBy: null, ready: times(0, 0, 0), safeFrom: iso(NOW_MS) });
    const late = sumpWith({ base: { reached: { stress: 0.5 } } }, due('inner-pour', -1)).booking;
    expect(late).toMatchObject({ chance: 0, decidedBy: null });
  });

  test('that is over while the hours are missing has no chance, whatever was looked ahead to', () => {
    expect(sumpWith({ base: { stress: [-2, -2] } }, due('inner-pour', -1)).booking?.chance).toBe(0);
  });

  test('has no chance that could be named while a joint cannot be told, and names the joint', () => {
    expect(sumpWith({ base: { isLaidUp: false } }, due('inner-pour', 5)).booking).toMatchObject({
      chance: null,
      decidedBy: 'base-joint',
      ready: noTimes('not-laid-up'),
      safeFrom: null,
    });
    expect(sumpWith({}, due('inner-pour', 5)).booking).toMatchObject({ chance: null, decidedBy: null });
  });

  test('waits for open findings beside the hours', () => {
    const plans = { base: { stress: [1], blockedBy: ['gap:base-joint:t1'] } };
    expect(sumpWith(plans, due('inner-pour', 5)).booking).toMatchObject({ chance: 1, waitsFor: ['gap:base-joint:t1'] });
    const early: Said = {
      ...started('inner-pour'),
      reason: 'rain is coming',
      early: [{ need: 'joint "base-joint" is not clear for stress', missingHours: 3 }],
    };
    const { booking, view } = sumpWith(whole, early, due('water-test', 30));
    expect(view.undecided).toHaveLength(1);
    expect(booking).toMatchObject({ chance: 1, waitsFor: view.undecided });
  });

  test('of an activity that is under way is not shown; the others stand by when they are due', () => {
    const { view } = sumpWith(
      { inner: { stress: twenty } },
      started('cut-penetrations'),
      due('cut-penetrations', 1),
      due('backfill', 9),
      due('water-test', 8),
    );
    expect(view.bookings.map(({ activity }) => activity)).toEqual(['water-test', 'backfill']);
  });

  test('makes the joint that decides it late when it will rather not hold', () => {
    const conditions = (hours: number, joint: string) => {
      const { view, views } = sumpWith(
        { ...whole, inner: { hydro: twenty.map((hour) => hour - 0.5) } },
        due('water-test', hours),
      );
      return withLateness(views.get(joint) as JointView, view.bookings).conditions;
    };
    expect(conditions(9, 'upper-joint')).toEqual(['projectedLate']);
    for (const other of ['base-joint', 'inner-joint']) expect(conditions(9, other)).toEqual([]);
    // Half of the worlds have the hours by then.
    expect(conditions(10, 'upper-joint')).toEqual([]);
  });
});
