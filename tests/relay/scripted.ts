import type { Block } from '../../edge/evidence/block.ts';
import type { NumberedBlock } from '../../edge/ledger/ledgerView.ts';
import type { Engine } from '../../edge/relay/engine.ts';
import type { MirrorParts } from '../../edge/relay/mirror.ts';
import type { Point } from '../../edge/relay/points.ts';
import { MINUTE_MS, reading, START_MS } from '../support/readings.ts';

/** A temperature block of `count` readings that starts `minute` minutes after the start. */
export function blockOf(probe: string, minute: number, count: number): Block {
  const readings = Array.from({ length: count }, (_, index) => {
    const { probe: _probe, quantity: _quantity, ...stored } = reading(START_MS + minute * MINUTE_MS + index, 1000 + index);
    return stored;
  });
  return { probe, quantity: 0, readings };
}

/** Blocks and cursors in memory, with the ledger's own rules. */
export class ScriptedLedger {
  readonly blocks: NumberedBlock[] = [];
  readonly cursors = new Map<string, number>();
  /** What `keepCursor` fails with. */
  fault: Error | null = null;

  /** Leaves between them hold other things, as in a ledger. */
  add(...blocks: Block[]): void {
    for (const block of blocks) this.blocks.push({ seq: (this.blocks.at(-1)?.seq ?? 0) + 3, block });
  }

  cursor(name: string): number {
    return this.cursors.get(name) ?? 0;
  }

  blocksAfter(seq: number, readingsMost: number): NumberedBlock[] {
    const found: NumberedBlock[] = [];
    let readings = 0;
    for (const numbered of this.blocks.filter((other) => other.seq > seq)) {
      if (readings >= readingsMost) break;
      found.push(numbered);
      readings += numbered.block.readings.length;
    }
    return found;
  }

  async keepCursor(name: string, seq: number): Promise<void> {
    if (this.fault !== null) throw this.fault;
    this.cursors.set(name, seq);
  }
}

/** An engine that does what the test tells it, one writing at a time. */
export class ScriptedEngine implements Engine {
  readonly name = 'engine';
  /** Everything it ever took, in order. */
  readonly taken: Point[] = [];
  /** Sizes of the batches that it was offered. */
  readonly offered: number[] = [];
  /** What the next writings fail with; null: one that works. When it is empty all work. */
  readonly script: (Error | null)[] = [];
  /** A writing hangs while this is set. */
  hang: PromiseWithResolvers<void> | null = null;
  #busy = false;

  async write(points: readonly Point[]): Promise<void> {
    if (this.#busy) throw new Error('it is still at the batch before');
    this.#busy = true;
    try {
      this.offered.push(points.length);
      await this.hang?.promise;
      const fault = this.script.shift() ?? null;
      if (fault !== null) throw fault;
      this.taken.push(...points);
    } finally {
      this.#busy = false;
    }
  }

  close(): void {
    this.hang?.reject(new Error('given up'));
  }
}

/** What a mirror needs, all of it in the hands of the test. */
export function partsOf(
  ledger: ScriptedLedger,
  engine: Engine,
  rest: Pick<MirrorParts, 'sleep' | 'log'> & Partial<MirrorParts>,
): MirrorParts {
  return {
    site: 'yard',
    ledger,
    keepCursor: (name, seq) => ledger.keepCursor(name, seq),
    engine,
    chance: () => 0.5,
    ...rest,
  };
}
