import { foldSpecOf } from '../../site/cureSpec.ts';
import type { Entry } from '../../site/entries.ts';
import { applyEntry } from '../../site/state/apply.ts';
import { emptySite, type SiteState } from '../../site/state/site.ts';
import { isoOrNull } from '../../site/views/iso.ts';
import { bearsOn } from '../bearing.ts';
import type { Bundle } from '../bundle.ts';
import { canonicalJson } from '../canonical.ts';
import { countsOf, hoursOfJoint } from '../hours.ts';
import type { EnclosedReadings } from '../readings.ts';
import { entriesSealed, lanesSealed, type Placed } from '../sealed.ts';
import { failed, type Looked, passed } from './looked.ts';
import type { Replayed } from './replay.ts';

type SealEntry = Extract<Entry, { kind: 'joint.sealed' }>;
type Lane = SealEntry['lanes'][number];

interface Fault {
  readonly detail: string;
  readonly consequence: string;
}

const LEFT_OUT =
  'Something that was on record when the joint was sealed is not in the bundle. What it says is not the whole story.';
const READING_LEFT_OUT =
  'Readings that were there when the joint was sealed are not in the bundle: nothing computed from the rest can be relied on.';
const OTHERWISE = 'What the site sealed does not follow from its own record. Ask how that came about before you rely on it.';

/**
 * Every seal of the joints follows from what is enclosed: all entries that bore on the joint then, all readings that its hours rest
 * on. The newest one of each has exactly these readings; an older one may have fewer, since some may have come in later. Hours are
 * those that the newest seals claim.
 */
export function lookAtSeals(
  { entries, site }: Replayed,
  readings: EnclosedReadings,
  { subject }: Bundle,
): Looked<{ readonly completeUntil: string | null }> {
  for (const joint of subject.joints)
    if (site.joints.get(joint)?.seals.length === 0)
      return failed(
        `Joint ${joint} was never sealed.`,
        'Nothing shows that the bundle holds all that bears on it. Ask for it again.',
      );
  const newest = new Map(subject.joints.map((joint) => [joint, site.joints.get(joint)?.seals.at(-1)?.seq]));
  const before = emptySite();
  const past: Placed[] = [];
  let count = 0;
  for (const placed of entries) {
    const { entry, seq } = placed;
    if (entry.kind === 'joint.sealed') {
      count++;
      const fault = faultOf(entry, before, past, readings, newest.get(entry.joint) === seq);
      if (fault !== null)
        return failed(
          `The seal of joint ${entry.joint} at place ${seq}, ${entry.recordedAt}: ${fault.detail}.`,
          fault.consequence,
        );
    }
    applyEntry(before, entry, seq);
    past.push(placed);
  }
  const completeUntil = completeUntilOf(site, subject.joints);
  return passed(
    { completeUntil },
    `${count} seals; nothing that they cover was left out. That holds up to the newest of each joint, ${completeUntil ?? 'none'}: what was said or measured later may be missing.`,
  );
}

function completeUntilOf(site: SiteState, joints: readonly string[]): string | null {
  const newest = joints.flatMap((joint) => site.joints.get(joint)?.seals.at(-1)?.atMs ?? []);
  return newest.length === 0 ? null : isoOrNull(Math.min(...newest));
}

function faultOf(
  seal: SealEntry,
  site: SiteState,
  past: readonly Placed[],
  readings: EnclosedReadings,
  isNewest: boolean,
): Fault | null {
  const joint = site.joints.get(seal.joint);
  if (joint === undefined) return { detail: 'there was no such joint then', consequence: OTHERWISE };
  const bears = bearsOn(site, seal.joint);
  const { entries, people } = entriesSealed(past.filter(({ entry, seq }) => bears(entry, seq)));
  if (entries.count !== seal.entries.count || entries.sha256 !== seal.entries.sha256)
    return {
      detail: `${seal.entries.count} entries bore on the joint then, and the bundle holds ${entries.count} of that time or others`,
      consequence: LEFT_OUT,
    };
  const claims = [
    ['attempt', seal.attempt, joint.attempt],
    ['time of lay-up', seal.laidUpAt, isoOrNull(joint.laidUpMs)],
    ['rate table', seal.rateTableSha256, joint.schedule.rateTableSha256],
    ['list of people', seal.people.join(', '), people.join(', ')],
  ] as const;
  for (const [what, sealed, own] of claims)
    if (sealed !== own) return { detail: `its ${what} is ${sealed}, by the entries it is ${own}`, consequence: OTHERWISE };
  const spec = foldSpecOf(site, joint);
  if (spec === null || seal.provenUntil === null) {
    const isEmpty = seal.lanes.length === 0 && seal.creditPpmMs === 0 && seal.reached.length === 0 && seal.provenUntil === null;
    return spec === null && isEmpty
      ? null
      : { detail: 'it claims hours of a joint that was not laid up', consequence: OTHERWISE };
  }
  const provenUntilMs = Date.parse(seal.provenUntil);
  const lanes = lanesSealed(spec, readings, provenUntilMs, countsOf(site));
  const lane = lanesFault(seal.lanes, lanes, isNewest);
  if (lane !== null || !isNewest) return lane;
  const hours = hoursOfJoint(site, joint, readings, Date.parse(seal.recordedAt));
  if (hours === null || hours.state.frontierMs < provenUntilMs)
    return { detail: `the readings prove nothing up to ${seal.provenUntil}, as it claims`, consequence: READING_LEFT_OUT };
  const credit = hours.creditAt(provenUntilMs);
  if (credit !== seal.creditPpmMs)
    return { detail: `it claims ${seal.creditPpmMs} ppm·ms, the readings come to ${credit}`, consequence: OTHERWISE };
  const reached = hours.state.reached
    .filter(({ reachedAtMs }) => reachedAtMs <= provenUntilMs)
    .map(({ stage, reachedAtMs }) => ({ stage, reachedAtMs }));
  if (canonicalJson(reached) !== canonicalJson(seal.reached))
    return { detail: 'the stages that it claims are not those that the readings reach, or not then', consequence: OTHERWISE };
  return null;
}

function lanesFault(sealed: readonly Lane[], own: readonly Lane[], exactly: boolean): Fault | null {
  const names = (lanes: readonly Lane[]) => lanes.map(({ source, quantity }) => `${quantity} of ${source}`).join(', ');
  if (names(sealed) !== names(own))
    return {
      detail: `it rests on ${names(sealed) || 'no readings'}; by the entries that would be ${names(own) || 'none'}`,
      consequence: OTHERWISE,
    };
  for (const [index, lane] of sealed.entries()) {
    const { source, quantity, readings } = lane;
    const there = own[index] as Lane;
    if (there.readings < readings || (exactly && there.readings !== readings))
      return {
        detail: `it rests on ${readings} readings of the ${quantity} of ${source}, and the bundle holds ${there.readings} of that time`,
        consequence: READING_LEFT_OUT,
      };
    if (there.readings === readings && canonicalJson(there) !== canonicalJson(lane))
      return {
        detail: `the readings of the ${quantity} of ${source} are not those that it rests on`,
        consequence: READING_LEFT_OUT,
      };
  }
  return null;
}
