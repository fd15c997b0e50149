import type { MixRules } from '../../../edge/cure/mix.ts';
import { celsiusOf, numberOf, QUART_LITRES, type Unit, written, writtenCelsius } from './numbers.ts';

/** A temperature and what belongs to it, as they stand in the fields. */
export interface PointDraft {
  readonly temperature: string;
  readonly amount: string;
}

export type DoseUnit = 'litre' | 'quart';

/** The rules of a mix as they stand in the fields. */
export interface MixDraft {
  readonly min: string;
  readonly preferredMin: string;
  readonly preferredMax: string;
  readonly max: string;
  readonly resinKgPerLitre: string;
  readonly catalystKgPerLitre: string;
  /** Catalyst in mL for this much resin. */
  readonly doseUnit: DoseUnit;
  readonly doses: readonly PointDraft[];
  readonly working: readonly PointDraft[];
  readonly tack: readonly PointDraft[];
  readonly source: string;
}

const litresIn = (unit: DoseUnit) => (unit === 'quart' ? QUART_LITRES : 1);

export function mixDraftOf(mix: MixRules, unit: Unit): MixDraft {
  const doseUnit = unit === 'F' ? 'quart' : 'litre';
  const { min, preferredMin, preferredMax, max } = mix.bandPercent;
  const times = (points: MixRules['working']) =>
    points.map(({ celsius, minutes }) => ({ temperature: writtenCelsius(celsius, unit), amount: written(minutes) }));
  return {
    min: written(min),
    preferredMin: written(preferredMin),
    preferredMax: written(preferredMax),
    max: written(max),
    resinKgPerLitre: written(mix.resinKgPerLitre),
    catalystKgPerLitre: written(mix.catalystKgPerLitre),
    doseUnit,
    doses: mix.doses.map(({ celsius, millilitresPerLitre }) => ({
      temperature: writtenCelsius(celsius, unit),
      amount: written(millilitresPerLitre * litresIn(doseUnit)),
    })),
    working: times(mix.working),
    tack: times(mix.tack),
    source: mix.source,
  };
}

/** Nothing filled in, to copy a maker's sheet into. */
export function emptyMixDraft(unit: Unit): MixDraft {
  const blank = { temperature: '', amount: '' };
  return {
    min: '',
    preferredMin: '',
    preferredMax: '',
    max: '',
    resinKgPerLitre: '',
    catalystKgPerLitre: '',
    doseUnit: unit === 'F' ? 'quart' : 'litre',
    doses: [blank, blank],
    working: [],
    tack: [],
    source: '',
  };
}

/** The same figures for the other measure of resin. */
export function inDoseUnit(draft: MixDraft, doseUnit: DoseUnit): MixDraft {
  const factor = litresIn(doseUnit) / litresIn(draft.doseUnit);
  const doses = draft.doses.map((dose) => {
    const millilitres = numberOf(dose.amount);
    return Number.isFinite(millilitres) ? { ...dose, amount: written(millilitres * factor) } : dose;
  });
  return { ...draft, doseUnit, doses };
}

/** What the fields say, to be checked by `MixRules`. */
export function mixRulesOf(draft: MixDraft, unit: Unit): unknown {
  const times = (points: readonly PointDraft[]) =>
    points.map(({ temperature, amount }) => ({ celsius: celsiusOf(temperature, unit), minutes: numberOf(amount) }));
  return {
    bandPercent: {
      min: numberOf(draft.min),
      preferredMin: numberOf(draft.preferredMin),
      preferredMax: numberOf(draft.preferredMax),
      max: numberOf(draft.max),
    },
    resinKgPerLitre: numberOf(draft.resinKgPerLitre),
    catalystKgPerLitre: numberOf(draft.catalystKgPerLitre),
    doses: draft.doses.map(({ temperature, amount }) => ({
      celsius: celsiusOf(temperature, unit),
      millilitresPerLitre: Number((numberOf(amount) / litresIn(draft.doseUnit)).toFixed(9)),
    })),
    working: times(draft.working),
    tack: times(draft.tack),
    source: draft.source,
  };
}
