import { conditionHours, storedMilliC } from '../../cure/outlook/layUp.ts';
import { quantile } from '../../cure/outlook/project.ts';
import { HOUR_MS } from '../../cure/schedule.ts';
import { scheduleNamed } from '../../site/refusals/setup.ts';
import type { WarningCode } from '../../site/said/tomorrow.ts';
import type { SiteState } from '../../site/state/site.ts';
import type { BookingView } from '../../site/views/booking.ts';
import type { SumpView } from '../../site/views/sump.ts';
import type { LatestValues } from '../latest.ts';
import type { Outlooks } from './outlooks.ts';
import type { Rhythms } from './rhythms.ts';
import type { SiteAir } from './siteAir.ts';

/** So far ahead the cold is warned of. */
const COLD_WITHIN_MS = 24 * HOUR_MS;
/** A warning is raised at the first share of the worlds, and stays until the second: what wavers about one mark is not raised twice. */
const COLD = { raise: 0.5, keep: 0.25 } as const;
const BOOKING = { raise: 0.8, keep: 0.9 } as const;
/** Material is looked at for a lay-up that is booked within this time. */
const MATERIAL_WITHIN_MS = 36 * HOUR_MS;
/** Silence is warned of before it costs anything: after this share of the gap limit … */
const SILENT_SHARE = 2 / 3;
/** … or, of a probe that speaks more seldom, so long after it should have spoken. */
const OVERDUE_MS = 60_000;
/** How far within its range material has to be again before it need not be feared for. */
const MATERIAL_MARGIN_MILLI_C = 500;
/** A booking of which nothing can be told is warned of so long before it is due. */
const UNKNOWN_WITHIN_MS = 24 * HOUR_MS;
/** A booking that has passed is warned of for so long. */
const PASSED_MS = HOUR_MS;

/** Something to be feared now. One that is not `raise` keeps a warning that is there, and makes none. */
export interface Feared {
  readonly code: WarningCode;
  /** Joint, sump or probe. */
  readonly owner: string;
  readonly raise: boolean;
  /** Whole numbers. `seq`, where it has one: the booking that it is about; another booking makes another warning. */
  readonly numbers: Readonly<Record<string, number>>;
}

export interface ForeseeParts {
  readonly site: SiteState;
  readonly outlooks: Outlooks;
  readonly air: SiteAir;
  readonly latest: Pick<LatestValues, 'of'>;
  readonly rhythms: Rhythms;
  readonly sump: (name: string) => SumpView;
  /** Whether it is curing: laid up, not through, and not to be done again. */
  readonly isCuring: (joint: string) => boolean;
  readonly nowMs: () => number;
}

/** All that is to be feared on the site, unless somebody acts. */
export function foresee(parts: ForeseeParts): Feared[] {
  return [...coldAhead(parts), ...bookings(parts), ...material(parts), ...silence(parts)];
}

/** A curing joint that is above its floor and will likely go below it. */
function* coldAhead({ site, outlooks, isCuring, nowMs }: ForeseeParts): Generator<Feared> {
  for (const joint of site.joints.values()) {
    if (!isCuring(joint.joint)) continue;
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
      numbers: {
        atMs: Math.round(quantile(within, 0.5)),
        chancePercent: Math.round(100 * share),
        floorMilliC: table.floorMilliC,
      },
    };
  }
}

/** The next booking of a sump that may not hold, that cannot hold, or of which nothing can be told although it is near. */
function* bookings({ site, sump, nowMs }: ForeseeParts): Generator<Feared> {
  for (const name of site.sumps.keys()) {
    for (const booking of inOrder(sump(name).bookings)) {
      const { seq, due, ready } = booking;
      const dueMs = Date.parse(due);
      const chance = booking.chance ?? chanceWithout(site, name, booking, nowMs());
      if (dueMs <= nowMs() - PASSED_MS) continue;
      if (chance === null ? dueMs > nowMs() + UNKNOWN_WITHIN_MS : chance >= BOOKING.keep) continue;
      yield {
        code: 'booking-at-risk',
        owner: name,
        raise: chance === null || chance < BOOKING.raise,
        numbers: {
          seq,
          dueMs,
          ...(chance === null ? {} : { chancePercent: Math.round(100 * chance) }),
          ...(ready.likely === null ? {} : { likelyMs: Date.parse(ready.likely) }),
        },
      };
      break;
    }
  }
}

function inOrder(bookings: readonly BookingView[]): BookingView[] {
  return [...bookings].sort((a, b) => Date.parse(a.due) - Date.parse(b.due));
}

/** None where a joint that is not laid up could not be through in time even if that were done now; null: it cannot be told. */
function chanceWithout(site: SiteState, sump: string, { due, ready, decidedBy }: BookingView, nowMs: number): number | null {
  if (ready.reason !== 'not-laid-up') return null;
  const missing = decidedBy === null ? [] : [site.joints.get(decidedBy)?.schedule.definition];
  const parts = site.sumps.get(sump)?.sequence.parts ?? [];
  const absent = parts.filter(
    ({ part }) => ![...site.joints.values()].some((joint) => joint.sump === sump && joint.part === part),
  );
  const schedules = [...missing, ...absent.map(({ schedule }) => scheduleNamed(site, schedule))];
  // Even the least that its schedule asks for is asked for in clock hours.
  const hours = Math.max(0, ...schedules.map((schedule) => schedule?.stages.at(-1)?.requiredHours ?? 0));
  return hours > 0 && nowMs + hours * HOUR_MS > Date.parse(due) ? 0 : null;
}

/** A booked lay-up whose material will be too cold or too warm if it is left in the truck. */
function* material({ site, air, sump, nowMs }: ForeseeParts): Generator<Feared> {
  const ahead = air.ahead(air.probe);
  if (ahead === null) return;
  const past = air.probe === null ? null : air.record(air.probe);
  for (const [name, { sequence }] of site.sumps)
    for (const { activity, due, seq } of inOrder(sump(name).bookings)) {
      const dueMs = Date.parse(due);
      const part = sequence.activities.find((each) => each.activity === activity)?.part;
      const schedule = sequence.parts.find((each) => each.part === part)?.schedule;
      const use = schedule === undefined ? undefined : scheduleNamed(site, schedule)?.use;
      if (use === undefined || dueMs < nowMs() || dueMs > nowMs() + MATERIAL_WITHIN_MS) continue;
      const range = { minMilliC: Math.round(use.minCelsius * 1000), maxMilliC: Math.round(use.maxCelsius * 1000) };
      const milliC = Math.round(storedMilliC(ahead.air, past, nowMs(), dueMs));
      const outside = Math.max(range.minMilliC - milliC, milliC - range.maxMilliC);
      if (outside <= -MATERIAL_MARGIN_MILLI_C) continue;
      const hours = conditionHours(milliC, range, (range.minMilliC + range.maxMilliC) / 2);
      yield {
        code: 'material-ahead',
        owner: name,
        raise: outside > 0,
        numbers: { seq, dueMs, milliC, ...range, ...(hours === null ? {} : { warmMinutes: Math.ceil(hours * 60) }) },
      };
      break;
    }
}

/** A probe of a curing joint that has stopped, before its silence costs anything. */
function* silence({ site, latest, rhythms, isCuring, nowMs }: ForeseeParts): Generator<Feared> {
  const shortest = new Map<string, number>();
  for (const joint of site.joints.values()) {
    const assigned = joint.assignments.at(-1);
    if (assigned === undefined || !isCuring(joint.joint)) continue;
    const { gapLimitMinutes, law } = joint.schedule.definition;
    const gapLimitMs = Math.round(gapLimitMinutes * 60_000);
    for (const probe of [...assigned.probes, ...(law.kind === 'moisture' && assigned.ambient !== null ? [assigned.ambient] : [])])
      shortest.set(probe, Math.min(gapLimitMs, shortest.get(probe) ?? Number.POSITIVE_INFINITY));
  }
  const { temperature } = latest.of([...shortest.keys()]);
  for (const [probe, gapLimitMs] of shortest) {
    const newest = temperature.get(probe);
    if (newest === undefined) continue;
    const usualMs = rhythms.usualMs(probe, newest.atMs);
    const patienceMs =
      usualMs === null ? gapLimitMs : Math.min(gapLimitMs, Math.max(SILENT_SHARE * gapLimitMs, usualMs + OVERDUE_MS));
    const isKnown = usualMs !== null || rhythms.watchedMs(probe) >= gapLimitMs;
    if (!isKnown || nowMs() - newest.atMs <= patienceMs) continue;
    yield { code: 'reading-stopped', owner: probe, raise: true, numbers: { lastMs: newest.atMs, gapLimitMs } };
  }
}
