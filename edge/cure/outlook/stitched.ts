import type { Forecast } from './air.ts';

/** A forecast, and when it was given, UTC ms. */
export interface Given {
  readonly recordedMs: number;
  readonly hours: Forecast;
}

interface Hour {
  readonly ms: number;
  readonly milliC: number;
  readonly humidityMilliPercent: number | null;
}

/**
 * What forecasts, the newest last, say together. From when it was given on, each counts from its first hour to its last; before and
 * beyond, those before it still hold, so that neither a word about next week nor one about the next hours takes anything else away.
 * Of hours that had passed when it was given it tells only where nobody had said anything: what had been said of them then stays,
 * for it is compared with what came.
 */
export function stitched(given: readonly Given[]): Forecast {
  let line: Hour[] = [];
  for (const { recordedMs, hours } of given) {
    const own = hours.atMs.map((ms, index) => ({
      ms,
      milliC: hours.milliC[index] as number,
      humidityMilliPercent: hours.humidityMilliPercent[index] ?? null,
    }));
    const firstMs = own[0]?.ms ?? 0;
    const lastMs = own.at(-1)?.ms ?? 0;
    const passedMs = line.findLast(({ ms }) => ms < recordedMs)?.ms ?? Number.NEGATIVE_INFINITY;
    line = [
      ...line.filter(({ ms }) => ms < recordedMs || ms < firstMs),
      ...own.filter(({ ms }) => ms >= recordedMs || ms > passedMs),
      ...line.filter(({ ms }) => ms >= recordedMs && ms > lastMs),
    ];
  }
  return {
    atMs: line.map(({ ms }) => ms),
    milliC: line.map(({ milliC }) => milliC),
    humidityMilliPercent: line.map(({ humidityMilliPercent }) => humidityMilliPercent),
  };
}
