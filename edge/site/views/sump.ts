import { z } from 'zod';
import type { Entry } from '../entries.ts';
import { sumpFindings } from '../findings/sumpFindings.ts';
import type { SiteState } from '../state/site.ts';
import type { Sump } from '../state/sump.ts';
import { ActivityView, activitiesNow } from './activity.ts';
import { projectedOf } from './activityOutlook.ts';
import { BookingView, bookingViews } from './booking.ts';
import { FindingView, findingView } from './finding.ts';
import { iso } from './iso.ts';
import { type JointView, Phase } from './joint.ts';
import type { JointProjection } from './outlook.ts';
import { RecordLine, recordOf } from './record.ts';
import { WaterTestView, waterTestViews } from './waterTest.ts';

export const SumpView = z.strictObject({
  sump: z.string(),
  label: z.string(),
  serial: z.string().nullable(),
  joints: z.array(z.string()),
  /** The least advanced phase among its joints: the slowest joint releases the sump. Null: it has no joint yet. */
  phase: Phase.nullable(),
  /** The joint that holds it back. */
  slowestJoint: z.string().nullable(),
  sequence: z.strictObject({ name: z.string(), version: z.int(), title: z.string(), source: z.string() }),
  /** The joints that the sequence asks for. */
  parts: z.array(z.strictObject({ part: z.string(), label: z.string(), schedule: z.string(), joint: z.string().nullable() })),
  activities: z.array(ActivityView),
  /** Of activities that are not under way, the earliest first. */
  bookings: z.array(BookingView),
  tests: z.array(WaterTestView),
  /** On the sump as a whole; those on its joints stand with the joints. */
  findings: z.array(FindingView),
  /** Ids of open findings, on the sump and its joints, that hold the water test. */
  undecided: z.array(z.string()),
  /** Place in the ledger of the entry that added it, by which it can be taken back while it has no joint. */
  addedSeq: z.int(),
  /** All that was said about it, and the rain on it, newest first. */
  record: z.array(RecordLine),
});
export type SumpView = z.infer<typeof SumpView>;

const PHASE_ORDER: readonly Phase[] = ['void', 'planned', 'open', 'curing', 'stressReady', 'hydroReady'];

/** A sump at `nowMs` from its joints' views, which come in any order, and from what lies ahead of them. */
export function sumpView(
  site: SiteState,
  sump: Sump,
  joints: ReadonlyMap<string, JointView>,
  ahead: ReadonlyMap<string, Pick<JointProjection, 'readiness' | 'reason'>>,
  nowMs: number,
): SumpView {
  const views = sump.joints.flatMap((name) => joints.get(name) ?? []);
  const slowest = views.reduce<JointView | null>((slow, view) => {
    if (slow === null) return view;
    const order = PHASE_ORDER.indexOf(view.phase) - PHASE_ORDER.indexOf(slow.phase);
    return order < 0 || (order === 0 && remaining(view) > remaining(slow)) ? view : slow;
  }, null);
  const findings = sumpFindings(site, sump).map((finding) => findingView(site, finding));
  const holding = [...findings, ...views.flatMap((view) => view.findings)].filter(({ severity }) => severity !== 'note');
  const undecided = holding.filter(({ open }) => open).map(({ id }) => id);
  const decidedMs = holding.map(({ decision }) => (decision === null ? Number.NaN : Date.parse(decision.at)));
  const decidedAt = holding.length === 0 || undecided.length > 0 ? null : iso(Math.max(...decidedMs));
  const tests = waterTestViews(sump);
  const { name, version, title, source } = sump.sequence;
  const parts = sump.sequence.parts.map((part) => ({
    ...part,
    joint: views.find((view) => view.part === part.part)?.joint ?? null,
  }));
  const now = activitiesNow({ sump, joints: views, tests, undecided, decidedAt });
  const around = {
    activities: now,
    joints: sump.joints,
    parts,
    viewOf: (joint: string) => joints.get(joint),
    aheadOf: (joint: string) => ahead.get(joint),
    nowMs,
  };
  return {
    sump: sump.sump,
    label: sump.label,
    serial: sump.serial,
    joints: sump.joints,
    phase: slowest?.phase ?? null,
    slowestJoint: slowest?.joint ?? null,
    sequence: { name, version, title, source },
    parts,
    activities: now.map((activity) => ({ ...activity, projected: projectedOf(around, activity) })),
    bookings: bookingViews(sump, around),
    tests,
    findings,
    undecided,
    addedSeq: sump.addedSeq,
    record: [...recordOf(sump), ...recordOf(site, isRainOn(sump.sump))].sort((a, b) => b.seq - a.seq),
  };
}

function isRainOn(sump: string) {
  return (entry: Entry) =>
    (entry.kind === 'rain.noted' || entry.kind === 'rain.ended') && (entry.sump === undefined || entry.sump === sump);
}

function remaining(view: JointView): number {
  return Math.max(0, ...view.stages.map((stage) => stage.remainingHours));
}
