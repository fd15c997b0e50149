import type { Clock } from '../clock/clock.ts';
import { ClockWatch } from '../clock/watch.ts';
import { compileRateTable } from '../cure/rateTable.ts';
import { builtInSchedules, HOUR_MS, type Schedule } from '../cure/schedule.ts';
import { CodedError } from '../errors.ts';
import type { Keeper, KeptBatch, LedgerFault } from '../keeper/keeper.ts';
import { rateTableSha256 } from '../ledger/canonical.ts';
import type { Appended } from '../ledger/leaves.ts';
import type { Said } from '../ledger/ledger.ts';
import type { LedgerView } from '../ledger/ledgerView.ts';
import type { By, Statement, SystemStatement } from '../site/entries.ts';
import { faultsOf } from '../site/faults.ts';
import { AHEAD_LIMIT_MS } from '../site/mistimed.ts';
import { applyEntry, emptySite, type Joint, type SiteState } from '../site/state.ts';
import {
  iso,
  type JointView,
  jointView,
  type Latest,
  type ProbeView,
  probeView,
  type SiteView,
  type SumpView,
  sumpView,
} from '../site/views.ts';
import { Tally, TEMPERATURE } from './tally.ts';

/** What has changed, for whoever shows it. `structure`: anything that people said. */
export type Change =
  | { readonly kind: 'structure' }
  | { readonly kind: 'joint'; readonly joint: string }
  | { readonly kind: 'probe'; readonly probe: string }
  | { readonly kind: 'quarantine' }
  | { readonly kind: 'recording' };

/** Readings wait this long for company before the folds are settled and told about … */
const SETTLE_MS = 20;
/** … and at least so many times as long as the last settling took, so that a flood leaves time for intake. */
const SETTLE_SHARE = 4;

const SYSTEM: By = { name: 'warmhours', role: 'system' };

interface LiveSiteParts {
  readonly site: string;
  readonly keeper: Keeper;
  readonly ledger: LedgerView;
  readonly clock: Clock;
}

/**
 * The site as it is now: what people said and what the readings prove, kept in step with the ledger, seen as views, with word of
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
  readonly #keeper: Keeper;
  readonly #clock: Clock;
  readonly #latest = new Map<string, Latest>();
  readonly #online = new Map<string, boolean>();
  readonly #listeners = new Set<(change: Change) => void>();
  readonly #freshProbes = new Set<string>();
  readonly #conditions = new Map<string, string>();
  readonly #watch: ClockWatch;
  #strangers = false;
  #saying: Promise<unknown> = Promise.resolve();
  #settling: NodeJS.Timeout | null = null;
  #settledInMs = 0;
  #fault: Error | null = null;

  /** Reads the ledger, folds what the last run left to fold, and puts this run on record. */
  static async start(parts: LiveSiteParts & { readonly program: string }): Promise<LiveSite> {
    const live = new LiveSite(parts);
    const started: SystemStatement = {
      kind: 'boot.started',
      boot: live.boot,
      bootId: parts.clock.bootId,
      program: parts.program,
    };
    await live.#append([{ statement: started, by: SYSTEM }]);
    return live;
  }

  private constructor({ site, keeper, ledger, clock }: LiveSiteParts) {
    this.site = site;
    this.ledger = ledger;
    this.#keeper = keeper;
    this.#clock = clock;
    this.#watch = new ClockWatch(clock);
    let boots = 0;
    for (const { seq, entry } of ledger.entries()) {
      if (entry.kind === 'boot.started') boots = entry.boot;
      applyEntry(this.state, entry, seq);
    }
    this.boot = boots + 1;
    this.tally = new Tally(this.state, ledger.readings, ledger.checkpoints(), () => this.nowMs);
    for (const { probe, quantity, atMs, value } of ledger.readings.latest())
      if (quantity === TEMPERATURE) this.#latest.set(probe, { atMs, milliC: value });
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

  /** Calls `listener` on every change until the returned function is called. */
  onChange(listener: (change: Change) => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  /**
   * Takes what somebody says. A joint that uses a schedule for the first time has the schedule and its compiled rate table put on
   * record with it, so that its hours can be recomputed for ever, whatever later versions of the program build in.
   * @throws CodedError `entry-refused` with every fault, or `not-recording`.
   */
  say(statement: Statement, by: By): Promise<Appended> {
    // One after the other: each is checked against all that was said before it.
    const said = this.#saying.then(async () => {
      if (!this.#clock.trusted)
        throw new CodedError('clock-not-set', `it is ${iso(this.nowMs)} here; set the clock of this machine, then say it again`);
      const faults = faultsOf(this.state, statement, this.nowMs);
      if (faults.length > 0)
        throw new CodedError('entry-refused', faults.map((fault) => `${fault.path}: ${fault.message}`).join('; '), faults);
      const schedules = statement.kind === 'joint.added' ? this.#schedulesToRecord(statement.schedule) : [];
      const appended = await this.#append([
        ...schedules.map((schedule) => ({ statement: schedule, by: SYSTEM })),
        { statement, by },
      ]);
      this.tally.rulesChanged();
      this.#tell({ kind: 'structure' });
      for (const joint of this.tally.settle()) this.#tell({ kind: 'joint', joint });
      return appended.at(-1) as Appended;
    });
    this.#saying = said.catch(() => undefined);
    return said;
  }

  /** Resolves when all that has been said so far is on record, or refused. */
  async quiet(): Promise<void> {
    await this.#saying;
  }

  /** To be called with every batch that the keeper has just committed. */
  kept(batch: KeptBatch): void {
    this.#guarded(() => this.#kept(batch));
  }

  #kept({ taken, setAside }: KeptBatch): void {
    this.#watchClock();
    this.tally.take(taken);
    const aheadMs = this.nowMs + AHEAD_LIMIT_MS;
    for (let row = 0; row < taken.probe.length; row++) {
      if (taken.quantity[row] !== TEMPERATURE) continue;
      const probe = taken.names[taken.probe[row] as number] as string;
      const known = this.#latest.get(probe);
      const atMs = taken.atMs[row] as number;
      if (known === undefined && !this.state.probes.has(probe)) this.#strangers = true;
      // What was stamped by a clock that ran far ahead must not outlive it.
      if (known === undefined || atMs >= known.atMs || known.atMs > aheadMs)
        this.#latest.set(probe, { atMs, milliC: taken.value[row] as number });
      this.#freshProbes.add(probe);
    }
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
    if (this.#latest.has(probe) || this.state.probes.has(probe)) this.#tell({ kind: 'probe', probe });
  }

  /** Settles what the passing of time alone has changed, and tells about it. */
  tick(): void {
    this.#guarded(() => this.#tick());
  }

  #tick(): void {
    this.#watchClock();
    for (const joint of this.tally.settle()) this.#tell({ kind: 'joint', joint });
    for (const name of this.state.joints.keys()) {
      const conditions = this.jointView(name).conditions.join();
      const before = this.#conditions.get(name);
      this.#conditions.set(name, conditions);
      if (before !== undefined && before !== conditions) this.#tell({ kind: 'joint', joint: name });
    }
  }

  /** The ledger could not be written: from here on everybody is told that nothing is being recorded. */
  storageFailed(fault: Error): void {
    if (this.#fault !== null) return;
    this.#fault = fault;
    this.#tell({ kind: 'recording' });
  }

  /** Keeps the folds, then seals every hour that ended `graceMs` ago or earlier. */
  async seal(graceMs: number): Promise<number> {
    this.#watchClock();
    if (!this.#clock.trusted) return 0;
    const checkpoints = this.tally.checkpoints();
    const taken = this.tally.folded;
    await this.#keeper.keepCheckpoints(checkpoints);
    return this.#keeper.seal(Math.floor((this.nowMs - graceMs) / HOUR_MS) * HOUR_MS, taken);
  }

  /** Last words before the ledger is closed. */
  async stop(): Promise<void> {
    if (this.#settling !== null) clearTimeout(this.#settling);
    this.#listeners.clear();
    await this.#saying;
    if (this.recording && this.#clock.trusted) await this.#keeper.keepCheckpoints(this.tally.checkpoints());
  }

  /** The schedules that a joint may use: those on record here, and those built in. */
  schedules(): Schedule[] {
    const onRecord = [...this.state.schedules.values()].map(({ definition }) => definition);
    return [...onRecord, ...builtInSchedules.filter(({ name }) => !this.state.schedules.has(name))];
  }

  /** @throws CodedError `not-found`. */
  joint(name: string): Joint {
    const joint = this.state.joints.get(name);
    if (joint === undefined) throw new CodedError('not-found', `there is no joint "${name}" on this site`);
    return joint;
  }

  jointView(name: string): JointView {
    const joint = this.joint(name);
    const assigned = joint.assignments.at(-1);
    const latest = new Map<string, Latest>();
    for (const probe of [...(assigned?.probes ?? []), ...(assigned?.ambient == null ? [] : [assigned.ambient])]) {
      const newest = this.#latest.get(probe);
      if (newest !== undefined) latest.set(probe, newest);
    }
    return jointView(this.state, joint, this.tally.fold(name), latest, this.nowMs);
  }

  sumpView(name: string): SumpView {
    const sump = this.state.sumps.get(name);
    if (sump === undefined) throw new CodedError('not-found', `there is no sump "${name}" on this site`);
    return sumpView(sump, new Map(sump.joints.map((joint) => [joint, this.jointView(joint)])));
  }

  probeView(name: string): ProbeView {
    return probeView(
      this.state,
      name,
      this.state.probes.get(name) ?? null,
      this.#latest.get(name),
      this.#online.get(name) ?? null,
    );
  }

  siteView(): SiteView {
    const joints = new Map([...this.state.joints.keys()].map((name) => [name, this.jointView(name)]));
    const strangers = [...this.#latest.keys()].filter((probe) => !this.state.probes.has(probe));
    return {
      site: this.site,
      name: this.state.name,
      timeZone: this.state.timeZone,
      asOf: iso(this.nowMs),
      recording: this.recording,
      sumps: [...this.state.sumps.values()].map((sump) => sumpView(sump, joints)),
      joints: [...joints.values()],
      probes: [...this.state.probes.keys(), ...strangers].map((probe) => this.probeView(probe)),
    };
  }

  #schedulesToRecord(name: string): SystemStatement[] {
    if (this.state.schedules.has(name)) return [];
    const definition = builtInSchedules.find((schedule) => schedule.name === name);
    if (definition === undefined) return [];
    const table = compileRateTable(definition);
    return [{ kind: 'schedule.recorded', definition, table, rateTableSha256: rateTableSha256(table) }];
  }

  async #append(said: readonly Said[]): Promise<Appended[]> {
    if (this.#fault !== null) throw new CodedError('not-recording', this.#fault.message);
    const appended = await this.#keeper.append(said, this.nowMs).catch((fault: LedgerFault) => {
      if (!fault.ofStorage) throw fault;
      this.storageFailed(fault);
      throw new CodedError('not-recording', fault.message);
    });
    for (const { seq, entry } of appended) applyEntry(this.state, entry, seq);
    return appended.map(({ seq, hash }) => ({ seq, hash }));
  }

  #settle(): void {
    this.#settling = null;
    const startedMs = this.#clock.now().monoMs;
    const joints = this.tally.settle();
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
    const recorded = this.#saying.then(async () => {
      await this.#append([{ statement, by: SYSTEM }]);
      for (const [probe, { atMs }] of this.#latest) if (atMs > this.nowMs + AHEAD_LIMIT_MS) this.#latest.delete(probe);
      this.tally.clockChanged();
      this.tally.settle();
      this.#tell({ kind: 'structure' });
    });
    this.#saying = recorded.catch((fault: Error) => this.storageFailed(fault));
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
