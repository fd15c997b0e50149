import type { Law } from '../../../edge/cure/law.ts';
import { hoursPlain } from '../../look/format.ts';
import { setupText } from '../../text/setupText.ts';
import { text } from '../../text/text.ts';

const words = setupText.schedules;

export const stageName = (stage: string) => text.stage[stage] ?? stage;

/** A law in one line. */
export function lawWords(law: Law): string {
  switch (law.kind) {
    case 'arrhenius':
      return words.lawWords.arrhenius(String(law.activationKilojoulesPerMol));
    case 'q10':
      return words.lawWords.q10(String(law.factorPer10Kelvin));
    case 'table':
      return words.lawWords.table(String(law.points.length));
    case 'moisture':
      return words.lawWords.moisture(String(law.frontMillimetres), String(law.frontHours), String(law.referenceHumidityPercent));
  }
}

type Stages = readonly { readonly stage: string; readonly requiredHours: number }[];

/** `Stress 12 h and Water test 24 h`; what takes less than two hours stands in minutes. */
export function stagesWords(stages: Stages): string {
  return text.listAnd(
    stages.map(({ stage, requiredHours }) =>
      requiredHours < 2
        ? words.stageMinutes(stageName(stage), hoursPlain(requiredHours * 60))
        : text.stageHours(stageName(stage), hoursPlain(requiredHours)),
    ),
  );
}

/** Hours by the clock, rounded up, so that nobody comes too early. */
export function clockWords(hours: number | null): string {
  if (hours === null) return words.rate.never;
  if (hours < 2) return words.rate.minutes(String(Math.ceil(hours * 60 - 1e-6)));
  return words.rate.hours((Math.ceil(hours * 10 - 1e-6) / 10).toFixed(1));
}
