import type { FindingCode } from '../../../edge/site/findings/catalogue.ts';

/** What a finding's evidence says, ready to read, by its name. */
type Evidence = (name: string) => string;

interface Words {
  readonly said: (evidence: Evidence) => string;
  readonly todo: string;
}

/** One entry for every code: a code without words does not compile. `said`: what the evidence says; `todo`: what to do about it. */
export const evidence: Readonly<Record<FindingCode, Words>> = {
  'mix-outside-band': {
    said: (e) =>
      `The mix had ${e('milliPercentByMass')} catalyst by mass; ${e('milliPercentLeast')} to ${e('milliPercentMost')} are allowed.`,
    todo: 'Too little may never cure; too much is weak although it feels hard. Take hardness and surface, or do the joint again.',
  },
  'material-out-of-range': {
    said: (e) => `It was ${e('milliC')}; the range for use is ${e('leastMilliC')} to ${e('mostMilliC')}.`,
    todo: 'Compare with the maker’s sheet for the lot, look at the joint, then decide.',
  },
  'prep-missing': {
    said: () => 'The joint was laid up without a signature for a sanded, wiped and dry surface.',
    todo: 'Ask who prepared it and how. Accept with that as the reason, or have the joint done again.',
  },
  'dew-risk': {
    said: (e) =>
      `The surface was ${e('surfaceMilliC')} at a dew point of ${e('dewPointMilliC')}: a margin of ${e('leastMarginMilliC')}.`,
    todo: 'Moisture under a laminate is not cured away. Look for blisters and dull spots; if in doubt, do it again.',
  },
  rain: {
    said: () => 'It rained while the joint was being laid up or had not gelled.',
    todo: 'Was it under cover? Look at the surface. Accept with what you saw, or have it done again.',
  },
  'cold-before-gel': {
    said: (e) => `${e('spanMs')} below ${e('floorMilliC')} before gel; the coldest was ${e('milliC')}.`,
    todo: 'Such a laminate may never cure fully, however warm it gets later. Take hardness and surface.',
  },
  'below-proof': {
    said: (e) => `${e('spanMs')} below ${e('proofBelowMilliC')}; the coldest was ${e('milliC')}.`,
    todo: 'Give it warmth to finish, then take hardness and surface.',
  },
  'proof-failed': {
    said: (e) => `Mean hardness ${e('meanHundredths')}, needed ${e('neededHundredths')}; surface: ${e('surface')}.`,
    todo: 'Give it warmth and time and prove it again, or do the joint again.',
  },
  gap: {
    said: (e) => `No reading for ${e('spanMs')}. None of it was credited.`,
    todo: 'Say what happened: battery, radio, cable, probe taken off. Nothing is lost but the hours.',
  },
  provisional: {
    said: (e) => `${e('spanMs')} were credited from a probe in the air because none on the joint was live.`,
    todo: 'The air is not the joint. Decide whether these hours count, or take hardness and surface.',
  },
  'hot-joint': {
    said: (e) => `It reached ${e('milliC')}; the limit is ${e('hotAboveMilliC')}.`,
    todo: 'Too much catalyst or too thick a lay-up. Look for cracks and crazing; take hardness and surface.',
  },
  'probe-detached': {
    said: (e) =>
      `It followed the air all through: the air moved by ${e('ambientMovedMilliC')} and the two were never more than ${e('apartMilliC')} apart.`,
    todo: 'Tape it back to the joint now and note when. If it hung in the air, these hours prove nothing of the joint: take hardness and surface.',
  },
  'probe-frozen': {
    said: (e) =>
      `${e('count')} readings in a row, over ${e('spanMs')}, at exactly ${e('milliC')}; other probes of the joint moved by ${e('othersMovedMilliC')}.`,
    todo: 'Change the probe. A value that never moves proves nothing.',
  },
  'probe-jump': {
    said: (e) => `A change of ${e('changeMilliC')} within ${e('overMs')}, ${e('count')} of that kind.`,
    todo: 'Was the probe moved, or is a contact bad? Say which.',
  },
  'probes-apart': {
    said: (e) => `Two probes on the joint were ${e('apartMilliC')} apart for ${e('spanMs')}.`,
    todo: 'One side may be colder, or one probe is off. The colder one governed; check both in ice.',
  },
  'power-on-value': {
    said: (e) =>
      `${e('count')} readings of ${e('milliC')}, the value a sensor shows before it has measured. They were not counted.`,
    todo: 'Look at the supply, the plug and for moisture.',
  },
  'off-curve': {
    said: (e) => `${e('count')} readings lie off the sensor’s curve. They were not counted.`,
    todo: 'A broken wire, a short circuit, or the wrong kind of sensor in the setup.',
  },
  'battery-low': {
    said: (e) => `Down to ${e('milliPercent|milliVolts')}.`,
    todo: 'Change it before the night.',
  },
  'calibration-overdue': {
    said: () => 'The joint counts on a probe whose calibration had run out.',
    todo: 'Check it in ice and a warm bath. If it is right, accept with that as the reason.',
  },
  'clock-step': {
    said: (e) => `The clock of the site’s box was moved by ${e('stepMs')} while the joint cured.`,
    todo: 'Compare the times of this joint with what you know.',
  },
  'started-early': {
    said: (e) =>
      `“${e('activity')}” was started by ${e('by')} although this was missing: ${e('missing')}. The reason given: ${e('reason')}.`,
    todo: 'Find out what it did to the joints, then decide. It stays on record for good.',
  },
  'stage-lost': {
    said: (e) => `It had reached ${e('stages')} and lost it when it was laid up anew.`,
    todo: 'What was already built on it? Make sure that nothing rests on the old joint.',
  },
};
