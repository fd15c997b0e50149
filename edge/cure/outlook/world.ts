import { exp } from '../exp.ts';
import { HOUR_MS } from '../schedule.ts';
import { normalAt } from './chance.ts';
import type { OutlookInput } from './input.ts';

/** Streams of chance: the air's own, shared by all joints, and two numbers of each joint's. */
const AIR_STREAM = 0;
const OFFSET = 0;
const HEAT = 1;

/** How one world differs from the best guess. */
export interface World {
  /** Of the air, in standard deviations fully grown: one value an hour from the present on. */
  readonly airDeviates: Float64Array;
  readonly offsetMilliC: number;
  /** Number of standard deviations that heat is off. */
  readonly heatDeviates: number;
}

/** The best guess itself. */
export function bestGuess({ lag }: OutlookInput, hours: number): World {
  return { airDeviates: new Float64Array(hours + 1), offsetMilliC: lag.offsetMilliC, heatDeviates: 0 };
}

/** One of the worlds, with what the air may be off by for at least so many hours from the present on. */
export function worldOf({ error, lag, stream }: OutlookInput, member: number, hours: number): World {
  return {
    airDeviates: airDeviates(error.correlationMs, member, hours),
    offsetMilliC: lag.offsetMilliC + lag.offsetSdMilliC * normalAt(1 + stream, member, OFFSET),
    heatDeviates: normalAt(1 + stream, member, HEAT),
  };
}

/** Of the correlation time asked for last: all joints of a site share it, so that their worlds are worked out once. */
const drawn = { correlationMs: 0, members: new Map<number, Float64Array>() };

/** An Ornstein–Uhlenbeck process that starts from nothing and grows towards a standard deviation of 1, hour by hour. */
function airDeviates(correlationMs: number, member: number, hours: number): Float64Array {
  if (drawn.correlationMs !== correlationMs) {
    drawn.correlationMs = correlationMs;
    drawn.members.clear();
  }
  const known = drawn.members.get(member);
  if (known !== undefined && known.length > hours) return known;
  const kept = exp(-HOUR_MS / correlationMs);
  const fresh = Math.sqrt(1 - kept * kept);
  const deviates = new Float64Array(hours + 1);
  for (let hour = 1; hour <= hours; hour++)
    deviates[hour] = (deviates[hour - 1] as number) * kept + fresh * normalAt(AIR_STREAM, member, hour);
  drawn.members.set(member, deviates);
  return deviates;
}
