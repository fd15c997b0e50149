import type { By, Entry } from '../entries.ts';
import type { Joint } from './joint.ts';
import type { SiteState, Told } from './site.ts';

type HeatingChanged = Extract<Entry, { kind: 'heating.changed' }>;

/** Heat was put on or taken off. */
export interface HeatingChange extends Told {
  readonly what: HeatingChanged['what'];
  readonly on: boolean;
  /** What its thermostat is set to; null: it has none, or nobody said. */
  readonly holdMilliC: number | null;
}

/** What was on a joint from when to when. */
export interface HeatingSpan {
  /** Place in the ledger of the entry that says it was put on. */
  readonly seq: number;
  readonly fromMs: number;
  /** Null: it is still on. */
  readonly untilMs: number | null;
  readonly what: HeatingChanged['what'];
  readonly holdMilliC: number | null;
  readonly by: By;
  /** It was said of the whole sump. */
  readonly sump: boolean;
}

export function heatingChange(entry: HeatingChanged, told: Told): HeatingChange {
  const { what, on, holdCelsius } = entry;
  return { ...told, what, on, holdMilliC: holdCelsius === undefined ? null : Math.round(holdCelsius * 1000) };
}

/**
 * What was on a joint, in order of time, from what was said of it and of its whole sump and was not taken back. A heater and a cover
 * may be on at once; of each the newest word counts, so that whatever was said of a joint alone ends with what is said of the sump
 * afterwards, and the other way round.
 */
export function heatingOf(site: SiteState, { heating, sump }: Pick<Joint, 'heating' | 'sump'>): HeatingSpan[] {
  const ofSump = site.sumps.get(sump)?.heating ?? [];
  return spansOf([
    ...heating.map((change) => ({ change, sump: false })),
    ...ofSump.map((change) => ({ change, sump: true })),
  ]).sort((a, b) => a.fromMs - b.fromMs || a.seq - b.seq);
}

/** What was on at an instant. */
export function heatingAt(spans: readonly HeatingSpan[], atMs: number): HeatingSpan[] {
  return spans.filter(({ fromMs, untilMs }) => fromMs <= atMs && (untilMs === null || untilMs > atMs));
}

function spansOf(changes: readonly { readonly change: HeatingChange; readonly sump: boolean }[]): HeatingSpan[] {
  const spans: HeatingSpan[] = [];
  const open = new Map<HeatingSpan['what'], Omit<HeatingSpan, 'untilMs'>>();
  const inTime = [...changes].sort((a, b) => a.change.atMs - b.change.atMs || a.change.seq - b.change.seq);
  for (const { change, sump } of inTime) {
    const { what, on, atMs, seq, holdMilliC, by } = change;
    const before = open.get(what);
    if (before !== undefined && before.fromMs < atMs) spans.push({ ...before, untilMs: atMs });
    open.delete(what);
    if (on) open.set(what, { seq, fromMs: atMs, what, holdMilliC, by, sump });
  }
  return [...spans, ...[...open.values()].map((span) => ({ ...span, untilMs: null }))];
}
