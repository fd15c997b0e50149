import { PPM } from './schedule.ts';

/**
 * Clock time still needed for `missingPpmMs` of credit if the present rate held, ms, rounded up.
 * Null where nothing is being credited: no honest time can be named.
 */
export function clockMsAtRate(missingPpmMs: number, ratePpm: number): number | null {
  if (missingPpmMs <= 0) return 0;
  if (ratePpm <= 0 || ratePpm > PPM) return null;
  return Math.ceil(missingPpmMs / ratePpm);
}
