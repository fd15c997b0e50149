import { z } from 'zod';
import { Amount, millilitresOf } from './amount.ts';
import type { MixRules, Times } from './rules.ts';
import { MixCelsius, tenthsOf } from './temperature.ts';

/** Resin and air this far apart or less pass for the same temperature, tenths of a degree. */
const SAME_TENTHS = 50;

/** What somebody is about to mix. */
export const MixQuestion = z.strictObject({ amount: Amount, resinCelsius: MixCelsius, airCelsius: MixCelsius });
export type MixQuestion = z.infer<typeof MixQuestion>;

/** Place of a mix against the catalyst that the resin allows, by mass. `inside`: allowed but not preferred. */
export type Standing = 'below' | 'inside' | 'preferred' | 'above';

export interface Judged {
  /** Catalyst per volume and per mass of resin, percent. */
  readonly percentByVolume: number;
  readonly percentByMass: number;
  readonly standing: Standing;
}

/** A time from a sheet's points, min. With neither flag it is about that; `atLeast` colder than the points, `atMost` warmer. */
export interface TimeEstimate {
  readonly minutes: number;
  readonly atLeast: boolean;
  readonly atMost: boolean;
}

export interface Dose extends Judged {
  readonly kind: 'dose';
  readonly resinMillilitres: number;
  readonly catalystMillilitres: number;
  /** What the band comes to for this resin, mL of catalyst. */
  readonly bandMillilitres: MixRules['bandPercent'];
  /** Null where the rules say nothing. */
  readonly working: TimeEstimate | null;
  readonly tack: TimeEstimate | null;
  /** Resin and air are more than 5 °C apart: the mix will not stay at the temperature it was dosed for. */
  readonly airDiffers: boolean;
}

/** No number: the rules do not reach that temperature, and the lot's sheet or its maker must be asked. */
export interface Referral {
  readonly kind: 'refer';
  readonly why: 'resin-colder' | 'resin-warmer' | 'air-colder' | 'air-warmer';
  /** What the doses cover, °C. */
  readonly minCelsius: number;
  readonly maxCelsius: number;
}

/**
 * Catalyst for an amount of resin. The resin's own temperature sets the dose: that is where the reaction runs, and a cold can in
 * a warm tent is cold resin. The air never changes the dose: it will draw the mix its own way only after the pot is mixed. But
 * the rules know no work in air outside their temperatures, so there it refuses, and it warns when it is far from the resin.
 */
export function doseOf(rules: MixRules, { amount, resinCelsius, airCelsius }: MixQuestion): Dose | Referral {
  const coldest = rules.doses[0] as MixRules['doses'][number];
  const warmest = rules.doses.at(-1) as MixRules['doses'][number];
  const limits = { minCelsius: coldest.celsius, maxCelsius: warmest.celsius };
  const resinOff = sideOf(resinCelsius, limits);
  if (resinOff !== null) return { kind: 'refer', why: `resin-${resinOff}`, ...limits };
  const airOff = sideOf(airCelsius, limits);
  if (airOff !== null) return { kind: 'refer', why: `air-${airOff}`, ...limits };

  const resinMillilitres = millilitresOf(amount, rules.resinKgPerLitre);
  const perLitre = rules.doses.map(({ celsius, millilitresPerLitre }) => ({ celsius, value: millilitresPerLitre }));
  const catalystMillilitres = (valueAt(perLitre, resinCelsius) * resinMillilitres) / 1000;
  const bandOf = (percent: number) => ((percent / 100) * resinMillilitres * rules.resinKgPerLitre) / rules.catalystKgPerLitre;
  const { min, preferredMin, preferredMax, max } = rules.bandPercent;
  return {
    kind: 'dose',
    resinMillilitres,
    catalystMillilitres,
    ...standingOf(rules, resinMillilitres, catalystMillilitres),
    bandMillilitres: {
      min: bandOf(min),
      preferredMin: bandOf(preferredMin),
      preferredMax: bandOf(preferredMax),
      max: bandOf(max),
    },
    // Whoever works must be done by the shorter time, whoever waits must wait the longer.
    working: timeAt(rules.working, Math.max(resinCelsius, airCelsius)),
    tack: timeAt(rules.tack, Math.min(resinCelsius, airCelsius)),
    airDiffers: Math.abs(tenthsOf(resinCelsius) - tenthsOf(airCelsius)) > SAME_TENTHS,
  };
}

/** Judges a mix of so much resin (above 0) and catalyst, mL, as it was made or is to be made. */
export function standingOf(rules: MixRules, resinMillilitres: number, catalystMillilitres: number): Judged {
  const percentByVolume = (catalystMillilitres / resinMillilitres) * 100;
  const percentByMass = (percentByVolume * rules.catalystKgPerLitre) / rules.resinKgPerLitre;
  const { min, preferredMin, preferredMax, max } = rules.bandPercent;
  // The ends belong to the band: a millionth of a percent takes out what the arithmetic added.
  const atLeast = (percent: number) => Math.round((percentByMass - percent) * 1e6) >= 0;
  const atMost = (percent: number) => Math.round((percentByMass - percent) * 1e6) <= 0;
  const standing = !atLeast(min)
    ? 'below'
    : !atMost(max)
      ? 'above'
      : atLeast(preferredMin) && atMost(preferredMax)
        ? 'preferred'
        : 'inside';
  return { percentByVolume, percentByMass, standing };
}

function sideOf(celsius: number, limits: { minCelsius: number; maxCelsius: number }): 'colder' | 'warmer' | null {
  if (tenthsOf(celsius) < tenthsOf(limits.minCelsius)) return 'colder';
  return tenthsOf(celsius) > tenthsOf(limits.maxCelsius) ? 'warmer' : null;
}

/** The time at a temperature; null where the sheet gives none. */
export function timeAt(times: Times, celsius: number): TimeEstimate | null {
  const coldest = times[0];
  const warmest = times.at(-1);
  if (coldest === undefined || warmest === undefined) return null;
  const side = sideOf(celsius, { minCelsius: coldest.celsius, maxCelsius: warmest.celsius });
  const points = times.map(({ celsius, minutes }) => ({ celsius, value: minutes }));
  return { minutes: valueAt(points, celsius), atLeast: side === 'colder', atMost: side === 'warmer' };
}

/** Linear between two points; beyond an end, that of the end. */
function valueAt(points: readonly { celsius: number; value: number }[], celsius: number): number {
  const index = points.findIndex((point) => point.celsius >= celsius);
  const above = points[index] ?? points.at(-1);
  const below = points[index - 1] ?? above;
  if (above === undefined || below === undefined) return Number.NaN;
  if (above === below) return above.value;
  return below.value + ((above.value - below.value) * (celsius - below.celsius)) / (above.celsius - below.celsius);
}
