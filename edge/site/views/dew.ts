import { z } from 'zod';
import { DEW_MARGIN_MILLI_C, dewPointMilliC } from '../../cure/dewPoint.ts';
import type { Fold } from '../../cure/fold.ts';
import { watchEndMs } from '../findings/jointFindings.ts';
import type { Joint } from '../state/joint.ts';
import { isSilent, type LatestOfAll } from './governing.ts';

export const DewView = z.strictObject({
  surfaceCelsius: z.number(),
  dewPointCelsius: z.number(),
  marginCelsius: z.number(),
  enough: z.boolean(),
});
export type DewView = z.infer<typeof DewView>;

/** The coldest surface against the dew point of the air, while dew can still do harm. */
export function dewOf(joint: Joint, mixFold: Fold | null, latest: LatestOfAll, nowMs: number): DewView | null {
  if (joint.openMs === null) return null;
  const endMs = watchEndMs(joint, mixFold?.state.reached.find(({ stage }) => stage === 'gel')?.reachedAtMs ?? null);
  if (endMs !== null && endMs <= nowMs) return null;
  const gapLimitMs = joint.schedule.definition.gapLimitMinutes * 60_000;
  const assigned = joint.assignments.at(-1);
  const live = (values: LatestOfAll['temperature'], probe: string) => {
    const newest = values.get(probe);
    return newest === undefined || isSilent(newest, nowMs, gapLimitMs) ? [] : [newest.milliC];
  };
  const surfaces = assigned?.probes.flatMap((probe) => live(latest.temperature, probe)) ?? [];
  const air = assigned?.ambient ?? null;
  const [airMilliC] = air === null ? [] : live(latest.temperature, air);
  const [humidityMilliPercent] = air === null ? [] : live(latest.humidity, air);
  if (surfaces.length === 0 || airMilliC === undefined || humidityMilliPercent === undefined) return null;
  const dewMilliC = dewPointMilliC(airMilliC, humidityMilliPercent);
  if (dewMilliC === null) return null;
  const surfaceMilliC = Math.min(...surfaces);
  return {
    surfaceCelsius: surfaceMilliC / 1000,
    dewPointCelsius: dewMilliC / 1000,
    marginCelsius: (surfaceMilliC - dewMilliC) / 1000,
    enough: surfaceMilliC - dewMilliC >= DEW_MARGIN_MILLI_C,
  };
}
