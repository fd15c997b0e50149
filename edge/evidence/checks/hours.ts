import type { Bundle } from '../bundle.ts';
import { canonicalJson } from '../canonical.ts';
import type { EnclosedReadings } from '../readings.ts';
import { BundleRecord, type JointRecord, recordOf } from '../record.ts';
import type { Enclosed } from './canonical.ts';
import type { TimedCheckpoint } from './checkpointText.ts';
import { failed, type Looked, passed } from './looked.ts';
import type { Replayed } from './replay.ts';

const CONSEQUENCE =
  'The warm hours or the times that the bundle claims do not follow from its readings by its own rules. Rely on neither.';

interface Parts {
  readonly enclosed: Enclosed;
  readonly replayed: Replayed;
  readonly readings: EnclosedReadings;
  readonly bundle: Bundle;
  readonly checkpoint: TimedCheckpoint;
}

/** Warm hours and the instant of every stage, counted anew from the readings with the enclosed table, are those that are claimed. */
export function lookAtHours({ enclosed, replayed, readings, bundle, checkpoint }: Parts): Looked<BundleRecord> {
  const claimed = BundleRecord.safeParse(enclosed.record);
  if (!claimed.success) {
    const [issue] = claimed.error.issues;
    return failed(`record.json at ${issue?.path.join('.') || 'its top'}: ${issue?.message}.`, CONSEQUENCE);
  }
  const own = recordOf(replayed.site, bundle.subject, readings, checkpoint.atMs);
  if (claimed.data.joints.map(({ joint }) => joint).join() !== bundle.subject.joints.join())
    return failed('record.json is not about the joints of the bundle, in their order.', CONSEQUENCE);
  for (const [index, joint] of own.joints.entries()) {
    const said = claimed.data.joints[index] as JointRecord;
    for (const field of Object.keys(joint) as (keyof JointRecord)[]) {
      const [theirs, ours] = [canonicalJson(said[field]), canonicalJson(joint[field])];
      if (theirs !== ours)
        return failed(
          `record.json says of joint ${joint.joint} that its ${field} is ${theirs}; counted anew it is ${ours}.`,
          CONSEQUENCE,
        );
    }
  }
  return passed(
    own,
    `Warm hours and stages of ${own.joints.length} joints, counted anew from the readings: the same to the last digit.`,
  );
}
