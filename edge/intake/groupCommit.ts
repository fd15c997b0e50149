import type { Delivery, TakenReading } from '../ledger/ledger.ts';

type Done = (fault?: Error) => void;

/** A batch is committed this long after its first message … */
const WAIT_MS = 15;
/** … or as soon as it holds this many. */
const BATCH_MOST = 4_000;

/**
 * Gathers messages for a moment and commits them together, so that one sync of the disk serves many. A message's `done` is
 * called after the commit that holds it, in the order the messages came. After a storage fault nothing is acknowledged any more:
 * every `done` gets the fault, for good.
 */
export class GroupCommit {
  readonly #commit: (deliveries: readonly Delivery[]) => TakenReading[];
  readonly #onTaken: (readings: readonly TakenReading[], deliveries: readonly Delivery[]) => void;
  readonly #onFault: (fault: Error) => void;
  #waiting: { delivery: Delivery; done: Done }[] = [];
  #timer: NodeJS.Timeout | null = null;
  #fault: Error | null = null;

  constructor(options: {
    commit: (deliveries: readonly Delivery[]) => TakenReading[];
    onTaken: (readings: readonly TakenReading[], deliveries: readonly Delivery[]) => void;
    onFault: (fault: Error) => void;
  }) {
    this.#commit = options.commit;
    this.#onTaken = options.onTaken;
    this.#onFault = options.onFault;
  }

  add(delivery: Delivery, done: Done): void {
    if (this.#fault !== null) return done(this.#fault);
    this.#waiting.push({ delivery, done });
    if (this.#waiting.length >= BATCH_MOST) this.flush();
    else this.#timer ??= setTimeout(() => this.flush(), WAIT_MS);
  }

  /** Commits what is waiting, now. */
  flush(): void {
    if (this.#timer !== null) clearTimeout(this.#timer);
    this.#timer = null;
    const batch = this.#waiting;
    if (batch.length === 0) return;
    this.#waiting = [];
    const deliveries = batch.map(({ delivery }) => delivery);
    let taken: TakenReading[];
    try {
      taken = this.#commit(deliveries);
    } catch (caught) {
      const fault = caught instanceof Error ? caught : new Error(String(caught));
      this.#fault = fault;
      for (const { done } of batch) done(fault);
      this.#onFault(fault);
      return;
    }
    for (const { done } of batch) done();
    this.#onTaken(taken, deliveries);
  }
}
