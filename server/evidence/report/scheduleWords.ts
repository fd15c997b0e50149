import { scheduleNote } from '../../../web/text/en/scheduleNote.ts';
import { stageName } from './about.ts';
import { difference, limit, temperature } from './figures.ts';
import type { JointInput } from './input.ts';

/** What a schedule counts and what it cannot know, in sentences. */
export function scheduleWords({ view, definition, guardCelsius }: JointInput): string[] {
  const { title, version, author, law, referenceCelsius, floorCelsius, gapLimitMinutes, ambientStandIn, source } = definition;
  const { proofBelow, hotAboveCelsius, use, throughBead, fromMix } = definition;
  const full = guardCelsius === null ? null : limit(referenceCelsius + guardCelsius);
  return [
    `${scheduleNote.scheduleVersion(title, version)}, by ${author}. ${scheduleNote.rule(limit(referenceCelsius), limit(floorCelsius), String(gapLimitMinutes))} Between two readings the colder one counts; an hour never counts as more than one.`,
    lawWords(law),
    ...(full === null || guardCelsius === null ? [] : [scheduleNote.guard(difference(guardCelsius), full)]),
    ambientStandIn
      ? 'While no probe on the material is live, one in the air may stand in; a stage that rests on such hours needs a decision.'
      : 'A probe in the air never stands in for one on the material.',
    ...(throughBead === undefined ? [] : [`${stageName(throughBead)} also waits until the cure has come through the bead.`]),
    ...(fromMix === undefined
      ? []
      : [
          `From the mix, with ${limit(fromMix.referenceCelsius)} as reference: ${fromMix.stages.map(({ stage, requiredHours }) => `${stageName(stage).toLowerCase()} after ${Math.round(requiredHours * 600) / 10} warm minutes`).join(', ')}.`,
        ]),
    ...(use === undefined
      ? []
      : [`Material is to be ${temperature(use.minCelsius)} to ${temperature(use.maxCelsius)} when it is used.`]),
    ...(proofBelow === undefined
      ? []
      : [
          `After ${proofBelow.hours} h below ${limit(proofBelow.celsius)} the hours alone prove no cure: hardness and surface have to.`,
        ]),
    ...(hotAboveCelsius === undefined ? [] : [`Above ${limit(hotAboveCelsius)} the joint has run hot.`]),
    'Limits: cold resin can stop short of full cure although the hours add up; too little catalyst or wet glass never recovers. Hours say how long it was warm enough, not how hard it is.',
    scheduleNote.source(source),
    `${scheduleNote.rateTable} (SHA-256): ${view.scheduleDetail.rateTableSha256}`,
  ];
}

type Law = JointInput['definition']['law'];

function lawWords(law: Law): string {
  switch (law.kind) {
    case 'arrhenius':
      return `Rate law: Arrhenius with an activation energy of ${law.activationKilojoulesPerMol} kJ/mol, never above 1.`;
    case 'q10':
      return `Rate law: a factor of ${law.factorPer10Kelvin} for every 10 °C (18 °F), never above 1.`;
    case 'table': {
      const points = law.points.map(({ celsius, hours }) => `${hours} h at ${temperature(celsius)}`);
      return `Rate law: the maker’s hours at temperatures, ${points.join(', ')}; between them the logarithm of the hours is linear in 1/T.`;
    }
    case 'moisture': {
      const { referenceHumidityPercent, frontMillimetres, frontHours, beadMillimetres } = law;
      return `Rate law: moisture of the air, relative to ${referenceHumidityPercent} % humidity at the reference, never above 1. The front comes ${frontMillimetres} mm deep in ${frontHours} h there and slows with the square root of time; the bead is ${beadMillimetres} mm unless the joint says otherwise.`;
    }
  }
}
