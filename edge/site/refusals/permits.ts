import type { Role, StatementKind } from '../entries.ts';

const CREW: readonly Role[] = ['crew', 'quality', 'admin'];
const QUALITY: readonly Role[] = ['quality', 'admin'];

/** Who may say what. Claims staff read only; a finding says for itself who may decide it. */
const PERMITS: Readonly<Record<StatementKind, readonly Role[]>> = {
  'site.described': QUALITY,
  'schedule.given': QUALITY,
  'sequence.given': QUALITY,
  'lot.added': CREW,
  'sump.added': CREW,
  'joint.added': CREW,
  'joint.assigned': CREW,
  'probe.registered': CREW,
  'probe.mapped': QUALITY,
  'calibration.recorded': QUALITY,
  'prep.signed': CREW,
  'mix.recorded': CREW,
  'joint.laidUp': CREW,
  'joint.relaid': CREW,
  'rain.noted': CREW,
  'rain.ended': CREW,
  'proof.recorded': CREW,
  'finding.decided': CREW,
  'hold.signed': CREW,
  'activity.started': CREW,
  'activity.done': CREW,
  'hydrotest.recorded': CREW,
  'note.added': CREW,
  'entry.withdrawn': CREW,
  // A program that brings the weather in speaks as `system`.
  'forecast.given': [...CREW, 'system'],
  'booking.made': CREW,
  'booking.cancelled': CREW,
  'heating.changed': CREW,
  'warning.acknowledged': CREW,
  'warning.snoozed': CREW,
};

/** The roles that may make such a statement. */
export function permittedRoles(kind: StatementKind): readonly Role[] {
  return PERMITS[kind];
}
