import { exp } from '../exp.ts';
import { HOUR_MS } from '../schedule.ts';
import { sin } from '../sin.ts';

/**
 * Parton & Logan, A model for diurnal variation in soil and air temperature, Agricultural Meteorology 23:205–216 (1981), air at
 * 150 cm: the high lies `ALPHA` hours after the middle of the daylight, the low `GAMMA` hours after sunrise (so shortly before it),
 * and at night the air cools by `exp(−BETA·n/Z)`, with n of the night's Z hours gone.
 */
const ALPHA_HOURS = 1.86;
const BETA = 2.2;
const GAMMA_HOURS = -0.17;

/** Daylight is taken to last at least and at most so long, whatever the times of low and high say. */
const SHORTEST_DAY_HOURS = 7;
const LONGEST_DAY_HOURS = 17;
const DAY_MS = 24 * HOUR_MS;

/** What a forecast says in the words of everybody: how cold the night and how warm the day, and when. */
export interface Extreme {
  readonly kind: 'low' | 'high';
  readonly atMs: number;
  readonly milliC: number;
}

export interface DiurnalSettings {
  readonly nowMs: number;
  /** What is measured now; null: nothing. Only asked for where `nowMs` lies before the first extreme. */
  readonly nowMilliC: number | null;
  /** In the order of time, lows and highs by turns, a high after at least one low. */
  readonly extremes: readonly Extreme[];
  readonly untilMs: number;
}

/**
 * Air temperature hour by hour from the whole hour before `nowMs` to `untilMs`, through the lows and highs given, after Parton &
 * Logan 1981. Their sine carries it from a low to the next high and on to sunset, their exponential through the night.
 *
 * Our own choices: the length of the day follows from the times of low and high (the paper's relation, turned about); the night's
 * curve is stretched so that it meets the next low exactly, which the paper's misses by a ninth of the night's fall; a high
 * followed by a low that is warmer than the last one falls towards that low; after the last extreme the last day repeats. Before
 * the first extreme the shape of the first day runs on from what is measured: by day with its own swing until sunset, then by
 * the night's curve to the low. With nothing measured, the first day is taken for the day before as well.
 *
 * Throws a RangeError in plain words for extremes that are no weather.
 */
export function diurnal({ nowMs, nowMilliC, extremes, untilMs }: DiurnalSettings): { atMs: number; milliC: number }[] {
  refuse(extremes);
  const firstMs = (extremes[0] as Extreme).atMs;
  const known = repeated(extremes, Math.min(nowMs, firstMs) - 2 * DAY_MS, untilMs);
  const first = known.findIndex(({ atMs }) => atMs === firstMs);
  const day = known.slice(first - (extremes[0]?.kind === 'low' ? 2 : 1), first + 1);
  const isMeasured = nowMilliC !== null && nowMs >= (day[0] as Extreme).atMs;
  const hours: { atMs: number; milliC: number }[] = [];
  for (let atMs = Math.floor(nowMs / HOUR_MS) * HOUR_MS; atMs <= untilMs; atMs += HOUR_MS) {
    const milliC = isMeasured && atMs < firstMs ? runningOn(day, nowMs, nowMilliC, Math.max(atMs, nowMs)) : shapeAt(known, atMs);
    // Adding 0 turns a rounded −0 into 0.
    hours.push({ atMs, milliC: Math.round(milliC) + 0 });
  }
  return hours;
}

function refuse(extremes: readonly Extreme[]): void {
  const firstLow = extremes.findIndex(({ kind }) => kind === 'low');
  if (firstLow < 0 || !extremes.slice(firstLow).some(({ kind }) => kind === 'high'))
    throw new RangeError('a low and a high after it are needed');
  extremes.forEach(({ kind, atMs, milliC }, index) => {
    if (!Number.isFinite(atMs) || !Number.isFinite(milliC)) throw new RangeError(`the ${kind} has no number`);
    const before = extremes[index - 1];
    if (before === undefined) return;
    if (before.kind === kind) throw new RangeError(`there are two ${kind}s with nothing between them`);
    if (atMs <= before.atMs) throw new RangeError(`the ${kind} comes before the ${before.kind} that it follows`);
    if (atMs - before.atMs >= DAY_MS) throw new RangeError(`the ${kind} is 24 h or more after the ${before.kind}`);
    if (kind === 'low' ? milliC > before.milliC : milliC < before.milliC)
      throw new RangeError(`the low is above the high ${kind === 'low' ? 'before' : 'after'} it`);
  });
}

/** The extremes with the first day repeated back to `fromMs` and the last one on beyond `untilMs`. */
function repeated(extremes: readonly Extreme[], fromMs: number, untilMs: number): Extreme[] {
  const all = [...extremes];
  const shifted = (extreme: Extreme, ms: number) => ({ ...extreme, atMs: extreme.atMs + ms });
  while ((all[0] as Extreme).atMs > fromMs) all.unshift(shifted(all[1] as Extreme, -DAY_MS));
  while ((all.at(-1) as Extreme).atMs <= untilMs) all.push(shifted(all.at(-2) as Extreme, DAY_MS));
  return all;
}

/** The temperature between two extremes, of which `all` has more on both sides. */
function shapeAt(all: readonly Extreme[], atMs: number): number {
  const next = all.findIndex((extreme) => extreme.atMs > atMs);
  const [earlier, from, to] = all.slice(next - 2, next + 1) as [Extreme, Extreme, Extreme];
  if (from.kind === 'low') return from.milliC + (to.milliC - from.milliC) * rising(from, to, atMs);
  // Towards a low that is warmer than the last one, the afternoon must not fall below where the night ends.
  const baseMilliC = Math.max(earlier.milliC, to.milliC);
  const dayAt = (ms: number) => baseMilliC + (from.milliC - baseMilliC) * falling(earlier, from, ms);
  const sunset = sunsetMs(earlier, from, to);
  return atMs <= sunset ? dayAt(atMs) : to.milliC + (dayAt(sunset) - to.milliC) * nightLeft(sunset, sunset, to.atMs, atMs);
}

/** From what is measured now to the first extreme, the last of `day`, which begins with the low before it. */
function runningOn(day: readonly Extreme[], nowMs: number, nowMilliC: number, atMs: number): number {
  const [low, high, nextLow] = day as [Extreme, Extreme, Extreme?];
  if (nextLow === undefined) return nowMilliC + (high.milliC - nowMilliC) * rising({ ...low, atMs: nowMs }, high, atMs);
  const shareAt = (ms: number) => (ms < high.atMs ? rising(low, high, ms) : falling(low, high, ms));
  const leastMilliC = Math.min(nextLow.milliC, nowMilliC);
  const dayAt = (ms: number) => Math.max(leastMilliC, nowMilliC + (high.milliC - low.milliC) * (shareAt(ms) - shareAt(nowMs)));
  const sunset = sunsetMs(low, high, nextLow);
  if (atMs <= sunset) return dayAt(atMs);
  const duskMs = Math.max(sunset, nowMs);
  return nextLow.milliC + (dayAt(duskMs) - nextLow.milliC) * nightLeft(duskMs, sunset, nextLow.atMs, atMs);
}

/** Share of the rise from a low to the next high. */
function rising(low: Extreme, high: Extreme, atMs: number): number {
  return sin(((Math.PI / 2) * (atMs - low.atMs)) / (high.atMs - low.atMs));
}

/** Share of the rise that is left in the afternoon. */
function falling(low: Extreme, high: Extreme, atMs: number): number {
  const quarterMs = (dayHours(low, high) / 2 + ALPHA_HOURS) * HOUR_MS;
  return sin((Math.PI / 2) * (1 + (atMs - high.atMs) / quarterMs));
}

/** Share of the night's fall from `fromMs` on to the low that is still to come. */
function nightLeft(fromMs: number, sunset: number, lowMs: number, atMs: number): number {
  const leftAt = (ms: number) => exp((-BETA * (ms - sunset)) / (lowMs - sunset));
  return (leftAt(atMs) - leftAt(lowMs)) / (leftAt(fromMs) - leftAt(lowMs));
}

/** Hours of daylight for which the paper would put the high so long after the low. */
function dayHours(low: Extreme, high: Extreme): number {
  const hours = 2 * ((high.atMs - low.atMs) / HOUR_MS - ALPHA_HOURS);
  return Math.min(LONGEST_DAY_HOURS, Math.max(SHORTEST_DAY_HOURS, hours));
}

/** End of the daylight that began `GAMMA_HOURS` before the low; no later than half-way to the next low. */
function sunsetMs(low: Extreme, high: Extreme, nextLow: Extreme): number {
  const afterHigh = dayHours(low, high) / 2 - GAMMA_HOURS - ALPHA_HOURS;
  return high.atMs + Math.min(afterHigh * HOUR_MS, (nextLow.atMs - high.atMs) / 2);
}
