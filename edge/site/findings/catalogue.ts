import type { Role } from '../entries.ts';

/** Everything that the tool finds by itself. Codes stand in the ledger's decisions: a code that was ever used keeps its meaning. */
export const FINDING_CODES = [
  'mix-outside-band',
  'material-out-of-range',
  'prep-missing',
  'dew-risk',
  'rain',
  'cold-before-gel',
  'below-proof',
  'proof-failed',
  'gap',
  'provisional',
  'hot-joint',
  'probe-detached',
  'probe-frozen',
  'probe-jump',
  'probes-apart',
  'power-on-value',
  'off-curve',
  'battery-low',
  'calibration-overdue',
  'clock-step',
  'started-early',
  'stage-lost',
] as const;
export type FindingCode = (typeof FINDING_CODES)[number];

/**
 * `note`: to be known. `warning`: holds the sump's water test until somebody decides. `stop`: also blocks the joint's stages.
 */
export type Severity = 'note' | 'warning' | 'stop';

export interface Rule {
  readonly severity: Severity;
  readonly mayDecide: readonly Role[];
  /** A proof on record, hardness and surface both, may settle it. */
  readonly provable: boolean;
}

const QUALITY: readonly Role[] = ['quality', 'admin'];
const ANYBODY: readonly Role[] = ['crew', 'quality', 'admin'];
const stop = (provable: boolean): Rule => ({ severity: 'stop', mayDecide: QUALITY, provable });
const warning = (mayDecide: readonly Role[]): Rule => ({ severity: 'warning', mayDecide, provable: false });
const note: Rule = { severity: 'note', mayDecide: ANYBODY, provable: false };

/** How much each weighs and who may decide it: our own choice. */
export const RULES: Readonly<Record<FindingCode, Rule>> = {
  'mix-outside-band': stop(true),
  'material-out-of-range': warning(QUALITY),
  'prep-missing': warning(QUALITY),
  'dew-risk': stop(false),
  rain: stop(false),
  'cold-before-gel': stop(true),
  'below-proof': stop(true),
  'proof-failed': stop(true),
  gap: warning(ANYBODY),
  provisional: stop(true),
  'hot-joint': stop(true),
  'probe-detached': stop(true),
  'probe-frozen': stop(true),
  'probe-jump': warning(ANYBODY),
  'probes-apart': warning(ANYBODY),
  'power-on-value': note,
  'off-curve': warning(ANYBODY),
  'battery-low': note,
  'calibration-overdue': warning(QUALITY),
  'clock-step': warning(QUALITY),
  'started-early': warning(QUALITY),
  'stage-lost': warning(QUALITY),
};
