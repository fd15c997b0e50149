import type { FoldSpec, Lane } from '../cure/fold.ts';
import { requiredPpmMs, stagesFor } from '../cure/schedule.ts';
import type { Feed } from './feed.ts';
import { DEFAULT_HUMIDITY_UNCERTAINTY_PERCENT, DEFAULT_UNCERTAINTY_CELSIUS } from './said/instruments.ts';
import { isImported } from './sources.ts';
import type { Joint } from './state/joint.ts';
import type { ProbeSettings } from './state/probe.ts';
import type { SiteState } from './state/site.ts';

/** What a fold of a joint needs, and how the readings of each lane become its values: one feed a lane. */
export interface JointSpec extends FoldSpec {
  readonly feeds: readonly Feed[];
}

/**
 * What a joint's fold needs, from what the site knows: one lane per probe and imported file, cut wherever the joint's assignment
 * or the probe's settings change, and wherever somebody set the clock, since time across that was not measured. Null before
 * lay-up. A probe that nobody registered yet has no lane: it counts once somebody has.
 */
export function foldSpecOf(site: SiteState, joint: Joint): JointSpec | null {
  if (joint.laidUpMs === null) return null;
  const { definition, table } = joint.schedule;
  return specFrom(site, joint, joint.laidUpMs, table, stagesFor(definition, joint.beadMillimetres));
}

/** The same from the last mix, for `gel` and `tack`; from the lay-up where no mix is on record. Null where the schedule has none. */
export function mixSpecOf(site: SiteState, joint: Joint): JointSpec | null {
  const { definition, mixTable } = joint.schedule;
  const startMs = joint.mixes.length > 0 ? Math.max(...joint.mixes.map((mix) => mix.atMs)) : joint.laidUpMs;
  if (definition.fromMix === undefined || mixTable === null || startMs === null) return null;
  return specFrom(site, joint, startMs, mixTable, definition.fromMix.stages);
}

/** What a probe said before can prove nothing after the start, UTC ms. */
export function historyFromMs({ startMs, gapLimitMs }: FoldSpec): number {
  return startMs - gapLimitMs;
}

function specFrom(
  site: SiteState,
  joint: Joint,
  startMs: number,
  table: FoldSpec['table'],
  stages: readonly { readonly stage: string; readonly requiredHours: number }[],
): JointSpec {
  const { definition } = joint.schedule;
  const clockSteps = site.clockSteps.map((step) => step.toMs).sort((a, b) => a - b);
  const fed = fedLanesOf(site, joint)
    .flatMap((each) => cutAt(each, clockSteps))
    // A lane that ended before the start proves nothing after it.
    .filter(({ lane }) => lane.untilMs > startMs);
  return {
    startMs,
    gapLimitMs: Math.round(definition.gapLimitMinutes * 60_000),
    ambientStandIn: definition.ambientStandIn,
    table,
    lanes: fed.map(({ lane }) => lane),
    feeds: fed.map(({ feed }) => feed),
    stages: stages.map(({ stage, requiredHours }) => ({ stage, requiredPpmMs: requiredPpmMs(requiredHours) })),
  };
}

interface FedLane {
  readonly lane: Lane;
  readonly feed: Feed;
}

function cutAt({ lane, feed }: FedLane, instantsMs: readonly number[]): FedLane[] {
  const cuts = instantsMs.filter((ms, index) => ms > lane.fromMs && ms < lane.untilMs && ms !== instantsMs[index - 1]);
  return [lane.fromMs, ...cuts].map((fromMs, index) => ({
    lane: { ...lane, fromMs, untilMs: cuts[index] ?? lane.untilMs },
    feed,
  }));
}

/** Every lane that the joint's readings may come in by. */
export function fedLanesOf(site: SiteState, joint: Joint): FedLane[] {
  const fed: FedLane[] = [];
  const isMoist = joint.schedule.definition.law.kind === 'moisture';
  joint.assignments.forEach(({ fromMs, probes, ambient }, index) => {
    const untilMs = joint.assignments[index + 1]?.fromMs ?? Number.POSITIVE_INFINITY;
    for (const probe of probes) addLanes(fed, site, probe, 'material', fromMs, untilMs);
    if (ambient === null) return;
    addLanes(fed, site, ambient, 'ambient', fromMs, untilMs);
    if (isMoist) addLanes(fed, site, ambient, 'humidity', fromMs, untilMs);
  });
  return fed;
}

function addLanes(fed: FedLane[], site: SiteState, name: string, role: Lane['role'], fromMs: number, untilMs: number): void {
  const probe = site.probes.get(name);
  if (probe === undefined || probe.role !== (role === 'material' ? 'material' : 'ambient')) return;
  for (const source of [name, ...probe.imports.map((file) => file.source)])
    probe.settings.forEach((settings, index) => {
      const from = Math.max(fromMs, settings.fromMs);
      const until = Math.min(untilMs, probe.settings[index + 1]?.fromMs ?? Number.POSITIVE_INFINITY);
      if (from >= until) return;
      const feed = feedOf(settings, role, isImported(source));
      const guardMilliC = guardOf(settings, role, isImported(source));
      const lane = { probe: source, role, guardMilliC, fromMs: from, untilMs: until };
      // A probe that simply stays keeps its lane: nothing is lost at a change that does not concern it.
      const same = fed.findIndex((each) => each.lane.untilMs === from && alike(each, { lane, feed }));
      const before = fed[same];
      if (before === undefined) fed.push({ lane, feed });
      else fed[same] = { feed, lane: { ...before.lane, untilMs: until } };
    });
}

/** A logger's file holds degrees, whatever the probe itself sends, and the probe's calibration says nothing about the logger. */
function feedOf({ sensor, calibration }: ProbeSettings, role: Lane['role'], imported: boolean): Feed {
  if (imported)
    return { quantity: role === 'humidity' ? 'humidity' : 'temperature', sensor: { kind: 'digital' }, calibration: null };
  const isDegrees = sensor.kind === 'digital';
  const quantity = role === 'humidity' ? 'humidity' : isDegrees ? 'temperature' : 'resistance';
  return { quantity, sensor, calibration };
}

/** Of a logger's file no less than of a probe that nobody has compared with anything. */
function guardOf({ uncertaintyMilliC, uncertaintyMilliPercent }: ProbeSettings, role: Lane['role'], imported: boolean): number {
  const uncompared = role === 'humidity' ? DEFAULT_HUMIDITY_UNCERTAINTY_PERCENT : DEFAULT_UNCERTAINTY_CELSIUS;
  const own = role === 'humidity' ? uncertaintyMilliPercent : uncertaintyMilliC;
  return imported ? Math.max(own, uncompared * 1000) : own;
}

function alike(one: FedLane, other: FedLane): boolean {
  const { lane: a } = one;
  const { lane: b } = other;
  return (
    a.probe === b.probe &&
    a.role === b.role &&
    a.guardMilliC === b.guardMilliC &&
    JSON.stringify(one.feed) === JSON.stringify(other.feed)
  );
}
