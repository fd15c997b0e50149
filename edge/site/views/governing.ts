import { AHEAD_LIMIT_MS } from '../mistimed.ts';
import type { Joint } from '../state/joint.ts';
import type { SiteState } from '../state/site.ts';

/** Newest value of a probe, as its settings make it: calibrated, no guard band taken off. */
export interface Latest {
  readonly atMs: number;
  /** m°C; of a humidity m%RH, of a level µm. */
  readonly milliC: number;
}

/** Newest values of a site's probes. */
export interface LatestOfAll {
  readonly temperature: ReadonlyMap<string, Latest>;
  readonly humidity: ReadonlyMap<string, Latest>;
}

export interface Governing extends Latest {
  readonly probe: string;
  readonly guardMilliC: number;
  /** Of the air, its guard band taken off, m%RH; 0 where the law does not ask. */
  readonly humidityMilliPercent: number;
}

export function isSilent(newest: Latest | undefined, nowMs: number, gapLimitMs: number): boolean {
  return newest === undefined || nowMs - newest.atMs > gapLimitMs || newest.atMs - nowMs > AHEAD_LIMIT_MS;
}

/**
 * The probe that would govern now: the coldest, guard band taken off, of those heard within the gap limit; see `Fold` for when the
 * air stands in, and what a moisture law asks for.
 */
export function governingOf(site: SiteState, joint: Joint, latest: LatestOfAll, nowMs: number): Governing | null {
  const assigned = joint.assignments.at(-1);
  if (assigned === undefined) return null;
  const { law, ambientStandIn, gapLimitMinutes } = joint.schedule.definition;
  const gapLimitMs = gapLimitMinutes * 60_000;
  const coldest = (names: readonly string[]): Governing | null =>
    names
      .flatMap((name): Governing[] => {
        const guardMilliC = site.probes.get(name)?.settings.at(-1)?.uncertaintyMilliC;
        const newest = latest.temperature.get(name);
        if (guardMilliC === undefined || newest === undefined || isSilent(newest, nowMs, gapLimitMs)) return [];
        return [{ ...newest, probe: name, guardMilliC, humidityMilliPercent: 0 }];
      })
      .sort((a, b) => a.milliC - a.guardMilliC - (b.milliC - b.guardMilliC))[0] ?? null;
  const material = coldest(assigned.probes);
  const air = assigned.ambient === null ? null : coldest([assigned.ambient]);
  if (law.kind !== 'moisture') return material ?? (ambientStandIn ? air : null);

  const humidity = assigned.ambient === null ? undefined : latest.humidity.get(assigned.ambient);
  if (air === null || humidity === undefined || isSilent(humidity, nowMs, gapLimitMs)) return null;
  if (material === null && assigned.probes.some((probe) => site.probes.has(probe))) return null;
  const guardMilliPercent = site.probes.get(air.probe)?.settings.at(-1)?.uncertaintyMilliPercent ?? 0;
  const colder = material !== null && material.milliC - material.guardMilliC < air.milliC - air.guardMilliC ? material : air;
  return { ...colder, humidityMilliPercent: humidity.milliC - guardMilliPercent };
}
