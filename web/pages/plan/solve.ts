import { heatFor, holdFor } from '../../../edge/cure/outlook/booking.ts';
import type { Change, Heat, OutlookInput } from '../../../edge/cure/outlook/input.ts';
import { type LayUpPlan, latestLayUp, layUpAt } from '../../../edge/cure/outlook/layUp.ts';
import { type Band, project } from '../../../edge/cure/outlook/project.ts';
import { type Times, timesOf } from '../../../edge/site/views/outlook.ts';
import type { SumpOutlook } from '../../api/shapes.ts';
import { type Lift, liftByHeat, liftByWarmth } from './lift.ts';
import { type Aim, type PlanAnswer, type Proposal, planAnswer, wantedOf } from './planAnswer.ts';

type Outlooks = Pick<SumpOutlook, 'joints'>;

/** What takes too long to be answered while a thumb moves. */
export interface Questions {
  answer: { readonly outlook: Outlooks; readonly aim: Aim; readonly proposal: Proposal | null };
  hold: { readonly outlook: Outlooks; readonly aim: Aim };
  heat: { readonly outlook: Outlooks; readonly aim: Aim; readonly heat: Heat };
  band: { readonly input: OutlookInput; readonly change: Change | null; readonly untilMs: number };
  layUp: { readonly plan: LayUpPlan; readonly atMs: number };
  latest: { readonly plan: LayUpPlan; readonly stage: string; readonly byMs: number };
}

/** What is just enough; or, where nothing is, how far the most of it lifts the chance. Null: not at all. */
type Enough<T, More = Lift & T> =
  | ({ readonly isEnough: true; readonly joints: readonly string[] } & T)
  | ({ readonly isEnough: false } & More)
  | null;

export interface Answers {
  answer: PlanAnswer;
  /** m°C at or above which these joints have to be held from now on. */
  hold: Enough<{ readonly milliC: number }>;
  /** By when this heat has to be on at these joints. */
  heat: Enough<{ readonly fromMs: number }, Lift>;
  /** With the change and without it. */
  band: { readonly band: Band | null; readonly before: Band | null };
  layUp: readonly { readonly stage: string; readonly ready: Times }[];
  /** Null: not even now. */
  latest: number | null;
}

export type Asking = keyof Questions;

const solvers: { readonly [Each in Asking]: (question: Questions[Each]) => Answers[Each] } = {
  answer: ({ outlook, aim, proposal }) => planAnswer(outlook, aim, proposal),
  hold: ({ outlook, aim }) => {
    const enough = holdFor(wantedOf(outlook, aim.needs), aim.dueMs);
    if (enough !== null) return { isEnough: true, ...enough };
    const lift = liftByWarmth(outlook, aim);
    return lift && { isEnough: false, ...lift };
  },
  heat: ({ outlook, aim, heat }) => {
    const enough = heatFor(wantedOf(outlook, aim.needs), aim.dueMs, heat);
    if (enough !== null) return { isEnough: true, ...enough };
    const lift = liftByHeat(outlook, aim, heat);
    return lift && { isEnough: false, ...lift };
  },
  band: ({ input, change, untilMs }) => {
    const before = project(input, { bandUntilMs: untilMs }).band;
    return { before, band: change === null ? before : project(input, { bandUntilMs: untilMs, change }).band };
  },
  layUp: ({ plan, atMs }) =>
    project(layUpAt(plan, atMs)).stages.map(({ stage, membersMs }) => ({ stage, ready: timesOf(membersMs) })),
  latest: ({ plan, stage, byMs }) => latestLayUp(plan, stage, byMs),
};

export function solve<Each extends Asking>(asking: Each, question: Questions[Each]): Answers[Each] {
  return solvers[asking](question);
}
