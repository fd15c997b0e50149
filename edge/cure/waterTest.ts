import { z } from 'zod';
import { waterKgPerM3 } from './waterDensity.ts';

const NANOMETRES = { mm: 1_000_000, in: 25_400_000 } as const;
const NANOMETRES_PER_MM = NANOMETRES.mm;
const FARTHEST_NM = 10_000 * NANOMETRES_PER_MM;

/** Rules of the full-height test: PEI/RP1200 §6.5.6–6.5.7. */
const LEAST_FILL_NM = 4 * NANOMETRES.in;
const LEAST_SETTLE_MINUTES = 15;
const LEAST_DURATION_MINUTES = 60;
const COARSEST_RESOLUTION_NM = NANOMETRES.in / 16;
const LIMIT_NM = NANOMETRES.in / 8;

/** A length as it was read off a stick, with the unit on the stick. */
export const Level = z
  .strictObject({
    value: z.number('use a number'),
    unit: z.enum(['mm', 'in'], 'use "mm" or "in"'),
  })
  .refine((level) => Math.abs(nanometresOf(level)) <= FARTHEST_NM, {
    path: ['value'],
    error: 'use a length of at most 10 m (394 in)',
  });
export type Level = z.infer<typeof Level>;

const Length = Level.refine((level) => nanometresOf(level) > 0, { path: ['value'], error: 'must be above 0' });

const minutes = z
  .number('use a number of minutes')
  .min(0, 'must not be below 0')
  .max(10_080, 'use at most 10080 minutes, a week');

const waterCelsius = z.number('use °C').min(-1, 'use °C between -1 and 50').max(50, 'use °C between -1 and 50');

const measured = {
  /** Height of the water at the start and the end of the hold, both from the same mark, upwards. */
  startLevel: Level,
  endLevel: Level,
  /** Smallest step of the stick that both were read to. */
  resolution: Length,
  /** From the end of filling to the first reading. */
  settleMinutes: minutes,
  /** From the first reading to the last. */
  durationMinutes: minutes,
  waterCelsiusStart: waterCelsius.optional(),
  waterCelsiusEnd: waterCelsius.optional(),
  /** From the bottom to the surface: what the temperature of the water acts on. */
  waterDepth: Length.optional(),
};

/**
 * What somebody measured in a hydrostatic test of a sump. `fillAboveHighest` is how far the water stood above the highest
 * penetration or side seam. A low-level test fills only to a little above the sensor, so it may go without.
 */
export const WaterTest = z.discriminatedUnion(
  'method',
  [
    z.strictObject({ method: z.literal('full-height'), fillAboveHighest: Level, ...measured }),
    z.strictObject({ method: z.literal('low-level'), fillAboveHighest: Level.optional(), ...measured }),
  ],
  { error: 'use "full-height" or "low-level" as the method' },
);
export type WaterTest = z.infer<typeof WaterTest>;

/** Why a test does not count and must be repeated. */
export type WaterTestFault = 'filled-too-low' | 'settled-too-short' | 'too-short' | 'resolution-too-coarse';

/** What must be said beside the verdict. `low-level-method`: not accepted everywhere, the authority decides. */
export type WaterTestRemark = 'low-level-method';

export interface WaterTestResult {
  /** `invalid` whenever there is a fault, whatever the change was. */
  readonly verdict: 'pass' | 'fail' | 'invalid';
  readonly faults: readonly WaterTestFault[];
  readonly remarks: readonly WaterTestRemark[];
  /** Last reading minus first, mm: below 0 the level fell. */
  readonly changeMm: number;
  readonly limitMm: number;
  /** Whether the change reaches the limit, also in a test that does not count. */
  readonly reachesLimit: boolean;
  /**
   * Of the change, from reading two levels to the resolution r. Each reading lies within ± r/2, evenly spread: the worst case of
   * their difference is r, its standard uncertainty √2·(r/2)/√3 = r/√6 (JCGM 100:2008, 4.3.7).
   */
  readonly uncertaintyMm: { readonly worstCase: number; readonly standard: number };
  /** Whether the worst case of the reading could have put the change on the other side of the limit. */
  readonly nearLimit: boolean;
  /**
   * Change that the warming or cooling of the water alone would make between upright walls, mm, below 0 for a fall. Null unless
   * both temperatures, within 0 … 40 °C, and the depth are known. The sump's own expansion and evaporation are left out.
   */
  readonly temperatureMm: number | null;
  /** Whether the change less `temperatureMm` would be on the other side of the limit. */
  readonly temperatureMatters: boolean;
}

/**
 * Judges a test by PEI/RP1200 §6.5.6–6.5.7: water at least 4 in above the highest penetration or side seam, settled at least
 * 15 min, read to 1/16 in or finer, held at least 1 h. A change of less than 1/8 in passes, 1/8 in or more fails, a rise too.
 * Lengths are compared as whole nanometres, of which an inch has 25 400 000, so a limit is exact in either unit. The reading
 * uncertainty and the temperature of the water are stated beside the verdict and never change it.
 */
export function verdictOf(test: WaterTest): WaterTestResult {
  const resolutionNm = nanometresOf(test.resolution);
  const changeNm = nanometresOf(test.endLevel) - nanometresOf(test.startLevel);
  const isFullHeight = test.method === 'full-height';

  const faults: WaterTestFault[] = [];
  if (isFullHeight && nanometresOf(test.fillAboveHighest) < LEAST_FILL_NM) faults.push('filled-too-low');
  if (test.settleMinutes < LEAST_SETTLE_MINUTES) faults.push('settled-too-short');
  if (test.durationMinutes < LEAST_DURATION_MINUTES) faults.push('too-short');
  if (resolutionNm > COARSEST_RESOLUTION_NM) faults.push('resolution-too-coarse');

  const reachesLimit = reaches(changeNm);
  const temperatureNm = temperatureChangeNm(test);
  return {
    verdict: faults.length > 0 ? 'invalid' : reachesLimit ? 'fail' : 'pass',
    faults,
    remarks: isFullHeight ? [] : ['low-level-method'],
    changeMm: changeNm / NANOMETRES_PER_MM,
    limitMm: LIMIT_NM / NANOMETRES_PER_MM,
    reachesLimit,
    uncertaintyMm: {
      worstCase: resolutionNm / NANOMETRES_PER_MM,
      standard: resolutionNm / NANOMETRES_PER_MM / Math.sqrt(6),
    },
    nearLimit: reaches(Math.abs(changeNm) + resolutionNm) && !reaches(Math.max(0, Math.abs(changeNm) - resolutionNm)),
    temperatureMm: temperatureNm === null ? null : temperatureNm / NANOMETRES_PER_MM,
    temperatureMatters: temperatureNm !== null && reaches(changeNm - temperatureNm) !== reachesLimit,
  };
}

function reaches(changeNm: number): boolean {
  return Math.abs(changeNm) >= LIMIT_NM;
}

/** A stick is read to far more than a nanometre, so rounding to one only takes out what binary fractions added. */
function nanometresOf({ value, unit }: { readonly value: number; readonly unit: keyof typeof NANOMETRES }): number {
  return Math.round(value * NANOMETRES[unit]);
}

/** The same mass of water at its new density, in whole nanometres. */
function temperatureChangeNm({ waterCelsiusStart, waterCelsiusEnd, waterDepth }: WaterTest): number | null {
  if (waterCelsiusStart === undefined || waterCelsiusEnd === undefined || waterDepth === undefined) return null;
  const growth = waterKgPerM3(waterCelsiusStart) / waterKgPerM3(waterCelsiusEnd) - 1;
  return Number.isNaN(growth) ? null : Math.round(nanometresOf(waterDepth) * growth) + 0;
}
