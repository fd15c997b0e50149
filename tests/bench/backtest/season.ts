import type { Ambient } from '../../../edge/demo/weather.ts';
import { climates, DAY_MS, HOUR_MS } from './climate.ts';
import { seedOf, uniform } from './draw.ts';
import { curedJoint, STEP_MS } from './joint.ts';
import { LEAD_HOURS, momentBefore, type Trial, trialAt } from './trial.ts';

/** From the first of two days up to the second, UTC midnights. */
export type Seasons = readonly (readonly [from: string, to: string])[];

/** Defaults may be chosen by these … */
export const TRAINING: Seasons = [
  ['2012-01-15', '2012-04-01'],
  ['2012-11-01', '2013-04-01'],
];
/** … and never by these, which the table is of. */
export const TESTED: Seasons = [
  ['2013-11-01', '2014-04-01'],
  ['2014-11-01', '2015-04-01'],
];

/** The laminate's floor: after a day whose air was colder than this on average, the cold decides when a joint is ready. */
export const COLD_CELSIUS = 5;

/** Two joints of the site were laid up so long before; what they are like has nothing to do with this one. */
const EARLIER_HOURS = [24, 96] as const;

/** One joint, and what was said of it so many hours before it was ready. */
export interface Tried {
  readonly isCold: boolean;
  /** Null: not within the horizon. */
  readonly hydroMs: number | null;
  readonly byLead: ReadonlyMap<number, Trial>;
}

/** Lays up one joint in each trial, at a random hour of work of a random day, and looks ahead at each lead. */
export function tryOut(seasons: Seasons, trials: readonly number[], coldOnly = false): Tried[] {
  const climateOf = climates();
  return trials.flatMap((trial) => {
    const climate = climateOf(trial);
    const laidUpMs = laidUpIn(seasons, trial);
    const isCold = meanBefore(climate.ambient, laidUpMs) < COLD_CELSIUS;
    if (coldOnly && !isCold) return [];
    const joint = curedJoint(trial, laidUpMs, climate);
    const earlier = (['before', 'longBefore'] as const).map((which) => {
      const hours = uniform(seedOf(trial, which), 20, EARLIER_HOURS[0], EARLIER_HOURS[1]);
      return curedJoint(trial, laidUpMs - Math.round((hours * HOUR_MS) / STEP_MS) * STEP_MS, climate, which);
    });
    const { hydroMs } = joint;
    const byLead = new Map<number, Trial>();
    for (const lead of LEAD_HOURS) {
      const nowMs = hydroMs === null ? null : momentBefore(joint, hydroMs, lead);
      if (hydroMs !== null && nowMs !== null) byLead.set(lead, trialAt(trial, joint, earlier, hydroMs, nowMs, climate.ambient));
    }
    return [{ isCold, hydroMs, byLead }];
  });
}

/** What was said at one lead, of those joints that had been laid up by then. */
export function atLead(tried: readonly Tried[], lead: number): Trial[] {
  return tried.flatMap(({ byLead }) => byLead.get(lead) ?? []);
}

function meanBefore(ambient: Ambient, atMs: number): number {
  let sum = 0;
  for (let hour = 1; hour <= 24; hour++) sum += ambient(atMs - hour * HOUR_MS) / 24;
  return sum;
}

function laidUpIn(seasons: Seasons, trial: number): number {
  const seed = seedOf(trial, 'layUp');
  const days = seasons.flatMap(([from, to]) => {
    const fromMs = Date.parse(from);
    return Array.from({ length: (Date.parse(to) - fromMs) / DAY_MS }, (_, day) => fromMs + day * DAY_MS);
  });
  const dayMs = days[Math.floor(uniform(seed, 0, 0, days.length))] as number;
  const workedMs = uniform(seed, 1, 7, 18) * HOUR_MS;
  return dayMs + Math.floor(workedMs / STEP_MS) * STEP_MS;
}
