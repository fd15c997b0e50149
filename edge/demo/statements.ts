import { DateTime } from 'luxon';
import type { z } from 'zod';
import type { Statement } from '../site/entries.ts';
import type { FindingView } from '../site/views/finding.ts';
import { forecastOf } from './forecast.ts';
import {
  type BookingLine,
  type DecisionLine,
  type ForecastLine,
  findingOf,
  type JointLine,
  type LayUpLine,
  type ProbeLine,
  type Story,
  type StoryLine,
} from './lines.ts';
import { ines, type Person, rosa } from './people.ts';
import { AIRS, LOTS, SITE, SITE_TOLD, STORIES, WEATHER_SEED } from './scenario.ts';
import { weather } from './weather.ts';

const HOUR_MS = 3_600_000;

/** The site asks back when work is dated longer than two days before its sump was put on record; a little less is near enough. */
const ASKED_BACK_HOURS = 47.9;

/** Picks how wrong the forecast is. */
const FORECAST_SEED = 7;

type Said = z.input<typeof Statement>;

/** A decision on a finding, whose id only the site knows. */
export interface Deciding extends Pick<DecisionLine, 'decide'> {
  readonly at: string;
}

export interface Told {
  readonly by: Person;
  readonly said: Said | Deciding;
}

/** What is said of a decision to a site that shows `findings` on its joint. Throws an Error as `findingOf` does. */
export function decisionSaid(deciding: Deciding, findings: readonly FindingView[]): Said {
  const { decision, reason } = deciding.decide;
  return { kind: 'finding.decided', finding: findingOf(deciding, findings), decision, reason, at: deciding.at };
}

export function msAgo(nowMs: number, hoursAgo: number): number {
  return Math.round(nowMs - hoursAgo * HOUR_MS);
}

/** What has to be there before the probes deliver: the site, its probes, materials, sumps and joints. */
export function setUpAt(nowMs: number): Told[] {
  const by = (person: Person, said: Said[]): Told[] => said.map((each) => ({ by: person, said: each }));
  const probes = STORIES.flatMap(({ joints }) => joints.flatMap((joint) => joint.probes));
  const levels = STORIES.flatMap(({ level }) => level ?? []);
  return [
    ...by(ines, [{ kind: 'site.described', ...SITE }]),
    ...by(rosa, [
      ...AIRS.map(({ probe, label }): Said => ({ kind: 'probe.registered', probe, role: 'ambient', label })),
      ...probes.map(({ probe, label }): Said => ({ kind: 'probe.registered', probe, role: 'material', label })),
      ...LOTS.map((lot): Said => ({ kind: 'lot.added', ...lot })),
      ...STORIES.map(({ sump }): Said => ({ kind: 'sump.added', ...sump })),
      ...STORIES.flatMap((story) => story.joints.map((joint) => added(joint, story))),
    ]),
    ...by(ines, [
      // They are better than a level probe is believed to be, which crew may not say.
      ...levels.map(
        ({ probe, label, uncertaintyMillimetres }): Said => ({
          kind: 'probe.registered',
          probe,
          role: 'level',
          label,
          levelUncertaintyMillimetres: uncertaintyMillimetres,
        }),
      ),
      ...probes.flatMap((probe) => calibration(probe, nowMs)),
    ]),
  ];
}

/** What was done and said since, in the order in which it happened. */
export function workAt(nowMs: number): Told[] {
  const lines = [
    ...SITE_TOLD.map((line) => ({ hoursAgo: line.hoursAgo, by: line.by, said: saidIn(line, nowMs) })),
    ...STORIES.flatMap(({ joints, told }) => [
      ...joints.flatMap(({ joint, layUp }) => (layUp === null ? [] : laidUp(joint, layUp, nowMs))),
      ...joints.flatMap((line) => heated(line, nowMs)),
      ...told.map((line) => ({ hoursAgo: line.hoursAgo, by: line.by, said: saidIn(line, nowMs) })),
    ]),
  ];
  return lines
    .sort((a, b) => b.hoursAgo - a.hoursAgo)
    .map(({ hoursAgo, by, said }) => ({
      by,
      said: 'at' in said && hoursAgo > ASKED_BACK_HOURS ? { ...said, confirmed: ['before-sump'] } : said,
    }));
}

function added({ joint, label, schedule, part, probes }: JointLine, { sump, air }: Story): Said {
  return {
    kind: 'joint.added',
    joint,
    sump: sump.sump,
    label,
    schedule,
    ...(part === undefined ? {} : { part }),
    probes: probes.map(({ probe }) => probe),
    ambient: air,
  };
}

/** The comparison found the probe to read right, so that it changes its uncertainty alone. */
function calibration({ probe, calibrated }: ProbeLine, nowMs: number): Said[] {
  if (calibrated === undefined) return [];
  const { daysAgo, forDays } = calibrated;
  const at = instant(nowMs, daysAgo * 24);
  const exact = (celsius: number) => ({ referenceCelsius: celsius, indicatedCelsius: celsius });
  return [
    {
      kind: 'calibration.recorded',
      probe,
      at,
      dueAt: instant(nowMs, (daysAgo - forDays) * 24),
      calibration: {
        points: [exact(0), exact(25)],
        referenceUncertaintyCelsius: 0.1,
        reference: 'Ice bath, and the shop’s reference thermometer in warm water',
        on: DateTime.fromISO(at, { zone: SITE.timeZone }).toISODate() ?? '',
        by: ines.name,
      },
    },
  ];
}

function laidUp(joint: string, layUp: LayUpLine, nowMs: number) {
  const { by, hoursAgo, note, celsius, prep, mix } = layUp;
  const { minutesBefore: prepMinutes, ...measured } = prep;
  const { minutesBefore: mixMinutes, ...mixed } = mix;
  const line = (minutesBefore: number, say: (at: string) => Said) => {
    const ago = hoursAgo + minutesBefore / 60;
    return { hoursAgo: ago, by, said: say(instant(nowMs, ago)) };
  };
  return [
    line(prepMinutes, (at) => ({ kind: 'prep.signed', joint, at, sanded: true, wiped: true, dry: true, ...measured })),
    line(mixMinutes, (at) => ({ kind: 'mix.recorded', joint, at, resinCelsius: celsius, ...mixed })),
    line(0, (at) => ({ kind: 'joint.laidUp', joint, at, note })),
  ];
}

/** Whoever lays it up has the heater put on, or had. */
function heated({ joint, layUp, heat: { heater } }: JointLine, nowMs: number) {
  if (heater === undefined) return [];
  const { hoursAgo, holdCelsius } = heater;
  const at = instant(nowMs, hoursAgo);
  const said: Said = { kind: 'heating.changed', joint, what: 'heater', on: true, holdCelsius, at };
  return [{ hoursAgo, by: layUp?.by ?? rosa, said }];
}

function saidIn(line: StoryLine, nowMs: number): Said | Deciding {
  if ('book' in line) return booked(line, nowMs);
  if ('forecast' in line) return forecastIn(line, nowMs);
  if ('decide' in line) return { decide: line.decide, at: instant(nowMs, line.hoursAgo) };
  if ('say' in line) return { ...line.say, at: instant(nowMs, line.hoursAgo) } as Said;
  return {
    kind: 'hydrotest.recorded',
    ...line.waterTest,
    filledAt: instant(nowMs, line.filledHoursAgo),
    startedAt: instant(nowMs, line.startedHoursAgo),
    endedAt: instant(nowMs, line.endedHoursAgo),
  };
}

function booked({ book, dueHoursAhead }: BookingLine, nowMs: number): Said {
  const due = DateTime.fromMillis(msAgo(nowMs, -dueHoursAhead), { zone: SITE.timeZone }).startOf('hour').toUTC().toISO() ?? '';
  return { kind: 'booking.made', ...book, due };
}

function forecastIn({ forecast: { source, hoursAhead }, hoursAgo }: ForecastLine, nowMs: number): Said {
  const hours = forecastOf({
    air: weather({ nowMs, seed: WEATHER_SEED, timeZone: SITE.timeZone }),
    issuedMs: DateTime.fromMillis(msAgo(nowMs, hoursAgo), { zone: SITE.timeZone }).startOf('hour').toMillis(),
    untilMs: msAgo(nowMs, -hoursAhead),
    seed: FORECAST_SEED,
  });
  return {
    kind: 'forecast.given',
    source,
    hours: hours.map(({ atMs, celsius }) => ({ at: new Date(atMs).toISOString(), celsius })),
  };
}

function instant(nowMs: number, hoursAgo: number): string {
  return new Date(msAgo(nowMs, hoursAgo)).toISOString();
}
