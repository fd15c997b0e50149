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
 * may be on at once. What is said of the sump stands beside what is said of the joint, which goes before it: a heater of the joint's
 * own stays when one for the whole sump comes and goes. Whatever is taken off the joint is off it, whoever put it on.
 */
export function heatingOf(site: SiteState, { heating, sump }: Pick<Joint, 'heating' | 'sump'>): HeatingSpan[] {
  const ofSump = site.sumps.get(sump)?.heating ?? [];
  const changes = [
    ...heating.map((change) => ({ change, sump: false })),
    ...ofSump.map((change) => ({ change, sump: true })),
  ].sort((a, b) => a.change.atMs - b.change.atMs || a.change.seq - b.change.seq);
  return (['heater', 'cover'] as const)
    .flatMap((what) => spansOf(changes.filter(({ change }) => change.what === what)))
    .sort((a, b) => a.fromMs - b.fromMs || a.seq - b.seq);
}

/** What was on at an instant. */
export function heatingAt(spans: readonly HeatingSpan[], atMs: number): HeatingSpan[] {
  return spans.filter(({ fromMs, untilMs }) => fromMs <= atMs && (untilMs === null || untilMs > atMs));
}

interface Change {
  readonly change: HeatingChange;
  /** Said of the whole sump. */
  readonly sump: boolean;
}

/** Of one kind of heat, in order of time. */
function spansOf(changes: readonly Change[]): HeatingSpan[] {
  let own: Change | null = null;
  let common: Change | null = null;
  /** What is on from each change to the next. */
  const turns = changes.map((each) => {
    const on = each.change.on ? each : null;
    if (each.sump) common = on;
    else {
      own = on;
      if (on === null) common = null;
    }
    return { fromMs: each.change.atMs, present: own ?? common };
  });
  return turns.flatMap(({ fromMs, present }, index): HeatingSpan[] => {
    const before = turns[index - 1];
    if (present === null || present.change === before?.present?.change) return [];
    const untilMs = turns.slice(index).find((turn) => turn.present?.change !== present.change)?.fromMs ?? null;
    if (untilMs === fromMs) return [];
    const { seq, what, holdMilliC, by } = present.change;
    return [{ seq, fromMs, untilMs, what, holdMilliC, by, sump: present.sump }];
  });
}
