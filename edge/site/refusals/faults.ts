import type { Statement } from '../entries.ts';
import { msOf } from '../said/words.ts';
import { type Context, type Fault, Faults } from './context.ts';
import { jointFaults, probeFaults, rolesFaults, scheduleFaults, sequenceFaults } from './setup.ts';
import {
  acknowledgementFaults,
  bookingFaults,
  cancellationFaults,
  forecastFaults,
  heatingFaults,
  snoozeFaults,
} from './tomorrow.ts';
import {
  decisionFaults,
  doneFaults,
  holdFaults,
  mixFaults,
  orderFaults,
  startFaults,
  waterTestFaults,
  withdrawalFaults,
} from './work.ts';

/** Everything that keeps a well-formed statement from being taken, against what the site already knows. Empty: take it. */
export function faultsOf(statement: Statement, context: Context): readonly Fault[] {
  const { site, nowMs } = context;
  const faults = new Faults(context);
  if ('at' in statement) faults.mustBePast('at', statement.at);
  if ('joint' in statement && statement.joint !== undefined && statement.kind !== 'joint.added')
    faults.mustKnow('joint', 'joint', site.joints, statement.joint);

  switch (statement.kind) {
    case 'site.described':
      break;
    case 'schedule.given':
      scheduleFaults(faults, context, statement);
      break;
    case 'sequence.given':
      sequenceFaults(faults, context, statement);
      break;
    case 'lot.added':
      faults.mustBeNew('lot', 'lot', site.lots, statement.lot);
      break;
    case 'sump.added':
      faults.mustBeNew('sump', 'sump', site.sumps, statement.sump);
      if (statement.sequence !== undefined) faults.mustKnow('sequence', 'sequence', site.sequences, statement.sequence);
      break;
    case 'joint.added':
      jointFaults(faults, context, statement);
      rolesFaults(faults, context, statement);
      break;
    case 'joint.assigned': {
      rolesFaults(faults, context, statement);
      const latestMs = site.joints.get(statement.joint)?.assignments.at(-1)?.fromMs;
      if (latestMs !== undefined && (statement.at === undefined ? nowMs : msOf(statement.at)) < latestMs)
        faults.add('at', `lies before the joint's present assignment, which holds since ${new Date(latestMs).toISOString()}`);
      break;
    }
    case 'probe.registered':
      probeFaults(faults, context, statement);
      break;
    case 'probe.mapped':
      faults.mustKnow('probe', 'probe', site.probes, statement.probe);
      break;
    case 'calibration.recorded':
      faults.mustKnow('probe', 'probe', site.probes, statement.probe);
      if (statement.dueAt !== undefined) faults.mustFollow('dueAt', statement.dueAt, statement.at, 'the calibration itself');
      break;
    case 'prep.signed':
      break;
    case 'mix.recorded':
      mixFaults(faults, context, statement);
      orderFaults(faults, context, statement.joint, statement.at);
      break;
    case 'joint.laidUp':
      orderFaults(faults, context, statement.joint, statement.at);
      break;
    case 'joint.relaid': {
      const joint = site.joints.get(statement.joint);
      if (joint !== undefined && joint.laidUpMs === null)
        faults.add('joint', `joint "${statement.joint}" has not been laid up yet; record that first`);
      else if (joint?.laidUpMs != null && msOf(statement.at) < joint.laidUpMs)
        faults.add('at', `lies before the lay-up it replaces, ${new Date(joint.laidUpMs).toISOString()}`);
      const redo = site.redone.get(statement.joint);
      if (
        joint !== undefined &&
        redo !== undefined &&
        redo.recordedMs > joint.attemptRecordedMs &&
        msOf(statement.at) < redo.atMs
      )
        faults.add('at', `lies before it was decided that it has to be done again, ${new Date(redo.atMs).toISOString()}`);
      break;
    }
    case 'rain.noted':
      if (statement.sump !== undefined) faults.mustKnow('sump', 'sump', site.sumps, statement.sump);
      faults.mustBePast('until', statement.until);
      if (statement.until !== undefined) faults.mustFollow('until', statement.until, statement.at, 'its beginning');
      break;
    case 'rain.ended': {
      const scope = statement.sump ?? null;
      const open = site.rains.filter(({ untilMs, sump }) => untilMs === null && sump === scope);
      if (open.length === 0) faults.add('at', `no rain is going on ${scope === null ? 'on the site' : `on sump "${scope}"`}`);
      else if (open.every(({ atMs }) => atMs > msOf(statement.at))) faults.add('at', 'lies before the rain began');
      break;
    }
    case 'proof.recorded': {
      const laidUpMs = site.joints.get(statement.joint)?.laidUpMs;
      if (laidUpMs === null)
        faults.add('joint', `joint "${statement.joint}" has not been laid up yet; there is nothing to prove`);
      else if (laidUpMs !== undefined && msOf(statement.at) < laidUpMs)
        faults.add('at', `lies before the lay-up, ${new Date(laidUpMs).toISOString()}`);
      break;
    }
    case 'finding.decided':
      decisionFaults(faults, context, statement);
      break;
    case 'hold.signed':
      holdFaults(faults, context, statement);
      break;
    case 'activity.started':
      startFaults(faults, context, statement);
      break;
    case 'activity.done':
      doneFaults(faults, context, statement);
      break;
    case 'hydrotest.recorded':
      for (const path of ['filledAt', 'startedAt', 'endedAt'] as const) faults.mustBePast(path, statement[path]);
      waterTestFaults(faults, context, statement);
      break;
    case 'entry.withdrawn':
      withdrawalFaults(faults, context, statement);
      break;
    case 'forecast.given':
      forecastFaults(faults, context, statement);
      break;
    case 'booking.made':
      bookingFaults(faults, context, statement);
      break;
    case 'booking.cancelled':
      cancellationFaults(faults, context, statement);
      break;
    case 'heating.changed':
      heatingFaults(faults, context, statement);
      break;
    case 'warning.acknowledged':
      acknowledgementFaults(faults, context, statement);
      break;
    case 'warning.snoozed':
      snoozeFaults(faults, context, statement);
      break;
    case 'note.added':
      if (statement.sump !== undefined) faults.mustKnow('sump', 'sump', site.sumps, statement.sump);
      if (statement.probe !== undefined) faults.mustKnow('probe', 'probe', site.probes, statement.probe);
      break;
  }
  return faults.list;
}
