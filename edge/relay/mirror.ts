import type { LedgerView } from '../ledger/ledgerView.ts';
import { longWaitMs, waitMs } from './backOff.ts';
import { type Engine, EngineRefusal } from './engine.ts';
import { pointsOf } from './points.ts';

/** What the mirror needs of the ledger and of the machine; handed in, so that tests need neither disk nor time. */
export interface MirrorParts {
  readonly site: string;
  readonly ledger: Pick<LedgerView, 'blocksAfter' | 'cursor'>;
  /** Resolves when the cursor is on the disk. */
  readonly keepCursor: (name: string, seq: number) => Promise<void>;
  readonly engine: Engine;
  /** Resolves after `ms`, or at once when the signal aborts. */
  readonly sleep: (ms: number, signal: AbortSignal) => Promise<void>;
  /** From 0 up to 1. */
  readonly chance: () => number;
  readonly log: (line: string) => void;
}

/**
 * Sent at a time, and all that is held in memory; the last block of a batch may go a little beyond. So few that readings on
 * their way in wait for milliseconds only.
 */
const READINGS_AT_ONCE = 2_000;
/** It is woken when there are new blocks; this is for the day when nobody did. */
const IDLE_MS = 10 * 60_000;
const TOLD_MOST = 300;

/**
 * Sends every sealed reading to a time-series engine, in ledger order: what has been measured this hour follows once the hour is
 * sealed. Only when the engine has taken a batch is the cursor kept, so that a crash or an outage sends some points twice and
 * none never. What the engine does not take stays first in line. Nothing else ever waits for it.
 */
export class Mirror {
  readonly #parts: MirrorParts;
  readonly #cursor: string;
  readonly #stopping = new AbortController();
  #running: Promise<void> = Promise.resolve();
  #nap = new AbortController();
  #seq: number;
  #failures = 0;
  #told: string | null = null;

  /** Goes on where the last run left off. */
  static start(parts: MirrorParts): Mirror {
    const mirror = new Mirror(parts);
    mirror.#running = mirror.#run();
    return mirror;
  }

  private constructor(parts: MirrorParts) {
    this.#parts = parts;
    this.#cursor = `mirror ${parts.engine.name}`;
    this.#seq = parts.ledger.cursor(this.#cursor);
  }

  /** There may be new blocks. A wait after a failure is not cut short. */
  wake(): void {
    this.#nap.abort();
  }

  /** Gives up what is under way; it is sent again at the next start. */
  async stop(): Promise<void> {
    this.#stopping.abort();
    this.#parts.engine.close();
    await this.#running;
  }

  async #run(): Promise<void> {
    while (!this.#stopping.signal.aborted) {
      // Made before the pass, so that no call during it is lost.
      this.#nap = new AbortController();
      const idleMs = await this.#pass();
      const wakers = this.#failures > 0 ? [this.#stopping.signal] : [this.#stopping.signal, this.#nap.signal];
      await this.#parts.sleep(idleMs, AbortSignal.any(wakers));
    }
  }

  /** Sends all there is. Returns how long to wait then, ms. */
  async #pass(): Promise<number> {
    const { site, ledger, engine, keepCursor } = this.#parts;
    try {
      while (!this.#stopping.signal.aborted) {
        const blocks = ledger.blocksAfter(this.#seq, READINGS_AT_ONCE);
        const last = blocks.at(-1);
        if (last === undefined) break;
        await engine.write(blocks.flatMap(({ block }) => pointsOf(site, block)));
        await keepCursor(this.#cursor, last.seq);
        this.#seq = last.seq;
        this.#worked();
      }
      return IDLE_MS;
    } catch (fault) {
      return this.#failed(fault as Error);
    }
  }

  #worked(): void {
    if (this.#told !== null) this.#parts.log(`MIRROR: ${this.#parts.engine.name} takes readings again`);
    this.#told = null;
    this.#failures = 0;
  }

  /** Returns how long to wait, ms. An outage is told once, and so is every other thing that a refusal says. */
  #failed(fault: Error): number {
    if (this.#stopping.signal.aborted) return 0;
    this.#failures++;
    const { engine, chance, log } = this.#parts;
    const refused = fault instanceof EngineRefusal;
    const why = fault.message.replace(/\s+/g, ' ').slice(0, TOLD_MOST);
    const kind = refused ? why : 'outage';
    if (this.#told !== kind)
      log(
        `MIRROR: ${engine.name} ${refused ? 'refuses' : 'gets no'} readings (${why}); they stay in the ledger until it takes them`,
      );
    this.#told = kind;
    return refused ? longWaitMs(chance()) : waitMs(this.#failures, chance());
  }
}
