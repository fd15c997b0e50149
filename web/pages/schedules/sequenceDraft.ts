import type { Need, Sequence } from '../../../edge/site/sequence.ts';

type Activity = Sequence['activities'][number];
type Part = Sequence['parts'][number];

/** What changes in an order of work while it is edited: its joints and its steps. */
export type Order = Pick<Sequence, 'parts' | 'activities'>;

/** Two needs that ask for the same. */
export const sameNeed = (one: Need, other: Need) => keyOf(one) === keyOf(other);

/** The label of a hold point may differ in wording. */
export function keyOf(need: Need): string {
  switch (need.need) {
    case 'stage':
      return `stage ${need.part} ${need.stage}`;
    case 'allJoints':
      return `allJoints ${need.stage}`;
    case 'prep':
      return `prep ${need.part}`;
    case 'done':
      return `done ${need.activity}`;
    case 'hold':
      return `hold ${need.hold}`;
    case 'decided':
    case 'passed':
      return need.need;
  }
}

/** Moves a step by one place: −1 earlier, 1 later. */
export function moved(order: Order, index: number, by: -1 | 1): Order {
  const to = index + by;
  const activities = [...order.activities];
  const [step] = activities.splice(index, 1);
  if (step === undefined || to < 0 || to > activities.length) return order;
  activities.splice(to, 0, step);
  return { ...order, activities };
}

/** Without a step, and without what others waited for of it. */
export function withoutStep(order: Order, activity: string): Order {
  const activities = order.activities
    .filter((each) => each.activity !== activity)
    .map((each) => without(each, (need) => need.need === 'done' && need.activity === activity));
  return { ...order, activities };
}

/** Without a joint: the steps that made it stay as steps, and nothing waits for it any more. */
export function withoutPart(order: Order, part: string): Order {
  const parts = order.parts.filter((each) => each.part !== part);
  const activities = order.activities.map((each) => {
    const kept = without(each, (need) => 'part' in need && need.part === part);
    if (kept.part !== part) return kept;
    const { part: _gone, ...rest } = kept;
    return rest;
  });
  return { parts, activities };
}

/** What the steps that stay wait for of a joint: it goes when the joint goes. */
export function waitsForPart({ activities }: Order, part: string): { readonly label: string; readonly needs: readonly Need[] }[] {
  return activities.flatMap(({ label, needs }) => {
    const own = needs.filter((need) => 'part' in need && need.part === part);
    return own.length === 0 ? [] : [{ label, needs: own }];
  });
}

const without = (activity: Activity, isGone: (need: Need) => boolean): Activity => ({
  ...activity,
  needs: activity.needs.filter((need) => !isGone(need)),
});

export function putStep(order: Order, index: number, change: Partial<Activity>): Order {
  return { ...order, activities: order.activities.map((each, place) => (place === index ? { ...each, ...change } : each)) };
}

export function putPart(order: Order, index: number, change: Partial<Part>): Order {
  return { ...order, parts: order.parts.map((each, place) => (place === index ? { ...each, ...change } : each)) };
}

/** The step makes this joint, or none when it is empty. */
export function making(order: Order, index: number, part: string): Order {
  const activities = order.activities.map((each, place) => {
    if (place !== index) return each;
    const { part: _before, ...rest } = each;
    return part === '' ? rest : { ...rest, part };
  });
  return { ...order, activities };
}

/** Only one step is the water test: choosing another moves it. */
export function asWaterTest(order: Order, index: number, wanted: boolean): Order {
  const activities = order.activities.map((each, place) => ({ ...each, waterTest: wanted && place === index }));
  return { ...order, activities };
}

export function toggled(order: Order, index: number, need: Need): Order {
  const step = order.activities[index];
  if (step === undefined) return order;
  const needs = step.needs.some((each) => sameNeed(each, need))
    ? step.needs.filter((each) => !sameNeed(each, need))
    : [...step.needs, need];
  return putStep(order, index, { needs });
}

/**
 * What a step can wait for: the stages of joints made before it and the surfaces of the others, the steps before it, a passed
 * test, decisions. What it waits for already is there too, also where the order no longer allows it, so that it can be taken away. `stagesOf`: the stages of a
 * schedule.
 */
export function possibleNeeds(
  { parts, activities }: Order,
  index: number,
  stagesOf: (schedule: string) => readonly string[],
): Need[] {
  const before = activities.slice(0, index);
  const stages = new Set(['stress', 'hydro']);
  const possible: Need[] = [
    ...parts.flatMap(({ part, schedule }): Need[] => {
      const own = stagesOf(schedule);
      for (const stage of own) stages.add(stage);
      const isMadeBefore = before.some((step) => step.part === part);
      const isMadeLater = activities.slice(index).some((step) => step.part === part);
      return [
        ...(isMadeBefore ? [] : [{ need: 'prep', part } as const]),
        ...(isMadeLater ? [] : own.map((stage) => ({ need: 'stage', part, stage }) as const)),
      ];
    }),
    ...[...stages].map((stage): Need => ({ need: 'allJoints', stage })),
    ...before.map(({ activity }): Need => ({ need: 'done', activity })),
    ...(before.some(({ waterTest }) => waterTest) ? [{ need: 'passed' } as const] : []),
    { need: 'decided' },
  ];
  const present = activities[index]?.needs ?? [];
  return [...possible, ...present.filter((need) => !possible.some((each) => sameNeed(each, need)))];
}
