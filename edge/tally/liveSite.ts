import type { Clock } from '../clock/clock.ts';
import { ClockWatch } from '../clock/watch.ts';
import { CodedError } from '../errors.ts';
import { sourcesBefore } from '../keeper/batch.ts';
import { type Keeper, type KeptBatch, LedgerFault } from '../keeper/keeper.ts';
import type { Appended } from '../ledger/leaves.ts';
import type { Said } from '../ledger/ledger.ts';
import type { LedgerView } from '../ledger/ledgerView.ts';
import type { By, Entry, Statement, SystemStatement } from '../site/entries.ts';
import { applyEntry } from '../site/state/apply.ts';
import { emptySite, type SiteState } from '../site/state/site.ts';
import { iso } from '../site/views/iso.ts';
import { Foresight } from './ahead/foresight.ts';
import { LookOn } from './ahead/lookOn.ts';
import { Outlooks } from './ahead/outlooks.ts';
import { SiteAir } from './ahead/siteAir.ts';
import { Inspector } from './inspector.ts';
import { LatestValues } from './latest.ts';
import { Sealing } from './sealing.ts';
import { type Due, Seals } from './seals.ts';
import { Shown } from './shown.ts';
import { SiteViews } from './siteViews.ts';
import { type Imported, type ImportRequest, Statements, SYSTEM } from './statements.ts';
import { Tally } from './tally.ts';

/** What has changed, for whoever shows it. `structure`: anything that people said. */
export type Change =
  | { readonly kind: 'structure' }
  | { readonly kind: 'joint'; readonly joint: string }
  | { readonly kind: 'probe'; readonly probe: string }
  | { readonly kind: 'quarantine' }
  | { readonly kind: 'warnings' }
  | { readonly kind: 'recording' };

/** Readings wait this long for company before the folds are settled and told about … */
const SETTLE_MS = 20;
/** … and at least so many times as long as the last settling took, so that a flood leaves time for intake. */
const SETTLE_SHARE = 4;

/** A reading that comes so long after it was measured changes what was known of the past. */
const LATE_MS = 60_000;

interface LiveSiteParts {
  readonly site: string;
  readonly keeper: Keeper;
  readonly ledger: LedgerView;
  readonly clock: Clock;
  /** Where faults that keep nothing from being recorded are told. */
  readonly log?: (line: string) => void;
}

/**
 * The site as it is now: what people said and what the readings prove, kept in step with the ledger, seen as `views`, with word of
 * every change. The one place through which statements enter.
 */
export class LiveSite {
  readonly site: string;
  /** To look at; the keeper writes. */
  readonly ledger: LedgerView;
  readonly state: SiteState = emptySite();
  /** Number of this run of the program. */
  readonly boot: number;
  readonly tally: Tally;
  readonly views: SiteViews;
  /** The air and what lies ahead of each joint. */
  readonly air: SiteAir;
  readonly outlooks: Outlooks;
  readonly #lookOn: LookOn;
  readonly #foresight: Foresight;
  readonly #statements: Statements;
  readonly #seals: Seals;
  readonly #sealing: Sealing;
  readonly #inspector: Inspector;
  readonly #keeper: Keeper;
  readonly #clock: Clock;
  readonly #latest: LatestValues;
  readonly #online = new Map<string, boolean>();
  readonly #listeners = new Set<(change: Change) => void>();
  readonly #freshProbes = new Set<string>();
  readonly #shown = new Shown();
  readonly #watch: ClockWatch;
  #strangers = false;
  #settling: NodeJS.Timeout | null = null;
  #settledInMs = 0;
  #fault: Error | null = null;

  /**
   * Reads the ledger, folds what the last run left to fold, and puts this run on record; on a ledger that is not the one that was
   * signed for, it shows what is there and records nothing.
   */
  static async start(parts: LiveSiteParts & { readonly program: string }): Promise<LiveSite> {
    const live = new LiveSite(parts);
    const { keeper, clock, program } = parts;
    const started: SystemStatement = { kind: 'boot.started', boot: live.boot, bootId: clock.bootId, program };
    if (keeper.unsound === null) await live.#append([{ statement: started, by: SYSTEM }]);
    else live.storageFailed(new Error(keeper.unsound));
    return live;
  }

  private constructor({ site, keeper, ledger, clock, log = () => undefined }: LiveSiteParts) {
    this.site = site;
    this.ledger = ledger;
    this.#keeper = keeper;
    this.#clock = clock;
    this.#watch = new ClockWatch(clock);
    const [state, readings] = [this.state, ledger.readings];
    const nowMs = () => this.nowMs;
    const monoMs = () => clock.now().monoMs;
    this.#seals = new Seals({ site: state, revision: (joint) => this.tally.revision(joint), nowMs, monoMs });
    let boots = 0;
    for (const { seq, entry } of ledger.entries()) {
      if (entry.kind === 'boot.started') boots = entry.boot;
      this.#apply(entry, seq);
    }
    this.boot = boots + 1;
    this.tally = new Tally(state, readings, ledger.checkpoints(), nowMs);
    this.#latest = new LatestValues(state, readings);
    this.#inspector = new Inspector({ site: state, tally: this.tally, readings, nowMs, monoMs });
    for (const [joint, episodes] of this.tally.resumedEpisodes) this.#inspector.resume(joint, episodes);
    this.air = new SiteAir({ site: state, readings, counts: this.tally.counts, nowMs });
    const onFault = (fault: Error) => log(`looking ahead: ${fault.message}`);
    this.outlooks = new Outlooks({ site: state, tally: this.tally, readings, air: this.air, nowMs }, onFault);
    this.views = new SiteViews({
      site,
      state,
      tally: this.tally,
      latest: this.#latest,
      inspector: this.#inspector,
      online: this.#online,
      outlooks: this.outlooks,
      warnings: () => this.#foresight.views(),
      airMilliC: () => this.air.lastDayMilliC(),
      nowMs,
    });
    this.#statements = new Statements({
      state,
      views: this.views,
      tally: this.tally,
      readings,
      clock,
      boot: this.boot,
      append: (said) => this.#append(said),
      importReadings: (rows) => keeper.importReadings(rows).catch((fault: Error) => this.#cannotKeep(fault)),
      refresh: (joints) => {
        this.tally.settle();
        this.#inspector.refresh(joints);
        this.views.changed();
      },
      onSaid: () => this.#structureChanged(),
    });
    this.#lookOn = new LookOn(this.outlooks, (joints) => this.#guarded(() => this.#changed(joints)));
    this.#foresight = new Foresight({
      site: state,
      air: this.air,
      outlooks: this.outlooks,
      latest: this.#latest,
      clock,
      sump: (name) => this.views.sump(name),
      isCuring: (name) => {
        const { phase, laidUpAt, stages } = this.views.joint(name);
        return laidUpAt !== null && phase !== 'void' && stages.some(({ reachedAt }) => reachedAt === null);
      },
      record: (said) => this.#append(said.map((statement) => ({ statement, by: SYSTEM }))),
      inTurn: (work) => this.#statements.inTurn(work),
      onChange: () => this.#tell({ kind: 'warnings' }),
      onFault,
    });
    this.#sealing = new Sealing({
      keeper,
      clock,
      tally: this.tally,
      seals: this.#seals,
      readings,
      episodesOf: (joint) => this.#inspector.kept(joint),
      inTurn: (work) => this.#statements.inTurn(work),
      append: async (statement) => void (await this.#append([{ statement, by: SYSTEM }])),
    });
  }

  /** The public half of the key that the ledger is signed with, 32 bytes. */
  get publicKey(): Uint8Array {
    return this.#keeper.publicKey;
  }

  /** Whether what arrives is being kept. */
  get recording(): boolean {
    return this.#fault === null;
  }

  /** Why nothing is being kept; null while all is well. */
  get fault(): Error | null {
    return this.#fault;
  }

  get nowMs(): number {
    return this.#clock.now().wallMs;
  }

  /** Calls `listener` on every change until the returned function is called; at once where nothing is recorded already. */
  onChange(listener: (change: Change) => void): () => void {
    this.#listeners.add(listener);
    if (!this.recording) listener({ kind: 'recording' });
    return () => this.#listeners.delete(listener);
  }

  /** Takes what somebody says; see `Statements`. */
  say(statement: Statement, by: By): Promise<Appended> {
    return this.#statements.say(statement, by);
  }

  /** Takes in a logger's file; see `Statements`. */
  importFile(request: ImportRequest, by: By): Promise<Imported> {
    return this.#statements.importFile(request, by);
  }

  #structureChanged(): void {
    this.tally.rulesChanged();
    const joints = this.tally.settle();
    this.outlooks.changed();
    this.views.changed();
    this.#tell({ kind: 'structure' });
    for (const joint of joints) this.#tell({ kind: 'joint', joint });
    this.#foresight.said();
    this.#lookOn.wake();
  }

  /** Resolves when all that has been said so far is on record, or refused. */
  async quiet(): Promise<void> {
    await this.#statements.quiet();
  }

  /** To be called with every batch that the keeper has just committed. */
  kept(batch: KeptBatch): void {
    this.#guarded(() => this.#kept(batch));
  }

  #kept({ taken, setAside }: KeptBatch): void {
    this.#watchClock();
    this.tally.take(taken);
    this.#inspector.take(taken);
    const { probes, isAnyNew } = this.#latest.take(taken, this.nowMs);
    for (const [source, sinceMs] of sourcesBefore(taken, this.nowMs - LATE_MS)) this.outlooks.late(source, sinceMs);
    this.views.changed();
    if (isAnyNew) this.#strangers = true;
    for (const probe of probes) this.#freshProbes.add(probe);
    if (setAside > 0) this.#tell({ kind: 'quarantine' });
    if (taken.probe.length > 0)
      this.#settling ??= setTimeout(
        () => this.#guarded(() => this.#settle()),
        Math.max(SETTLE_MS, this.#settledInMs * SETTLE_SHARE),
      );
  }

  probeStatus(probe: string, online: boolean): void {
    if (this.#online.get(probe) === online) return;
    this.#online.set(probe, online);
    if (this.#latest.hasHeard(probe) || this.state.probes.has(probe)) this.#tell({ kind: 'probe', probe });
  }

  /** Settles what the passing of time alone has changed, and tells about it. */
  tick(): void {
    this.#guarded(() => this.#tick());
  }

  #changed(joints: Iterable<string>): void {
    this.views.changed();
    for (const joint of joints) this.#tell({ kind: 'joint', joint });
  }

  #tick(): void {
    this.#watchClock();
    const settled = this.tally.settle();
    const found = this.#inspector.round();
    const looked = this.outlooks.round();
    this.#changed(new Set([...settled, ...found, ...looked]));
    this.#lookOn.wake();
    let due: Due | null = null;
    for (const name of this.state.joints.keys()) {
      const view = this.views.joint(name);
      due ??= this.#seals.due(view);
      if (this.#shown.isNew(view)) this.#tell({ kind: 'joint', joint: name });
    }
    if (due !== null && this.recording && this.#clock.trusted)
      this.#sealing.joint(due).catch((fault: Error) => this.storageFailed(fault));
    if (this.recording) this.#foresight.round();
  }

  /** The ledger could not be written: from here on everybody is told that nothing is being recorded. */
  storageFailed(fault: Error): void {
    if (this.#fault !== null) return;
    this.#fault = fault;
    this.#tell({ kind: 'recording' });
  }

  /** Keeps the folds, seals every hour that ended `graceMs` ago or earlier, and has the ledger signed for. The number of blocks made. */
  async seal(graceMs: number): Promise<number> {
    this.#watchClock();
    return this.#sealing.hourly(graceMs);
  }

  /**
   * Seals all readings up to now, then the joint (or several) as it stands, and has the ledger signed for: the size of the checkpoint,
   * by which all of it can be proven. Nothing is sealed twice.
   * @throws CodedError `not-found`, `clock-not-set`, `not-recording`.
   */
  async sealJoint(...joints: readonly string[]): Promise<number> {
    for (const joint of joints) this.views.jointState(joint);
    if (this.#fault !== null) throw new CodedError('not-recording', this.#fault.message);
    this.#watchClock();
    const { size } = await this.#sealing.asked(joints).catch((fault: Error) => this.#cannotKeep(fault));
    return size;
  }

  /** Last words before the ledger is closed. */
  async stop(): Promise<void> {
    if (this.#settling !== null) clearTimeout(this.#settling);
    this.#lookOn.stop();
    this.#listeners.clear();
    await this.#statements.quiet();
    if (this.recording && this.#clock.trusted)
      await this.#keeper.keepCheckpoints(this.tally.checkpoints((joint) => this.#inspector.kept(joint)));
  }

  async #append(said: readonly Said[]): Promise<Appended[]> {
    if (this.#fault !== null) throw new CodedError('not-recording', this.#fault.message);
    const appended = await this.#keeper.append(said, this.nowMs).catch((fault: Error) => this.#cannotKeep(fault));
    for (const { seq, entry } of appended) this.#apply(entry, seq);
    return appended.map(({ seq, hash }) => ({ seq, hash }));
  }

  #apply(entry: Entry, seq: number): void {
    applyEntry(this.state, entry, seq);
    this.#seals.said(entry, seq);
  }

  #cannotKeep(fault: Error): never {
    if (!(fault instanceof LedgerFault) || !fault.ofStorage) throw fault;
    this.storageFailed(fault);
    throw new CodedError('not-recording', fault.message);
  }

  #settle(): void {
    this.#settling = null;
    const startedMs = this.#clock.now().monoMs;
    const joints = this.tally.settle();
    this.views.changed();
    this.#settledInMs = this.#clock.now().monoMs - startedMs;
    if (this.#strangers) this.#tell({ kind: 'structure' });
    this.#strangers = false;
    const fresh = [...this.#freshProbes];
    this.#freshProbes.clear();
    for (const probe of fresh) this.#tell({ kind: 'probe', probe });
    for (const joint of joints) this.#tell({ kind: 'joint', joint });
  }

  /** Notices that somebody set the wall clock, puts it on record, and has everything decided anew. */
  #watchClock(): void {
    const step = this.#watch.step();
    if (step === null) return;
    const statement: SystemStatement = {
      kind: 'clock.stepped',
      boot: this.boot,
      monoMs: step.monoMs,
      from: iso(step.fromMs),
      to: iso(step.toMs),
    };
    const recorded = this.#statements.inTurn(async () => {
      await this.#append([{ statement, by: SYSTEM }]);
      this.#latest.forgetAhead(this.nowMs);
      this.tally.clockChanged();
      this.tally.settle();
      this.outlooks.changed();
      this.views.changed();
      this.#tell({ kind: 'structure' });
    });
    recorded.catch((fault: Error) => this.storageFailed(fault));
  }

  /** Work that nobody waits for: what goes wrong in it is a fault of the ledger, and everybody must know. */
  #guarded(work: () => void): void {
    try {
      work();
    } catch (fault) {
      this.storageFailed(fault instanceof Error ? fault : new Error(String(fault)));
    }
  }

  #tell(change: Change): void {
    for (const listener of this.#listeners) listener(change);
  }
}
