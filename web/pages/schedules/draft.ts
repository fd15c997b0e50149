import { type Law, relativeSpeed, TableLaw } from '../../../edge/cure/law.ts';
import type { Schedule } from '../../../edge/cure/schedule.ts';
import { type MixDraft, mixDraftOf, mixRulesOf, type PointDraft } from './mixDraft.ts';
import { celsiusOf, gridCelsiusOf, numberOf, type Unit, written, writtenCelsius } from './numbers.ts';

export interface StageDraft {
  readonly stage: string;
  /** Hours; minutes for stages that count from the mix. */
  readonly amount: string;
}

/** A schedule as it stands in the fields of the editor: everything as typed, in the unit of this browser. */
export interface Draft {
  readonly title: string;
  readonly author: string;
  readonly source: string;
  readonly law: Law['kind'];
  readonly activation: string;
  readonly factor: string;
  readonly points: readonly PointDraft[];
  readonly referenceHumidity: string;
  readonly front: string;
  readonly frontHours: string;
  readonly bead: string;
  readonly reference: string;
  readonly floor: string;
  readonly gapLimit: string;
  readonly ambientStandIn: boolean;
  readonly stages: readonly StageDraft[];
  /** Empty: no stage waits for the front. */
  readonly throughBead: string;
  readonly fromMix: { readonly reference: string; readonly stages: readonly StageDraft[] } | null;
  readonly use: { readonly min: string; readonly max: string } | null;
  readonly proofBelow: { readonly temperature: string; readonly hours: string } | null;
  /** Empty: no limit. */
  readonly hotAbove: string;
  readonly mix: MixDraft | null;
}

/** Figures to begin with when another law is chosen than that of the copied schedule. */
const BEGIN = {
  activation: '60',
  factor: '2',
  referenceHumidity: '50',
  front: '3',
  frontHours: '24',
  bead: '3',
};

export function draftOf(schedule: Schedule, unit: Unit): Draft {
  const { law, fromMix, use, proofBelow, mix } = schedule;
  const temperature = (celsius: number) => writtenCelsius(celsius, unit);
  const [stress] = schedule.stages;
  return {
    title: schedule.title,
    author: schedule.author,
    source: schedule.source,
    law: law.kind,
    activation: law.kind === 'arrhenius' ? written(law.activationKilojoulesPerMol) : BEGIN.activation,
    factor: law.kind === 'q10' ? written(law.factorPer10Kelvin) : BEGIN.factor,
    points:
      law.kind === 'table'
        ? law.points.map(({ celsius, hours }) => ({ temperature: temperature(celsius), amount: written(hours) }))
        : [
            { temperature: temperature(schedule.floorCelsius), amount: '' },
            { temperature: temperature(schedule.referenceCelsius), amount: written(stress?.requiredHours ?? Number.NaN) },
          ],
    referenceHumidity: law.kind === 'moisture' ? written(law.referenceHumidityPercent) : BEGIN.referenceHumidity,
    front: law.kind === 'moisture' ? written(law.frontMillimetres) : BEGIN.front,
    frontHours: law.kind === 'moisture' ? written(law.frontHours) : BEGIN.frontHours,
    bead: law.kind === 'moisture' ? written(law.beadMillimetres) : BEGIN.bead,
    reference: temperature(schedule.referenceCelsius),
    floor: temperature(schedule.floorCelsius),
    gapLimit: written(schedule.gapLimitMinutes),
    ambientStandIn: schedule.ambientStandIn,
    stages: schedule.stages.map(({ stage, requiredHours }) => ({ stage, amount: written(requiredHours) })),
    throughBead: schedule.throughBead ?? '',
    fromMix:
      fromMix === undefined
        ? null
        : {
            reference: temperature(fromMix.referenceCelsius),
            stages: fromMix.stages.map(({ stage, requiredHours }) => ({ stage, amount: written(requiredHours * 60) })),
          },
    use: use === undefined ? null : { min: temperature(use.minCelsius), max: temperature(use.maxCelsius) },
    proofBelow:
      proofBelow === undefined ? null : { temperature: temperature(proofBelow.celsius), hours: written(proofBelow.hours) },
    hotAbove: schedule.hotAboveCelsius === undefined ? '' : temperature(schedule.hotAboveCelsius),
    mix: mix === undefined ? null : mixDraftOf(mix, unit),
  };
}

/** What identifies the schedule that a draft becomes. */
export interface Identity {
  readonly name: string;
  readonly version: number;
}

/** The schedule that the fields say, to be checked by `Schedule`. */
export function scheduleSaid(draft: Draft, { name, version }: Identity, unit: Unit): unknown {
  const isMoist = draft.law === 'moisture';
  const { use, proofBelow, fromMix, mix } = draft;
  return {
    name,
    version,
    title: draft.title,
    author: draft.author,
    source: draft.source,
    law: lawOf(draft, unit),
    referenceCelsius: gridCelsiusOf(draft.reference, unit),
    floorCelsius: gridCelsiusOf(draft.floor, unit),
    gapLimitMinutes: numberOf(draft.gapLimit),
    ambientStandIn: draft.ambientStandIn,
    stages: draft.stages.map(({ stage, amount }) => ({ stage: stage.trim(), requiredHours: numberOf(amount) })),
    ...(isMoist && draft.throughBead !== '' ? { throughBead: draft.throughBead } : {}),
    // A sealant comes ready from its cartridge: nothing counts from a mix.
    ...(fromMix === null || isMoist
      ? {}
      : {
          fromMix: {
            referenceCelsius: gridCelsiusOf(fromMix.reference, unit),
            stages: fromMix.stages.map(({ stage, amount }) => ({ stage: stage.trim(), requiredHours: numberOf(amount) / 60 })),
          },
        }),
    ...(use === null ? {} : { use: { minCelsius: celsiusOf(use.min, unit), maxCelsius: celsiusOf(use.max, unit) } }),
    ...(proofBelow === null
      ? {}
      : { proofBelow: { celsius: celsiusOf(proofBelow.temperature, unit), hours: numberOf(proofBelow.hours) } }),
    ...(draft.hotAbove.trim() === '' ? {} : { hotAboveCelsius: celsiusOf(draft.hotAbove, unit) }),
    ...(mix === null ? {} : { mix: mixRulesOf(mix, unit) }),
  };
}

/** The hours that the maker's table has at the reference, rounded up to a hundredth; null while it says none. */
export function tableHoursAtReference(draft: Draft, unit: Unit): number | null {
  const { data: law } = TableLaw.safeParse(lawOf(draft, unit));
  const [coldest, warmest] = [law?.points[0], law?.points.at(-1)];
  if (law === undefined || coldest === undefined || warmest === undefined) return null;
  const reference = gridCelsiusOf(draft.reference, unit);
  const isWithin = reference >= coldest.celsius && reference <= warmest.celsius;
  return isWithin ? Math.ceil(coldest.hours * relativeSpeed(law, reference, coldest.celsius) * 100 - 1e-6) / 100 : null;
}

/** Another law asks for a source of its own; a source that was copied with the figures before it says nothing of it. */
export function isSourceStale(schedule: Schedule, copied: Schedule): boolean {
  return schedule.source === copied.source && JSON.stringify(schedule.law) !== JSON.stringify(copied.law);
}

function lawOf(draft: Draft, unit: Unit): unknown {
  switch (draft.law) {
    case 'arrhenius':
      return { kind: 'arrhenius', activationKilojoulesPerMol: numberOf(draft.activation) };
    case 'q10':
      return { kind: 'q10', factorPer10Kelvin: numberOf(draft.factor) };
    case 'table':
      return {
        kind: 'table',
        points: draft.points.map(({ temperature, amount }) => ({
          celsius: gridCelsiusOf(temperature, unit),
          hours: numberOf(amount),
        })),
      };
    case 'moisture':
      return {
        kind: 'moisture',
        referenceHumidityPercent: numberOf(draft.referenceHumidity),
        frontMillimetres: numberOf(draft.front),
        frontHours: numberOf(draft.frontHours),
        beadMillimetres: numberOf(draft.bead),
      };
  }
}
