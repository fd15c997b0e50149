import { type FoldState, foldAll, type Piece } from '../../edge/cure/fold.ts';
import { hoursOf } from '../../edge/cure/schedule.ts';
import { bearsOn } from '../../edge/evidence/bearing.ts';
import { type Block, decodeBlock } from '../../edge/evidence/block.ts';
import { REPORT } from '../../edge/evidence/bundle.ts';
import { lookAtBag } from '../../edge/evidence/checks/bag.ts';
import { lookAtCanonical } from '../../edge/evidence/checks/canonical.ts';
import { lookAtCheckpointText } from '../../edge/evidence/checks/checkpointText.ts';
import { lookAtFormat } from '../../edge/evidence/checks/format.ts';
import { lookAtZip } from '../../edge/evidence/checks/zip.ts';
import { countsOf } from '../../edge/evidence/hours.ts';
import { EnclosedReadings, laneReadings } from '../../edge/evidence/readings.ts';
import { type JointRecord, recordOf } from '../../edge/evidence/record.ts';
import type { Placed } from '../../edge/evidence/sealed.ts';
import { foldSpecOf, historyFromMs } from '../../edge/site/cureSpec.ts';
import { Entry } from '../../edge/site/entries.ts';
import { probeOfSource } from '../../edge/site/sources.ts';
import { applyEntry } from '../../edge/site/state/apply.ts';
import type { Joint } from '../../edge/site/state/joint.ts';
import { emptySite, type SiteState } from '../../edge/site/state/site.ts';
import { thin } from '../../edge/tally/thin.ts';

/** Points of a line at most, about: enough for two per pixel column of a desk. */
const POINTS = 2000;

type Point = readonly [atMs: number, value: number | null];

/** A probe's temperatures while it belonged to the joint. */
export interface OpenedSeries {
  readonly source: string;
  readonly label: string;
  readonly role: 'material' | 'ambient';
  readonly points: readonly Point[];
}

export interface OpenedJoint {
  /** Counted anew from the readings in the file. */
  readonly record: JointRecord;
  readonly floorCelsius: number;
  /** All that was said of it, in the order of the site's record. */
  readonly entries: readonly Placed[];
  readonly series: readonly OpenedSeries[];
  readonly progress: readonly Point[];
  readonly uncredited: readonly { readonly fromMs: number; readonly toMs: number; readonly reason: 'cold' | 'unproven' }[];
}

/** A bundle as it is put on screen: plain data, and nothing of any site that is watched live. */
export interface Opened {
  readonly site: string;
  readonly name: string | null;
  readonly timeZone: string;
  /** Up to when its record goes, UTC ms. */
  readonly asOfMs: number;
  readonly joints: readonly OpenedJoint[];
  readonly probes: Readonly<Record<string, string>>;
  readonly lots: Readonly<Record<string, string>>;
  /** The report as it was made, whether right or not. */
  readonly report: Uint8Array<ArrayBuffer> | null;
}

/** Reads a bundle, as far as it can be read; null where its record cannot be put together. Whether it is right is another matter. */
export function openBundle(bytes: Uint8Array): Opened | null {
  try {
    return read(bytes);
  } catch {
    // Whatever is wrong in it, the verdict beside it says so.
    return null;
  }
}

function read(bytes: Uint8Array): Opened | null {
  const files = held(lookAtZip(bytes));
  const bag = files && held(lookAtBag(files));
  const bundle = bag && held(lookAtFormat(bag));
  const enclosed = bag && held(lookAtCanonical(bag));
  if (bag === null || bundle === null || enclosed === null) return null;
  const entries: Placed[] = enclosed.entries.map(({ seq, entry }) => ({ seq, entry: Entry.parse(entry) }));
  const site = emptySite();
  for (const { seq, entry } of entries) applyEntry(site, entry, seq);
  const blocks: Block[] = enclosed.blocks.map((leaf) => decodeBlock(leaf.bytes));
  const readings = new EnclosedReadings(blocks);
  const asOfMs = held(lookAtCheckpointText(bag, bundle))?.atMs ?? Date.parse(bundle.madeAt);
  const { joints } = recordOf(site, bundle.subject, readings, asOfMs);
  const labels = (of: Iterable<{ readonly name: string; readonly label: string }>) =>
    Object.fromEntries([...of].map(({ name, label }) => [name, label]));
  return {
    site: bundle.site,
    name: site.name,
    timeZone: site.timeZone,
    asOfMs,
    joints: joints.flatMap((record) => {
      const joint = site.joints.get(record.joint);
      return joint === undefined ? [] : [opened(site, joint, record, entries, readings, asOfMs)];
    }),
    probes: labels([...site.probes.values()].map(({ probe: name, label }) => ({ name, label }))),
    lots: labels([...site.lots.values()].map(({ lot: name, label }) => ({ name, label }))),
    report: bag.payload.get(REPORT)?.slice() ?? null,
  };
}

function held<T>(looked: { readonly ok: true; readonly value: T } | { readonly ok: false }): T | null {
  return looked.ok ? looked.value : null;
}

function opened(
  site: SiteState,
  joint: Joint,
  record: JointRecord,
  entries: readonly Placed[],
  readings: EnclosedReadings,
  asOfMs: number,
): OpenedJoint {
  const bears = bearsOn(site, joint.joint);
  const { definition } = joint.schedule;
  return {
    record,
    floorCelsius: definition.floorCelsius,
    entries: entries.filter(({ entry, seq }) => bears(entry, seq)),
    ...curvesOf(site, joint, readings, asOfMs),
  };
}

function curvesOf(
  site: SiteState,
  joint: Joint,
  readings: EnclosedReadings,
  asOfMs: number,
): Pick<OpenedJoint, 'series' | 'progress' | 'uncredited'> {
  const spec = foldSpecOf(site, joint);
  if (spec === null) return { series: [], progress: [], uncredited: [] };
  const counts = countsOf(site);
  const lanes = spec.feeds.map((feed, lane) =>
    laneReadings(readings, spec.lanes[lane]?.probe ?? '', feed, historyFromMs(spec), asOfMs + 1, counts),
  );
  const pieces: Piece[] = [];
  const { state } = foldAll(spec, lanes, (piece) => pieces.push(piece));
  const series = new Map<string, OpenedSeries>();
  spec.lanes.forEach(({ probe: source, role, fromMs, untilMs }, lane) => {
    if (role === 'humidity') return;
    const { atMs, milliC } = lanes[lane] ?? { atMs: [], milliC: [] };
    const rows = Array.from(atMs, (_, row) => row).filter((row) => isWithin(atMs[row], fromMs, untilMs));
    const points: Point[] = thin(
      rows.map((row) => atMs[row] as number),
      rows.map((row) => milliC[row] as number),
      spec.gapLimitMs,
      POINTS,
    );
    const before = series.get(source)?.points ?? [];
    const label = site.probes.get(probeOfSource(source))?.label ?? source;
    const last = before.at(-1);
    const seam: Point[] = last === undefined || points.length === 0 ? [] : [[last[0] + 1, null]];
    series.set(source, { source, label, role, points: [...before, ...seam, ...points] });
  });
  return { series: [...series.values()], ...hoursAlong(pieces, spec.startMs, state) };
}

const isWithin = (atMs: number | undefined, fromMs: number, untilMs: number) =>
  atMs !== undefined && atMs >= fromMs && atMs < untilMs;

/** Warm hours over time, and the spans that earned none. */
function hoursAlong(
  pieces: readonly Piece[],
  startMs: number,
  { frontierMs }: FoldState,
): Pick<OpenedJoint, 'progress' | 'uncredited'> {
  const progress: Point[] = [[startMs, 0]];
  const uncredited: { fromMs: number; toMs: number; reason: 'cold' | 'unproven' }[] = [];
  const stepMs = (frontierMs - startMs) / POINTS;
  let creditPpmMs = 0;
  let drawnMs = startMs;
  for (const { fromMs, toMs, ratePpm, uncredited: reason } of pieces) {
    creditPpmMs += ratePpm * (toMs - fromMs);
    if (toMs - drawnMs >= stepMs || toMs === frontierMs) {
      progress.push([toMs, hoursOf(creditPpmMs)]);
      drawnMs = toMs;
    }
    const last = uncredited.at(-1);
    if (reason === null) continue;
    if (last !== undefined && last.reason === reason && last.toMs === fromMs) last.toMs = toMs;
    else uncredited.push({ fromMs, toMs, reason });
  }
  return { progress, uncredited };
}
