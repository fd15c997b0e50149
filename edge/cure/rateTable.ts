import { z } from 'zod';
import { relativeSpeed } from './law.ts';
import { PPM, type Schedule } from './schedule.ts';

/** Distance between two rows, m°C. */
export const ROW_STEP_MILLI_C = 100;

/**
 * A schedule's law as plain integers: one row every 0.1 °C from the floor to the reference temperature, each the credit rate in
 * parts per million. Below the floor the rate is 0, at and above the reference it is 1 000 000. Between rows it is linear, in
 * integers, rounded down. Part of the evidence: whoever has these numbers can redo every credited hour with pencil and paper.
 */
export const RateTable = z.strictObject({
  floorMilliC: z.int(),
  referenceMilliC: z.int(),
  ratesPpm: z.array(z.int().min(0).max(PPM)).min(1).max(1401),
});
export type RateTable = z.infer<typeof RateTable>;

/**
 * Compiles the law once. Rows are set from the warm end down, each as high as it can be without the straight line to its warmer
 * neighbour rising above the law at any whole m°C between them. So the table never credits more than the law, and less by no
 * more than 0.01 % of full rate for any schedule whose law bends as gently as those built in (see tests/cure/rateTable.test.ts).
 */
export function compileRateTable(schedule: Pick<Schedule, 'law' | 'referenceCelsius' | 'floorCelsius'>): RateTable {
  const floorMilliC = Math.round(schedule.floorCelsius * 1000);
  const referenceMilliC = Math.round(schedule.referenceCelsius * 1000);
  const lawPpm = (milliC: number) => Math.min(PPM, PPM * relativeSpeed(schedule.law, referenceMilliC / 1000, milliC / 1000));

  const last = (referenceMilliC - floorMilliC) / ROW_STEP_MILLI_C;
  const ratesPpm = new Array<number>(last + 1).fill(PPM);
  let warmerPpm = PPM;
  for (let row = last - 1; row >= 0; row--) {
    const rowMilliC = floorMilliC + row * ROW_STEP_MILLI_C;
    let highestPpm = lawPpm(rowMilliC);
    for (let step = 1; step < ROW_STEP_MILLI_C; step++) {
      // The line through the warmer row and the law's point at this step, followed down to this row.
      const share = step / ROW_STEP_MILLI_C;
      highestPpm = Math.min(highestPpm, (lawPpm(rowMilliC + step) - share * warmerPpm) / (1 - share));
    }
    warmerPpm = Math.max(0, Math.floor(highestPpm));
    ratesPpm[row] = warmerPpm;
  }
  return { floorMilliC, referenceMilliC, ratesPpm };
}

/** Credit rate at a whole number of m°C, ppm. The floor is tested first, exactly: at the floor credit begins. */
export function ratePpmAt(table: RateTable, milliC: number): number {
  const above = milliC - table.floorMilliC;
  if (above < 0) return 0;
  if (milliC >= table.referenceMilliC) return PPM;
  const row = Math.floor(above / ROW_STEP_MILLI_C);
  const colderPpm = table.ratesPpm[row] as number;
  const warmerPpm = table.ratesPpm[row + 1] as number;
  return colderPpm + Math.floor(((warmerPpm - colderPpm) * (above - row * ROW_STEP_MILLI_C)) / ROW_STEP_MILLI_C);
}
