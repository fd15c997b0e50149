import type { FindingCode } from '../../../edge/site/findings/catalogue.ts';

/** One entry for every code: a code without a title does not compile. */
export const titleOf: Readonly<Record<FindingCode, string>> = {
  'mix-outside-band': 'Catalyst outside the allowed band',
  'material-out-of-range': 'Material too cold or too warm when used',
  'prep-missing': 'Surface not signed for',
  'dew-risk': 'Surface too near the dew point',
  rain: 'Rain on uncured work',
  'cold-before-gel': 'Too cold before it gelled',
  'below-proof': 'Long in the cold: hours alone do not prove it',
  'proof-failed': 'A proof was not passed',
  gap: 'Time without readings',
  provisional: 'Hours on air readings only',
  'hot-joint': 'Joint ran hot',
  'probe-detached': 'Probe seems to be off the joint',
  'probe-frozen': 'Probe stands still',
  'probe-jump': 'Impossible jump',
  'probes-apart': 'Probes drift apart',
  'power-on-value': 'Sensor started anew',
  'off-curve': 'Values that are no temperature',
  'battery-low': 'Battery low',
  'calibration-overdue': 'Calibration overdue',
  'clock-step': 'Clock was set',
  'started-early': 'Started before its time',
  'stage-lost': 'Stage lost by laying up anew',
};

export const blockers = {
  reached: (titles: string) => `hours are there, but: ${titles}`,
  open: (titles: string) => `Blocked, needs a decision: ${titles}`,
};
