import { z } from 'zod';
import { requiredPpmMs, Slug, stagesFor } from '../cure/schedule.ts';
import { Id, Instant, Sha256 } from '../site/said/words.ts';
import type { SiteState } from '../site/state/site.ts';
import { isoOrNull } from '../site/views/iso.ts';
import type { Subject } from './bearing.ts';
import { hoursOfJoint } from './hours.ts';
import type { ReadingSource } from './readings.ts';

/** What the site claims of a joint. Credit is ppm·ms, instants that people read are UTC. */
const JointRecord = z.strictObject({
  joint: Id,
  label: z.string(),
  sump: Id,
  sumpLabel: z.string(),
  serial: z.string().nullable(),
  schedule: z.strictObject({
    name: Slug,
    version: z.int(),
    title: z.string(),
    source: z.string(),
    referenceCelsius: z.number(),
    rateTableSha256: Sha256,
  }),
  attempt: z.int(),
  laidUpAt: Instant.nullable(),
  /** Settled up to here; null before lay-up. */
  provenUntil: Instant.nullable(),
  creditPpmMs: z.int(),
  coldMs: z.int(),
  unprovenMs: z.int(),
  provisionalPpmMs: z.int(),
  stages: z.array(
    z.strictObject({
      stage: Slug,
      requiredPpmMs: z.int(),
      reachedAtMs: z.int().nullable(),
      provenBy: z.strictObject({ probe: z.string(), atMs: z.int() }).nullable(),
    }),
  ),
  /** Places of its seals in the ledger. */
  seals: z.array(z.int()),
});
export type JointRecord = z.infer<typeof JointRecord>;

/** `record.json`. */
export const BundleRecord = z.strictObject({ joints: z.array(JointRecord) });
export type BundleRecord = z.infer<typeof BundleRecord>;

/** What the entries and readings of a bundle come to at `nowMs`, the time of its checkpoint. Leaves out what is no joint of the site. */
export function recordOf(site: SiteState, { joints }: Subject, readings: ReadingSource, nowMs: number): BundleRecord {
  return { joints: joints.flatMap((name) => jointRecord(site, name, readings, nowMs) ?? []) };
}

function jointRecord(site: SiteState, name: string, readings: ReadingSource, nowMs: number): JointRecord | null {
  const joint = site.joints.get(name);
  const sump = joint && site.sumps.get(joint.sump);
  if (joint === undefined || sump === undefined) return null;
  const state = hoursOfJoint(site, joint, readings, nowMs)?.state;
  const { definition, rateTableSha256 } = joint.schedule;
  const { name: schedule, version, title, source, referenceCelsius } = definition;
  return {
    joint: name,
    label: joint.label,
    sump: joint.sump,
    sumpLabel: sump.label,
    serial: sump.serial,
    schedule: { name: schedule, version, title, source, referenceCelsius, rateTableSha256 },
    attempt: joint.attempt,
    laidUpAt: isoOrNull(joint.laidUpMs),
    provenUntil: isoOrNull(state?.frontierMs ?? null),
    creditPpmMs: state?.creditPpmMs ?? 0,
    coldMs: state?.coldMs ?? 0,
    unprovenMs: state?.unprovenMs ?? 0,
    provisionalPpmMs: state?.provisionalPpmMs ?? 0,
    stages: stagesFor(definition, joint.beadMillimetres).map(({ stage, requiredHours }) => {
      const reached = state?.reached.find((one) => one.stage === stage);
      return {
        stage,
        requiredPpmMs: requiredPpmMs(requiredHours),
        reachedAtMs: reached?.reachedAtMs ?? null,
        provenBy: reached?.provenBy ?? null,
      };
    }),
    seals: joint.seals.map(({ seq }) => seq),
  };
}
