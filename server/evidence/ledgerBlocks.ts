import { setImmediate as others } from 'node:timers/promises';
import { type Block, decodeBlock } from '../../edge/evidence/block.ts';
import type { ReadingColumns, ReadingSource } from '../../edge/evidence/readings.ts';
import type { LedgerView } from '../../edge/ledger/ledgerView.ts';
import { probeOfSource } from '../../edge/site/sources.ts';

/** Leaves looked at before others on this thread have their turn. */
const LEAVES_AT_ONCE = 500;

/** Where a block of readings stands in the ledger, and what is in it. */
export interface BlockPlace {
  readonly seq: number;
  readonly source: string;
  readonly quantity: number;
  readonly firstMs: number;
  readonly lastMs: number;
  readonly readings: number;
}

interface Wanted {
  readonly probes: ReadonlySet<string>;
  /** Blocks that end before it are left out, UTC ms. */
  readonly fromMs: number;
  /** Places of leaves: after this one, up to and with that one. */
  readonly after: number;
  readonly size: number;
}

/** The blocks of some probes and of their imported files, in ledger order. */
export async function blocksOf(ledger: LedgerView, { probes, fromMs, after, size }: Wanted): Promise<BlockPlace[]> {
  const places: BlockPlace[] = [];
  for (let seen = after; seen < size; await others()) {
    let count = 0;
    for (const { seq, kind, body } of ledger.leaves(seen)) {
      if (seq > size || count === LEAVES_AT_ONCE) break;
      seen = seq;
      count++;
      if (kind !== 'block') continue;
      const { probe: source, quantity, readings } = decodeBlock(body);
      const firstMs = readings[0]?.atMs ?? 0;
      const lastMs = readings.at(-1)?.atMs ?? 0;
      if (!probes.has(probeOfSource(source)) || lastMs < fromMs) continue;
      places.push({ seq, source, quantity, firstMs, lastMs, readings: readings.length });
    }
  }
  return places;
}

/** The bytes of the leaf at this place. @throws Error where the ledger has none. */
export function leafAt(ledger: LedgerView, seq: number): Uint8Array {
  for (const leaf of ledger.leaves(seq - 1))
    if (leaf.seq === seq) return leaf.body;
    else break;
  throw new Error(`the ledger has no leaf ${seq}`);
}

/** The readings of some blocks of the ledger. They are read anew each time, so that none stay in memory. */
export class BlockReadings implements ReadingSource {
  readonly #ledger: LedgerView;
  readonly #places: readonly BlockPlace[];

  constructor(ledger: LedgerView, places: readonly BlockPlace[]) {
    this.#ledger = ledger;
    this.#places = places;
  }

  range(...[source, quantity, fromMs, untilMs, counts = () => true]: Parameters<ReadingSource['range']>): ReadingColumns {
    const rows: { readonly atMs: number; readonly value: number }[] = [];
    for (const place of this.#places) {
      if (place.source !== source || place.quantity !== quantity || place.lastMs < fromMs || place.firstMs >= untilMs) continue;
      for (const reading of this.block(place).readings)
        if (reading.atMs >= fromMs && reading.atMs < untilMs && counts(reading))
          rows.push({ atMs: reading.atMs, value: reading.value });
    }
    rows.sort((a, b) => a.atMs - b.atMs);
    return { atMs: Float64Array.from(rows, ({ atMs }) => atMs), value: Int32Array.from(rows, ({ value }) => value) };
  }

  block({ seq }: BlockPlace): Block {
    return decodeBlock(leafAt(this.#ledger, seq));
  }
}
