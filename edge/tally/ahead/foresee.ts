import { conditionHours, storedMilliC } from '../../cure/outlook/layUp.ts';
import { quantile } from '../../cure/outlook/project.ts';
import { HOUR_MS } from '../../cure/schedule.ts';
import { scheduleNamed } from '../../site/refusals/setup.ts';
import type { WarningCode } from '../../site/said/tomorrow.ts';
import type { SiteState } from '../../site/state/site.ts';
import type { SumpView } from '../../site/views/sump.ts';
import type { LatestValues } from '../latest.ts';
import type { Outlooks } from './outlooks.ts';
import type { SiteAir } from './siteAir.ts';

/** So far ahead the cold is warned of. */
const COLD_WITHIN_MS = 24 * HOUR_MS;
/** A warning is raised at the first share of the worlds, and stays until the second: what wavers about one mark is not raised twice. */
const COLD = { raise: 0.5, keep: 0.25 } as const;
const BOOKING = { raise: 0.8, keep: 0.9 } as const;
/** Material is looked at for a lay-up that is booked within this time. */
const MATERIAL_WITHIN_MS = 36 * HOUR_MS;
/** Silence is warned of before it costs anything: after this share of the gap limit. */
const SILENT_SHARE = 2 / 3;
/** A booking that has passed is warned of for so long. */
const PASSED_MS = HOUR_MS;

/** Something to be feared now. One that is not `raise` keeps a warning that is there, and makes none. */
export interface Feared {
  readonly code: WarningCode;
  /** Joint, sump or probe. */
  readonly owner: string;
  readonly raise: boolean;
  readonly numbers: Readonly<Record<string, number>>;
}

export interface ForeseeParts {
  readonly site: SiteState;
  readonly outlooks: Outlooks;
  readonly air: SiteAir;
  readonly latest: Pick<LatestValues, 'of'>;
  readonly sump: (name: string) => SumpView;
  readonly isDone: (joint: string) => boolean;
  readonly nowMs: () => number;
}

/** All that is to be feared on the site, unless somebody acts. */
export function foresee(parts: ForeseeParts): Feared[] {
  return [...coldAhead(parts), ...bookings(parts), ...material(parts), ...silence(parts)];
}

/** A curing joint that is above its floor and will likely go below it. */
function* coldAhead({ site, outlooks, isDone, nowMs }: ForeseeParts): Generator<Feared> {
  for (const joint of site.joints.values()) {
    if (joint.laidUpMs === null || isDone(joint.joint)) continue;
    const { ahead, outlook } = outlooks.of(joint);
    if (ahead === null || outlook === null) continue;
    const { startMilliC, guardMilliC, table } = ahead.input;
    const isCold = startMilliC - guardMilliC < table.floorMilliC;
    const within = outlook.coldMs.filter((ms) => ms <= nowMs() + COLD_WITHIN_MS);
    const share = within.length / outlook.coldMs.length;
    if (isCold || share < COLD.keep) continue;
    yield {
      code: 'cold-ahead',
      owner: joint.joint,
      raise: share >= COLD.raise,
      numbers: { atMs: quantile(within, 0.5), chancePercent: Math.round(100 * share), floorMilliC: table.floorMilliC },
    };
  }
}

/** The next booking of a sump that may not hold. */
function* bookings({ site, sump, nowMs }: ForeseeParts): Generator<Feared> {
  for (const name of site.sumps.keys()) {
    const atRisk = sump(name)
      .bookings.filter(({ chance, due }) => chance !== null && chance < BOOKING.keep && Date.parse(due) > nowMs() - PASSED_MS)
      .sort((a, b) => Date.parse(a.due) - Date.parse(b.due))[0];
    if (atRisk === undefined) continue;
    const chance = atRisk.chance ?? 0;
    yield {
      code: 'booking-at-risk',
      owner: name,
      raise: chance < BOOKING.raise,
      numbers: {
        seq: atRisk.seq,
        dueMs: Date.parse(atRisk.due),
        chancePercent: Math.round(100 * chance),
        ...(atRisk.ready.likely === null ? {} : { likelyMs: Date.parse(atRisk.ready.likely) }),
      },
    };
  }
}

/** A booked lay-up whose material will be too cold or too warm if it is left in the truck. */
function* material({ site, air, nowMs }: ForeseeParts): Generator<Feared> {
  const ahead = air.ahead(air.probe);
  if (ahead === null) return;
  const past = air.probe === null ? null : air.record(air.probe);
  for (const { sump, sequence, bookings: booked } of site.sumps.values())
    for (const { activity, dueMs } of booked.values()) {
      const part = sequence.activities.find((each) => each.activity === activity)?.part;
      const schedule = sequence.parts.find((each) => each.part === part)?.schedule;
      const use = schedule === undefined ? undefined : scheduleNamed(site, schedule)?.use;
      if (use === undefined || dueMs < nowMs() || dueMs > nowMs() + MATERIAL_WITHIN_MS) continue;
      const range = { minMilliC: Math.round(use.minCelsius * 1000), maxMilliC: Math.round(use.maxCelsius * 1000) };
      const milliC = storedMilliC(ahead.air, past, nowMs(), dueMs);
      if (milliC >= range.minMilliC && milliC <= range.maxMilliC) continue;
      const hours = conditionHours(milliC, range, (range.minMilliC + range.maxMilliC) / 2);
      yield {
        code: 'material-ahead',
        owner: sump,
        raise: true,
        numbers: {
          dueMs,
          milliC: Math.round(milliC),
          ...range,
          ...(hours === null ? {} : { warmMinutes: Math.ceil(hours * 60) }),
        },
      };
      break;
    }
}

/** A probe of a curing joint that has stopped, before its silence costs anything. */
function* silence({ site, latest, isDone, nowMs }: ForeseeParts): Generator<Feared> {
  const shortest = new Map<string, number>();
  for (const joint of site.joints.values()) {
    const assigned = joint.assignments.at(-1);
    if (joint.laidUpMs === null || assigned === undefined || isDone(joint.joint)) continue;
    const gapLimitMs = joint.schedule.definition.gapLimitMinutes * 60_000;
    const needsAir = joint.schedule.definition.law.kind === 'moisture';
    for (const probe of [...assigned.probes, ...(needsAir && assigned.ambient !== null ? [assigned.ambient] : [])])
      shortest.set(probe, Math.min(gapLimitMs, shortest.get(probe) ?? Number.POSITIVE_INFINITY));
  }
  const { temperature } = latest.of([...shortest.keys()]);
  for (const [probe, gapLimitMs] of shortest) {
    const newest = temperature.get(probe);
    if (newest === undefined || nowMs() - newest.atMs <= SILENT_SHARE * gapLimitMs) continue;
    yield { code: 'reading-stopped', owner: probe, raise: true, numbers: { lastMs: newest.atMs, gapLimitMs } };
  }
}
