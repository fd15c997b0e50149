import type { LaneReadings } from '../cure/fold.ts';
import { countedOf, type Feed } from '../site/feed.ts';
import type { Stamp } from '../site/mistimed.ts';
import { QUANTITIES } from '../site/quantity.ts';
import type { Block, StoredReading } from './block.ts';

/** Readings of one source and quantity in time order, as columns. */
export interface ReadingColumns {
  readonly atMs: Float64Array;
  /** As stored: whole parts of the unit. */
  readonly value: Int32Array;
}

/** Where readings are looked up: the ledger, or the blocks of a bundle. */
export interface ReadingSource {
  /** Readings with `fromMs` ≤ instant < `untilMs` whose stamp counts; `quantity` is an index into `QUANTITIES`. */
  range(source: string, quantity: number, fromMs: number, untilMs: number, counts?: (stamp: Stamp) => boolean): ReadingColumns;
}

/** The readings of some blocks. */
export class EnclosedReadings implements ReadingSource {
  readonly #bySeries = new Map<string, StoredReading[]>();

  constructor(blocks: Iterable<Block>) {
    for (const { probe, quantity, readings } of blocks) {
      const key = keyOf(probe, quantity);
      const series = this.#bySeries.get(key);
      if (series === undefined) this.#bySeries.set(key, [...readings]);
      else for (const reading of readings) series.push(reading);
    }
    for (const series of this.#bySeries.values()) series.sort((a, b) => a.atMs - b.atMs);
  }

  range(
    source: string,
    quantity: number,
    fromMs: number,
    untilMs: number,
    counts: (stamp: Stamp) => boolean = () => true,
  ): ReadingColumns {
    const found = (this.#bySeries.get(keyOf(source, quantity)) ?? []).filter(
      (reading) => reading.atMs >= fromMs && reading.atMs < untilMs && counts(reading),
    );
    return { atMs: Float64Array.from(found, ({ atMs }) => atMs), value: Int32Array.from(found, ({ value }) => value) };
  }
}

/** No name of a source has a line feed. */
function keyOf(source: string, quantity: number): string {
  return `${source}\n${quantity}`;
}

/** A source's readings with `fromMs` ≤ instant < `untilMs` as a lane with this feed counts them. */
export function laneReadings(
  readings: ReadingSource,
  source: string,
  feed: Feed,
  fromMs: number,
  untilMs: number,
  counts: (stamp: Stamp) => boolean,
): LaneReadings {
  const stored = readings.range(source, QUANTITIES.indexOf(feed.quantity), fromMs, untilMs, counts);
  const atMs: number[] = [];
  const milliC: number[] = [];
  stored.value.forEach((each, row) => {
    const value = countedOf(feed, each);
    if (value === null) return;
    atMs.push(stored.atMs[row] as number);
    milliC.push(value);
  });
  return { atMs, milliC };
}
