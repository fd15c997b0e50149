import { historyFromMs, type JointSpec } from '../site/cureSpec.ts';
import type { Entry, SystemStatement } from '../site/entries.ts';
import type { Stamp } from '../site/mistimed.ts';
import { QUANTITIES } from '../site/quantity.ts';
import type { Joint } from '../site/state/joint.ts';
import type { SiteState } from '../site/state/site.ts';
import { isoOrNull } from '../site/views/iso.ts';
import { sha256Hex } from './canonical.ts';
import { countsOf, hoursOfJoint } from './hours.ts';
import type { ReadingSource } from './readings.ts';

export type Sealed = Extract<SystemStatement, { kind: 'joint.sealed' }>;

/** An entry and its place in the ledger. */
export interface Placed {
  readonly seq: number;
  readonly entry: Entry;
}

/**
 * What is to be sealed of a joint as the site is now: `bearing` are all entries so far that bear on it, in order, `readings` all that
 * was measured, `nowMs` the present. Whoever has the same entries and readings comes to the same seal.
 */
export function sealedOf(
  site: SiteState,
  joint: Joint,
  bearing: Iterable<Placed>,
  readings: ReadingSource,
  nowMs: number,
): Omit<Sealed, 'why' | 'stage'> {
  const hours = hoursOfJoint(site, joint, readings, nowMs);
  return {
    kind: 'joint.sealed',
    joint: joint.joint,
    attempt: joint.attempt,
    laidUpAt: isoOrNull(joint.laidUpMs),
    provenUntil: isoOrNull(hours?.state.frontierMs ?? null),
    creditPpmMs: hours?.state.creditPpmMs ?? 0,
    rateTableSha256: joint.schedule.rateTableSha256,
    reached: (hours?.state.reached ?? []).map(({ stage, reachedAtMs }) => ({ stage, reachedAtMs })),
    lanes: hours === null ? [] : lanesSealed(hours.spec, readings, hours.state.frontierMs, countsOf(site)),
    ...entriesSealed(bearing),
  };
}

/**
 * The readings that a joint's hours up to `provenUntilMs` rest on: of each source and quantity that feeds a lane, in the order of
 * the lanes, all that count from the gap limit before the lay-up on.
 */
export function lanesSealed(
  spec: JointSpec,
  readings: ReadingSource,
  provenUntilMs: number,
  counts: (stamp: Stamp) => boolean,
): Sealed['lanes'] {
  const lanes = new Map<string, Sealed['lanes'][number]>();
  spec.feeds.forEach(({ quantity }, lane) => {
    const source = spec.lanes[lane]?.probe ?? '';
    const key = `${source}\n${quantity}`;
    if (lanes.has(key)) return;
    const { atMs, value } = readings.range(source, QUANTITIES.indexOf(quantity), historyFromMs(spec), provenUntilMs + 1, counts);
    let lines = '';
    let longestGapMs = 0;
    atMs.forEach((ms, row) => {
      lines += `${ms},${value[row]}\n`;
      if (row > 0) longestGapMs = Math.max(longestGapMs, ms - (atMs[row - 1] as number));
    });
    const [firstMs = null] = atMs;
    const sha256 = sha256Hex(lines);
    lanes.set(key, { source, quantity, readings: atMs.length, firstMs, lastMs: atMs.at(-1) ?? null, longestGapMs, sha256 });
  });
  return [...lanes.values()];
}

/** How many entries bear on a joint, which, and who said them: people only, in the order in which each first did. */
export function entriesSealed(bearing: Iterable<Placed>): Pick<Sealed, 'entries' | 'people'> {
  let lines = '';
  let count = 0;
  const people = new Set<string>();
  for (const { seq, entry } of bearing) {
    lines += `${seq}\n`;
    count++;
    if (entry.by.role !== 'system') people.add(entry.by.name);
  }
  return { entries: { count, sha256: sha256Hex(lines) }, people: [...people] };
}
