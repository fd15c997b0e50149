import { expect, test } from 'vitest';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import { builtInSequences, type Need, Sequence } from '../../edge/site/sequence.ts';
import {
  asWaterTest,
  keyOf,
  making,
  moved,
  type Order,
  possibleNeeds,
  toggled,
  waitsForPart,
  withoutPart,
  withoutStep,
} from '../../web/pages/schedules/sequenceDraft.ts';

const built = builtInSequences[0] as Sequence;
const stagesOf = (name: string) =>
  builtInSchedules.find((schedule) => schedule.name === name)?.stages.map(({ stage }) => stage) ?? [];
const valid = (order: Order) => Sequence.safeParse({ ...built, ...order });
const names = ({ activities }: Order) => activities.map(({ activity }) => activity);

test('a step moves by one place and not beyond the ends', () => {
  expect(names(moved(built, 1, -1)).slice(0, 2)).toEqual(['inner-pour', 'base-laminate']);
  expect(moved(built, 0, -1)).toBe(built);
  expect(moved(built, built.activities.length - 1, 1)).toBe(built);
  expect(names(moved(moved(built, 2, 1), 3, -1))).toEqual(names(built));
});

test('what is removed is waited for by nobody any more', () => {
  const order = withoutPart(withoutStep(built, 'cut-penetrations'), 'bed');
  expect(names(order)).not.toContain('cut-penetrations');
  expect(JSON.stringify(order)).not.toMatch(/"bed"|"cut-penetrations"/);
  expect(valid(order).success).toBe(true);
});

test('all that goes with a joint is named before it is removed, and nothing else', () => {
  for (const { part } of built.parts) {
    const named = waitsForPart(built, part).flatMap(({ needs }) => needs);
    const count = (order: Order) => order.activities.reduce((sum, { needs }) => sum + needs.length, 0);
    expect(named.every((need) => 'part' in need && need.part === part)).toBe(true);
    expect(named).toHaveLength(count(built) - count(withoutPart(built, part)));
  }
  // Inner pour, cutting and bedding all wait for the base laminate's stress.
  expect(waitsForPart(built, 'base').map(({ label }) => label)).toContain(built.activities[1]?.label);
});

test('whatever is offered to a step may be ticked, together', () => {
  built.activities.forEach((_, index) => {
    let order: Order = built;
    const offered = possibleNeeds(built, index, stagesOf);
    for (const need of offered)
      if (!order.activities[index]?.needs.some((each) => keyOf(each) === keyOf(need))) order = toggled(order, index, need);
    expect(order.activities[index]?.needs).toHaveLength(offered.length);
    expect(valid(order).error?.issues ?? []).toEqual([]);
  });
});

test('what an order no longer allows is still offered, to be taken away', () => {
  const turned = moved(built, 0, 1);
  const need: Need = { need: 'stage', part: 'base', stage: 'stress' };
  expect(valid(turned).success).toBe(false);
  expect(possibleNeeds(turned, 0, stagesOf)).toContainEqual(need);
  expect(valid(toggled(turned, 0, need)).success).toBe(true);
});

test('one step is the water test, and a step makes one joint or none', () => {
  const order = asWaterTest(built, 0, true);
  expect(order.activities.map(({ waterTest }) => waterTest).filter(Boolean)).toHaveLength(1);
  expect(order.activities[0]?.waterTest).toBe(true);
  expect(making(built, 0, '').activities[0]).not.toHaveProperty('part');
  expect(making(built, 2, 'upper').activities[2]?.part).toBe('upper');
});
