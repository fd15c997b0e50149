import type { Clock } from '../clock/clock.ts';
import { BatchBuilder, type MappedMessage, type MessageBatch, type Refusal, type SenmlKind } from '../keeper/batch.ts';
import type { KeptBatch } from '../keeper/keeper.ts';

type Done = (fault?: Error) => void;

/** A batch is committed this long after its first message: at most so many syncs a second, to spare the disk … */
const WAIT_MS = 15;
/** … or, once it holds this many, as soon as everything that has already arrived is in it. */
const BATCH_ENOUGH = 1_500;

/**
 * Gathers messages for a moment and has them committed together, so that one sync of the disk serves many. A message's `done` is
 * called after the commit that holds it, in the order the messages came. After a storage fault nothing is acknowledged any more:
 * every `done` gets the fault, for good.
 *
 * The queue is bounded by the broker: a connection is not read further until its messages are done.
 */
export class GroupCommit {
  readonly #commit: (batch: MessageBatch) => Promise<KeptBatch>;
  readonly #onKept: (kept: KeptBatch) => void;
  readonly #onFault: (fault: Error) => void;
  readonly #clock: Clock;
  #batch = new BatchBuilder();
  #dones: Done[] = [];
  #timer: NodeJS.Timeout | null = null;
  #soon: NodeJS.Immediate | null = null;
  /** While one batch is on its way to the disk the next one gathers. */
  #underway = false;
  #drained: (() => void)[] = [];
  #fault: Error | null = null;

  constructor(options: {
    commit: (batch: MessageBatch) => Promise<KeptBatch>;
    onKept: (kept: KeptBatch) => void;
    onFault: (fault: Error) => void;
    clock: Clock;
  }) {
    this.#commit = options.commit;
    this.#onKept = options.onKept;
    this.#onFault = options.onFault;
    this.#clock = options.clock;
  }

  /** A message under a probe's `senml` topic. */
  readings(kind: SenmlKind, probe: string, payload: Uint8Array, done: Done): void {
    this.#batch.add(kind, probe, payload, this.#clock.now());
    this.#wait(done);
  }

  /** A message under a topic that is mapped to one probe or more. */
  mapped(message: MappedMessage, payload: Uint8Array, done: Done): void {
    this.#batch.addMapped(message, payload, this.#clock.now());
    this.#wait(done);
  }

  /** A message that had no business under its topic; `probe` is empty where the topic names none. */
  refused(refusal: Refusal, probe: string, payload: Uint8Array, done: Done): void {
    this.#batch.addRefused(refusal, probe, payload, this.#clock.now());
    this.#wait(done);
  }

  /** A message that leaves nothing to keep: only its turn among the others matters. */
  nothing(done: Done): void {
    this.#batch.add('nothing', '', new Uint8Array(0), this.#clock.now());
    this.#wait(done);
  }

  /** From now on nothing is acknowledged: the ledger failed elsewhere. */
  halt(fault: Error): void {
    this.#fail(fault);
  }

  /** Resolves when all that has been added is committed, or has failed. */
  async drain(): Promise<void> {
    this.#flush();
    while (this.#underway || this.#dones.length > 0) await new Promise<void>((resolve) => this.#drained.push(resolve));
  }

  #wait(done: Done): void {
    if (this.#fault !== null) {
      this.#batch = new BatchBuilder();
      done(this.#fault);
      return;
    }
    this.#dones.push(done);
    if (this.#dones.length >= BATCH_ENOUGH && !this.#underway) this.#soon ??= setImmediate(() => this.#flush());
    else this.#timer ??= setTimeout(() => this.#flush(), WAIT_MS);
  }

  #flush(): void {
    if (this.#timer !== null) clearTimeout(this.#timer);
    if (this.#soon !== null) clearImmediate(this.#soon);
    this.#timer = null;
    this.#soon = null;
    if (this.#dones.length === 0 || this.#underway) return;
    const batch = this.#batch.pack(this.#clock.trusted);
    const dones = this.#dones;
    this.#batch = new BatchBuilder();
    this.#dones = [];
    this.#underway = true;
    this.#commit(batch).then(
      (kept) => {
        this.#underway = false;
        // If the ledger failed elsewhere meanwhile, nobody can tell what of this batch is on the disk: it is not acknowledged.
        for (const done of dones) done(this.#fault ?? undefined);
        this.#onKept(kept);
        this.#next();
      },
      (fault: Error) => {
        this.#underway = false;
        for (const done of dones) done(fault);
        this.#fail(fault);
        this.#next();
      },
    );
  }

  /** What has gathered while the disk was busy goes at once. */
  #next(): void {
    if (this.#dones.length > 0) this.#flush();
    for (const resolve of this.#drained.splice(0)) resolve();
  }

  #fail(fault: Error): void {
    if (this.#fault !== null) return;
    this.#fault = fault;
    const dones = this.#dones;
    this.#dones = [];
    this.#batch = new BatchBuilder();
    for (const done of dones) done(fault);
    this.#onFault(fault);
  }
}
