import type { FoldSpec, Lane } from '../cure/fold.ts';
import { requiredPpmMs } from '../cure/schedule.ts';
import type { Joint, SiteState } from './state.ts';

/**
 * What a joint's fold needs, from what the site knows: one lane per probe, cut wherever the joint's assignment or the probe's
 * settings change, and wherever somebody set the clock, since time across that was not measured. Null before lay-up. A probe that nobody registered yet has no lane: it counts once somebody has.
 */
export function foldSpecOf(site: SiteState, joint: Joint): FoldSpec | null {
  if (joint.laidUpMs === null) return null;
  const { definition, table } = joint.schedule;
  const startMs = joint.laidUpMs;
  const clockSteps = site.clockSteps.map((step) => step.toMs).sort((a, b) => a - b);
  return {
    startMs,
    gapLimitMs: Math.round(definition.gapLimitMinutes * 60_000),
    ambientStandIn: definition.ambientStandIn,
    table,
    // A lane that ended before the start proves nothing after it.
    lanes: lanesOf(site, joint)
      .flatMap((lane) => cutAt(lane, clockSteps))
      .filter((lane) => lane.untilMs > startMs),
    stages: definition.stages.map(({ stage, requiredHours }) => ({ stage, requiredPpmMs: requiredPpmMs(requiredHours) })),
  };
}

function cutAt(lane: Lane, instantsMs: readonly number[]): Lane[] {
  const cuts = instantsMs.filter((ms, index) => ms > lane.fromMs && ms < lane.untilMs && ms !== instantsMs[index - 1]);
  return [lane.fromMs, ...cuts].map((fromMs, index) => ({ ...lane, fromMs, untilMs: cuts[index] ?? lane.untilMs }));
}

function lanesOf(site: SiteState, joint: Joint): Lane[] {
  const lanes: Lane[] = [];
  joint.assignments.forEach(({ fromMs, probes, ambient }, index) => {
    const untilMs = joint.assignments[index + 1]?.fromMs ?? Number.POSITIVE_INFINITY;
    for (const probe of probes) addLanes(lanes, site, probe, 'material', fromMs, untilMs);
    if (ambient !== null) addLanes(lanes, site, ambient, 'ambient', fromMs, untilMs);
  });
  return lanes;
}

function addLanes(lanes: Lane[], site: SiteState, name: string, role: Lane['role'], fromMs: number, untilMs: number): void {
  const probe = site.probes.get(name);
  if (probe === undefined || probe.role !== role) return;
  probe.settings.forEach((settings, index) => {
    const from = Math.max(fromMs, settings.fromMs);
    const until = Math.min(untilMs, probe.settings[index + 1]?.fromMs ?? Number.POSITIVE_INFINITY);
    if (from >= until) return;
    // A probe that simply stays keeps its lane: nothing is lost at a change that does not concern it.
    const same = lanes.findIndex(
      (lane) =>
        lane.probe === name && lane.role === role && lane.untilMs === from && lane.guardMilliC === settings.uncertaintyMilliC,
    );
    if (same >= 0) lanes[same] = { ...(lanes[same] as Lane), untilMs: until };
    else lanes.push({ probe: name, role, guardMilliC: settings.uncertaintyMilliC, fromMs: from, untilMs: until });
  });
}
