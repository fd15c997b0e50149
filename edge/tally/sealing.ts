import type { Clock } from '../clock/clock.ts';
import type { Episode } from '../cure/inspect/episode.ts';
import { HOUR_MS } from '../cure/schedule.ts';
import { CodedError } from '../errors.ts';
import type { ReadingSource } from '../evidence/readings.ts';
import type { Sealed } from '../evidence/sealed.ts';
import type { Keeper } from '../keeper/keeper.ts';
import type { Readings } from '../ledger/readings.ts';
import type { SignedCheckpoint } from '../ledger/signedCheckpoints.ts';
import { iso } from '../site/views/iso.ts';
import type { Due, Seals } from './seals.ts';
import type { Tally } from './tally.ts';

interface SealingParts {
  readonly keeper: Keeper;
  readonly clock: Clock;
  readonly tally: Tally;
  readonly seals: Seals;
  readonly readings: Readings;
  readonly episodesOf: (joint: string) => readonly Episode[] | null;
  /** Does work between what people say; see `Statements`. */
  readonly inTurn: <T>(work: () => Promise<T>) => Promise<T>;
  /** Puts a seal on record. */
  readonly append: (sealed: Sealed) => Promise<void>;
}

/** Seals readings and joints, and has the ledger signed for. One pass at a time. */
export class Sealing {
  readonly #parts: SealingParts;
  #last: Promise<unknown> = Promise.resolve();
  /** The hour that was signed for last. */
  #signedHour = Number.NEGATIVE_INFINITY;
  #isAtJoint = false;

  constructor(parts: SealingParts) {
    this.#parts = parts;
  }

  /** Keeps the folds, seals every hour that ended `graceMs` ago or earlier, and signs once an hour. The number of blocks made. */
  hourly(graceMs: number): Promise<number> {
    return this.#pass(async () => {
      if (!this.#parts.clock.trusted) return 0;
      const nowMs = this.#nowMs();
      const blocks = await this.#sealReadings(Math.floor((nowMs - graceMs) / HOUR_MS) * HOUR_MS);
      const hour = Math.floor(nowMs / HOUR_MS);
      if (hour !== this.#signedHour) await this.#parts.keeper.checkpoint(nowMs);
      this.#signedHour = hour;
      return blocks;
    });
  }

  /**
   * Seals all readings up to now, then each of `joints` of which there is something new to say, by what is in leaves alone, and
   * signs for all of it. @throws CodedError `clock-not-set`.
   */
  asked(joints: readonly string[]): Promise<SignedCheckpoint> {
    return this.#pass(async () => {
      const { clock, inTurn, keeper, readings } = this.#parts;
      if (!clock.trusted)
        throw new CodedError('clock-not-set', `it is ${iso(this.#nowMs())} here; set the clock of this machine, then ask again`);
      await this.#sealReadings(this.#nowMs() + 1);
      for (const joint of joints) await inTurn(() => this.#sealJoint({ joint, why: 'asked', stage: null }, readings.sealed));
      return keeper.checkpoint(this.#nowMs());
    });
  }

  /** Looks closer at a joint that may have to be sealed, unless another is still being looked at. */
  async joint(due: Due): Promise<void> {
    if (this.#isAtJoint) return;
    this.#isAtJoint = true;
    try {
      await this.#parts.inTurn(() => this.#sealJoint(due, this.#parts.readings));
    } finally {
      this.#isAtJoint = false;
    }
  }

  async #sealJoint(due: Due, readings: ReadingSource): Promise<void> {
    const { seals, append } = this.#parts;
    const sealed = seals.made(due, readings);
    if (sealed !== null) await append(sealed);
  }

  /** Folds are kept first: what is sealed after must be known to them. */
  async #sealReadings(untilMs: number): Promise<number> {
    const { tally, keeper, episodesOf } = this.#parts;
    const checkpoints = tally.checkpoints(episodesOf);
    const taken = tally.folded;
    await keeper.keepCheckpoints(checkpoints);
    return keeper.seal(untilMs, taken);
  }

  #pass<T>(work: () => Promise<T>): Promise<T> {
    const done = this.#last.then(work);
    this.#last = done.catch(() => undefined);
    return done;
  }

  #nowMs(): number {
    return this.#parts.clock.now().wallMs;
  }
}
