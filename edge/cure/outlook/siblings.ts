import { exp } from '../exp.ts';
import { ln } from '../ln.ts';
import type { Lag } from './input.ts';
import { DEFAULT_LAG } from './lag.ts';

/** A joint says something about the next one once it has followed its air for so long. Our own choice. */
export const TELLS_AFTER_HOURS = 12;
/** How much two joints of one site differ in how warm they rest above the air, one standard deviation. Our own choice. */
const BETWEEN_JOINTS_MILLI_C = 1000;

/**
 * What is believed of a joint of which too little has been measured, from how the site's other joints follow their air: where they
 * come to rest, each weighed by how well it is known, together with the documented default; and the mean of their time constants.
 * None that tells anything: the default itself.
 */
export function siblingPrior(others: readonly Lag[]): Lag {
  const telling = others.filter(({ fittedHours }) => fittedHours >= TELLS_AFTER_HOURS);
  if (telling.length === 0) return DEFAULT_LAG;
  const between = BETWEEN_JOINTS_MILLI_C * BETWEEN_JOINTS_MILLI_C;
  const beliefs = [
    { milliC: DEFAULT_LAG.offsetMilliC, precision: 1 / (DEFAULT_LAG.offsetSdMilliC * DEFAULT_LAG.offsetSdMilliC) },
    ...telling.map(({ offsetMilliC, offsetSdMilliC }) => ({
      milliC: offsetMilliC,
      precision: 1 / (offsetSdMilliC * offsetSdMilliC + between),
    })),
  ];
  const precision = beliefs.reduce((sum, each) => sum + each.precision, 0);
  const offset = beliefs.reduce((sum, each) => sum + each.milliC * each.precision, 0) / precision;
  const logs = [DEFAULT_LAG, ...telling].map(({ timeConstantMs }) => ln(timeConstantMs));
  return {
    ...DEFAULT_LAG,
    timeConstantMs: Math.round(exp(logs.reduce((sum, each) => sum + each, 0) / logs.length)),
    offsetMilliC: Math.round(offset),
    offsetSdMilliC: Math.min(DEFAULT_LAG.offsetSdMilliC, Math.round(Math.sqrt(1 / precision + between))),
  };
}
