import { z } from 'zod';
import type { Piece } from '../cure/fold.ts';
import { HOUR_MS, hoursOf } from '../cure/schedule.ts';
import { ownerOf } from '../site/findings/id.ts';
import { msOf } from '../site/said/words.ts';
import type { Joint } from '../site/state/joint.ts';
import type { SiteState } from '../site/state/site.ts';
import { iso } from '../site/views/iso.ts';
import { recordOf } from '../site/views/record.ts';
import type { LiveSite } from './liveSite.ts';
import { type Point, thin } from './thin.ts';
import { HUMIDITY, temperaturesOf } from './values.ts';

export const HistoryView = z.strictObject({
  from: z.string(),
  to: z.string(),
  timeZone: z.string(),
  schedule: z.strictObject({
    title: z.string(),
    referenceCelsius: z.number(),
    floorCelsius: z.number(),
    stages: z.array(z.strictObject({ stage: z.string(), requiredHours: z.number() })),
    source: z.string(),
  }),
  series: z.array(
    z.strictObject({
      probe: z.string(),
      label: z.string(),
      /** From a logger's file. */
      imported: z.boolean(),
      role: z.enum(['material', 'ambient']),
      /** UTC ms and °C; null marks a gap. */
      points: z.array(z.tuple([z.number(), z.number().nullable()])),
    }),
  ),
  /** Relative humidity of the joint's air, UTC ms and %RH; null marks a gap. Only for a moisture law. */
  humidity: z.array(z.strictObject({ probe: z.string(), points: z.array(z.tuple([z.number(), z.number().nullable()])) })),
  /** UTC ms and accumulated warm hours. */
  progress: z.array(z.tuple([z.number(), z.number()])),
  uncredited: z.array(z.strictObject({ from: z.number(), to: z.number(), reason: z.enum(['cold', 'unproven']) })),
  events: z.array(
    z.strictObject({
      at: z.number(),
      /** When it was put on record, which may be later; null for what the readings proved. */
      recordedAt: z.number().nullable(),
      kind: z.string(),
      text: z.string(),
      by: z.string(),
      /** Place of the entry in the ledger; null for what the readings proved. */
      seq: z.int().nullable(),
      /** Who took it back: it counts for nothing any more. */
      withdrawn: z.strictObject({ by: z.string(), at: z.number(), reason: z.string() }).nullable(),
    }),
  ),
});
export type HistoryView = z.infer<typeof HistoryView>;

/** Without a lay-up, the last day. */
const DEFAULT_SPAN_MS = 24 * HOUR_MS;

/** What a joint went through between two instants, thinned to about `points` points a line. @throws CodedError `not-found`. */
export function historyOf(
  live: LiveSite,
  name: string,
  { from, to, points: most }: { from?: string | undefined; to?: string | undefined; points: number },
): HistoryView {
  const joint = live.views.jointState(name);
  const { definition } = joint.schedule;
  const gapLimitMs = definition.gapLimitMinutes * 60_000;
  const untilMs = to === undefined ? live.nowMs : msOf(to);
  const fromMs =
    from === undefined ? (joint.laidUpMs === null ? untilMs - DEFAULT_SPAN_MS : joint.laidUpMs - HOUR_MS) : msOf(from);

  const lines = new Map<string, HistoryView['series'][number]>();
  for (const { probes, ambient } of joint.assignments)
    for (const name of [...probes, ...(ambient === null ? [] : [ambient])]) {
      const probe = live.state.probes.get(name);
      for (const source of [name, ...(probe?.imports.map((file) => file.source) ?? [])]) {
        if (lines.has(source)) continue;
        const { atMs, milliC } = temperaturesOf(live.ledger.readings, source, probe, fromMs, untilMs + 1, live.tally.counts);
        const points: Point[] = thin(atMs, milliC, gapLimitMs, most);
        if (source !== name && points.length === 0) continue;
        lines.set(source, {
          probe: source,
          label: probe?.label ?? name,
          imported: source !== name,
          role: probes.includes(name) ? 'material' : 'ambient',
          points,
        });
      }
    }

  const air = definition.law.kind === 'moisture' ? [...new Set(joint.assignments.flatMap(({ ambient }) => ambient ?? []))] : [];
  const humidity = air.map((probe) => {
    const { atMs, value } = live.ledger.readings.range(probe, HUMIDITY, fromMs, untilMs + 1, live.tally.counts);
    return { probe, points: thin(atMs, value, gapLimitMs, most) satisfies Point[] };
  });

  const pieces: Piece[] = [];
  const fold = live.tally.replay(name, (piece) => pieces.push(piece));
  const reached = fold?.state.reached ?? [];
  return {
    from: iso(fromMs),
    to: iso(untilMs),
    timeZone: live.state.timeZone,
    schedule: {
      title: definition.title,
      referenceCelsius: definition.referenceCelsius,
      floorCelsius: definition.floorCelsius,
      stages: definition.stages,
      source: definition.source,
    },
    series: [...lines.values()],
    humidity,
    progress: progressOf(pieces, joint.laidUpMs, fromMs, untilMs, most),
    uncredited: uncreditedOf(pieces, fold?.state.frontierMs ?? null, gapLimitMs, fromMs, untilMs),
    events: [
      ...joint.events.map(({ seq, atMs, recordedMs, kind, text, by, withdrawn }) => ({
        at: atMs,
        recordedAt: recordedMs,
        kind,
        text,
        by: by.name,
        seq,
        withdrawn: withdrawn && { by: withdrawn.by.name, at: withdrawn.atMs, reason: withdrawn.reason },
      })),
      ...aroundIt(live.state, joint),
      ...reached.map(({ stage, reachedAtMs, provenBy }) => ({
        at: reachedAtMs,
        recordedAt: null,
        kind: 'stage',
        text: stage,
        by: provenBy.probe,
        seq: null,
        withdrawn: null,
      })),
    ].sort((a, b) => a.at - b.at),
  };
}

const AROUND: Readonly<Record<string, string>> = {
  'finding.decided': 'decided',
  'rain.noted': 'rain',
  'rain.ended': 'rainOver',
  'heating.changed': 'heating',
};

/** Decisions on the joint, and rain and heat on its sump, which nobody said of the joint itself. */
function aroundIt(site: SiteState, { joint, sump }: Joint): HistoryView['events'] {
  const lines = recordOf(site, (entry) =>
    entry.kind === 'finding.decided'
      ? ownerOf(entry.finding) === joint
      : (entry.kind === 'rain.noted' || entry.kind === 'rain.ended') && (entry.sump ?? sump) === sump,
  );
  const ofSump = site.sumps.get(sump);
  // What was said of the whole sump's heat was said of this joint's too.
  const heat = ofSump === undefined ? [] : recordOf(ofSump, (entry) => entry.kind === 'heating.changed');
  return [...lines, ...heat].map(({ seq, kind, at, recordedAt, by, text, withdrawn }) => ({
    at: msOf(at),
    recordedAt: msOf(recordedAt),
    kind: AROUND[kind] ?? kind,
    text,
    by,
    seq,
    withdrawn: withdrawn && { by: withdrawn.by, at: msOf(withdrawn.at), reason: withdrawn.reason },
  }));
}

/** Warm hours at the ends of pieces, the last of each stretch of time kept. */
function progressOf(
  pieces: readonly Piece[],
  startMs: number | null,
  fromMs: number,
  untilMs: number,
  points: number,
): [number, number][] {
  if (startMs === null) return [];
  const stretchMs = (untilMs - Math.max(fromMs, startMs)) / Math.max(1, points);
  const line: [number, number][] = [];
  let creditPpmMs = 0;
  const put = (atMs: number) => {
    if (atMs < fromMs || atMs > untilMs) return;
    const point: [number, number] = [atMs, hoursOf(creditPpmMs)];
    const before = line.at(-2);
    // A point that falls into the same stretch as the one before replaces it: the line keeps its true end.
    if (before !== undefined && pieces.length > points && atMs - before[0] < stretchMs) line[line.length - 1] = point;
    else line.push(point);
  };
  put(startMs);
  for (const { fromMs: pieceFromMs, toMs, ratePpm } of pieces) {
    creditPpmMs += ratePpm * (toMs - pieceFromMs);
    put(toMs);
  }
  return line;
}

function uncreditedOf(
  pieces: readonly Piece[],
  frontierMs: number | null,
  gapLimitMs: number,
  fromMs: number,
  untilMs: number,
): HistoryView['uncredited'] {
  const spans: HistoryView['uncredited'] = [];
  const add = (from: number, to: number, reason: 'cold' | 'unproven') => {
    const last = spans.at(-1);
    if (last !== undefined && last.reason === reason && last.to === from) last.to = to;
    else spans.push({ from, to, reason });
  };
  for (const { fromMs: from, toMs: to, uncredited } of pieces) if (uncredited !== null) add(from, to, uncredited);
  // Silence beyond the gap limit will earn nothing, whatever comes.
  if (frontierMs !== null && untilMs - frontierMs > gapLimitMs) add(frontierMs, untilMs, 'unproven');
  return spans
    .filter(({ from, to }) => to > fromMs && from < untilMs)
    .map((span) => ({ ...span, from: Math.max(span.from, fromMs), to: Math.min(span.to, untilMs) }));
}
