import { z } from 'zod';
import { relativeSpeed } from './law.ts';
import { PPM, type Schedule } from './schedule.ts';

/** Distance between two rows, m°C. */
export const ROW_STEP_MILLI_C = 100;

/** Warmest row of a moisture law, m°C: dry air takes off what warmth beyond the reference brings, so the table goes on there. */
const MOIST_TOP_MILLI_C = 40_000;

/**
 * A schedule's law as plain integers: one row every 0.1 °C from the floor to the top, each the credit rate in parts per million.
 * Below the floor the rate is 0, above the top it is that of the top. Between rows it is linear, in integers, rounded down. The top
 * is the reference temperature with a rate of 1 000 000; only a moisture law goes beyond, and its rows are for the reference
 * humidity. Part of the evidence: whoever has these numbers can redo every credited hour with pencil and paper.
 */
export const RateTable = z.strictObject({
  floorMilliC: z.int(),
  topMilliC: z.int(),
  ratesPpm: z
    .array(
      z
        .int()
        .min(0)
        .max(100 * PPM),
    )
    .min(1)
    .max(1401),
  /** Of a moisture law: its rows count in the proportion of the air's relative humidity to this one, m%RH. */
  referenceHumidityMilliPercent: z.int().min(1).max(100_000).optional(),
});
export type RateTable = z.infer<typeof RateTable>;

/**
 * Compiles the law once. The reference has full rate exactly; from there down (and, for a moisture law, up) each row is set as high
 * as it can be without the straight line to its neighbour rising above the law at any whole m°C between them. So the table never
 * credits more than the law, and less by no more than 0.01 % of full rate for any schedule whose law bends as gently as those built
 * in (see tests/cure/rateTable.test.ts).
 */
export function compileRateTable({
  law,
  referenceCelsius,
  floorCelsius,
}: Pick<Schedule, 'law' | 'referenceCelsius' | 'floorCelsius'>): RateTable {
  const floorMilliC = Math.round(floorCelsius * 1000);
  const referenceMilliC = Math.round(referenceCelsius * 1000);
  const isMoist = law.kind === 'moisture';
  const topMilliC = isMoist ? Math.max(referenceMilliC, MOIST_TOP_MILLI_C) : referenceMilliC;
  const mostPpm = isMoist ? Number.POSITIVE_INFINITY : PPM;
  const lawPpm = (milliC: number) => Math.min(mostPpm, PPM * relativeSpeed(law, referenceCelsius, milliC / 1000));

  const last = (topMilliC - floorMilliC) / ROW_STEP_MILLI_C;
  const reference = (referenceMilliC - floorMilliC) / ROW_STEP_MILLI_C;
  const ratesPpm = new Array<number>(last + 1).fill(0);
  /** The highest that a row may be beside one that is set. */
  const highestBeside = (row: number, set: number) => {
    const rowMilliC = floorMilliC + row * ROW_STEP_MILLI_C;
    const setPpm = ratesPpm[set] as number;
    // Where a maker's table bends the other way, the warmer row may have been set below the law here.
    let highestPpm = Math.min(lawPpm(rowMilliC), set > row ? setPpm : Number.POSITIVE_INFINITY);
    for (let step = 1; step < ROW_STEP_MILLI_C; step++) {
      // The line through the row that is set and the law's point at this step, followed to this row.
      const share = step / ROW_STEP_MILLI_C;
      highestPpm = Math.min(highestPpm, (lawPpm(rowMilliC + (set - row) * step) - share * setPpm) / (1 - share));
    }
    return Math.max(0, Math.floor(highestPpm));
  };
  ratesPpm[reference] = PPM;
  for (let row = reference - 1; row >= 0; row--) ratesPpm[row] = highestBeside(row, row + 1);
  for (let row = reference + 1; row <= last; row++) ratesPpm[row] = highestBeside(row, row - 1);
  const rows = { floorMilliC, topMilliC, ratesPpm };
  return isMoist ? { ...rows, referenceHumidityMilliPercent: Math.ceil(law.referenceHumidityPercent * 1000 - 1e-6) } : rows;
}

/**
 * Credit rate at a whole number of m°C, ppm, never above 1 000 000; of a moisture law also at a relative humidity in m%RH.
 * The floor is tested first, exactly: at the floor credit begins.
 */
export function ratePpmAt(table: RateTable, milliC: number, humidityMilliPercent = 0): number {
  const { floorMilliC, topMilliC, ratesPpm, referenceHumidityMilliPercent } = table;
  const above = milliC - floorMilliC;
  if (above < 0) return 0;
  const row = Math.floor(Math.min(above, topMilliC - floorMilliC) / ROW_STEP_MILLI_C);
  const colderPpm = ratesPpm[row] as number;
  const warmerPpm = ratesPpm[row + 1] ?? colderPpm;
  const step = milliC >= topMilliC ? 0 : above - row * ROW_STEP_MILLI_C;
  const ppm = colderPpm + Math.floor(((warmerPpm - colderPpm) * step) / ROW_STEP_MILLI_C);
  if (referenceHumidityMilliPercent === undefined) return ppm;
  return Math.min(PPM, Math.floor((ppm * Math.max(0, humidityMilliPercent)) / referenceHumidityMilliPercent));
}
