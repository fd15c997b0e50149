import type { Point, Weather } from '../../api/shapes.ts';

const HOUR_MS = 3_600_000;
/** Normal deviate that 5 of 100 lie above. */
const NINETY = 1.645;
/** A reading older than this is not what the air is now. */
const FRESH_MS = HOUR_MS;

/** One standard deviation of the air so far ahead, °C: none now, straight between the lead times told, then as at the last. */
export function errorAt(leadMs: number, errorCelsius: Weather['errorCelsius']): number {
  const hours = Math.max(0, leadMs) / HOUR_MS;
  let before = { hours: 0, celsius: 0 };
  for (const told of errorCelsius) {
    const share = (hours - before.hours) / (told.hours - before.hours);
    if (share <= 1) return before.celsius + (told.celsius - before.celsius) * share;
    before = told;
  }
  return before.celsius;
}

export interface AirBand {
  readonly atMs: readonly number[];
  readonly low: readonly number[];
  readonly high: readonly number[];
}

/** Where the air will be nine times in ten, °C, hour by hour. */
export function bandOf(
  air: { readonly atMs: readonly number[]; readonly celsius: readonly number[] },
  nowMs: number,
  errorCelsius: Weather['errorCelsius'],
): AirBand {
  const half = air.atMs.map((atMs) => NINETY * errorAt(atMs - nowMs, errorCelsius));
  return {
    atMs: air.atMs,
    low: air.celsius.map((celsius, index) => celsius - (half[index] as number)),
    high: air.celsius.map((celsius, index) => celsius + (half[index] as number)),
  };
}

/** What the air is now by the newest reading, °C; null: nothing of the last hour. */
export function measuredNow(measured: readonly Point[], nowMs: number): number | null {
  const newest = measured.findLast(([, celsius]) => celsius !== null);
  return newest === undefined || nowMs - newest[0] > FRESH_MS ? null : newest[1];
}

/** Coldest and warmest hour from `fromMs` to `toMs`; null: there is none. */
export function extremesWithin(
  { atMs, celsius }: { readonly atMs: readonly number[]; readonly celsius: readonly number[] },
  fromMs: number,
  toMs: number,
): { readonly coldest: { atMs: number; celsius: number }; readonly warmest: { atMs: number; celsius: number } } | null {
  const within = atMs
    .map((ms, index) => ({ atMs: ms, celsius: celsius[index] as number }))
    .filter((hour) => hour.atMs >= fromMs && hour.atMs <= toMs);
  const [first] = within;
  if (first === undefined) return null;
  return {
    coldest: within.reduce((cold, hour) => (hour.celsius < cold.celsius ? hour : cold), first),
    warmest: within.reduce((warm, hour) => (hour.celsius > warm.celsius ? hour : warm), first),
  };
}
