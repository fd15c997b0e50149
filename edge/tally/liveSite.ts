import type { Clock } from '../clock/clock.ts';
import { compileRateTable } from '../cure/rateTable.ts';
import { builtInSchedules, type Schedule } from '../cure/schedule.ts';
import { CodedError } from '../errors.ts';
import { rateTableSha256 } from '../ledger/canonical.ts';
import type { Appended } from '../ledger/leaves.ts';
import type { Delivery, Ledger, Said, TakenReading } from '../ledger/ledger.ts';
import type { By, Statement, SystemStatement } from '../site/entries.ts';
import { faultsOf } from '../site/faults.ts';
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

/**
 * The site as it is now: what people said and what the readings prove, kept in step with the ledger, seen as views, with word of
 * every change. The one place through which statements enter.
 */
export class LiveSite {
  readonly site: string;
  readonly ledger: Ledger;
  readonly state: SiteState = emptySite();
  readonly boot: number;
  readonly #clock: Clock;
  readonly #tally: Tally;
  readonly #online = new Map<string, boolean>();
  readonly #listeners = new Set<(change: Change) => void>();
  readonly #heard = new Set<string>();
  readonly #freshProbes = new Set<string>();
  readonly #conditions = new Map<string, string>();
  #settling: NodeJS.Timeout | null = null;
  #settledInMs = 0;
  #fault: Error | null = null;

  constructor(options: { site: string; ledger: Ledger; clock: Clock; program: string }) {
    this.site = options.site;
    this.ledger = options.ledger;
    this.#clock = options.clock;
    let boots = 0;
    for (const entry of this.ledger.leaves.entries()) {
      if (entry.kind === 'boot.started') boots = entry.boot;
      applyEntry(this.state, entry);
    }
    this.boot = boots + 1;
    const started: SystemStatement = {
      kind: 'boot.started',
      boot: this.boot,
      bootId: options.clock.bootId,
      program: options.program,
    };
    this.#append([{ statement: started, by: SYSTEM }]);
    this.#tally = new Tally(this.state, this.ledger.readings, this.ledger.checkpoints());
    for (const probe of this.ledger.readings.probes()) this.#heard.add(probe);
  }

  /** Whether what arrives is being kept. */
  get recording(): boolean {
    return this.#fault === null;
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
  say(statement: Statement, by: By): Appended {
    const faults = faultsOf(this.state, statement, this.nowMs);
    if (faults.length > 0)
      throw new CodedError('entry-refused', faults.map((fault) => `${fault.path}: ${fault.message}`).join('; '), faults);
    const needed = statement.kind === 'joint.added' ? this.#scheduleToRecord(statement.schedule) : [];
    const appended = this.#append([...needed.map((schedule) => ({ statement: schedule, by: SYSTEM })), { statement, by }]).at(
      -1,
    ) as Appended;
    this.#tally.rulesChanged();
    this.#tally.settle();
    this.#tell({ kind: 'structure' });
    return { seq: appended.seq, hash: appended.hash };
  }

  /** To be called with readings that the ledger has just committed. */
  taken(readings: readonly TakenReading[], deliveries: readonly Delivery[]): void {
    this.#tally.take(readings);
    for (const { probe, quantity } of readings) if (quantity === TEMPERATURE) this.#freshProbes.add(probe);
    if (deliveries.some(({ setAside }) => setAside.length > 0)) this.#tell({ kind: 'quarantine' });
    if (readings.length > 0)
      this.#settling ??= setTimeout(() => this.#settle(), Math.max(SETTLE_MS, this.#settledInMs * SETTLE_SHARE));
  }

  probeStatus(probe: string, online: boolean): void {
    if (this.#online.get(probe) === online) return;
    this.#online.set(probe, online);
    if (this.#heard.has(probe) || this.state.probes.has(probe)) this.#tell({ kind: 'probe', probe });
  }

  /** Tells about joints whose conditions have changed by the passing of time alone. */
  tick(): void {
    for (const name of this.state.joints.keys()) {
      const conditions = this.jointView(name).conditions.join();
      const before = this.#conditions.get(name);
      this.#conditions.set(name, conditions);
      if (before !== undefined && before !== conditions) this.#tell({ kind: 'joint', joint: name });
    }
  }

  /** The ledger could not be written: from here on everybody is told that nothing is being recorded. */
  storageFailed(fault: Error): void {
    this.#fault = fault;
    this.#tell({ kind: 'recording' });
  }

  /** Keeps the folds, then seals every hour that has ended `graceMs` ago or earlier. */
  async seal(graceMs: number): Promise<number> {
    const hourMs = 3_600_000;
    this.ledger.keepCheckpoints(this.#tally.checkpoints());
    return this.ledger.seal(Math.floor((this.nowMs - graceMs) / hourMs) * hourMs);
  }

  /** Last words before the ledger is closed. */
  stop(): void {
    if (this.#settling !== null) clearTimeout(this.#settling);
    if (this.recording) this.ledger.keepCheckpoints(this.#tally.checkpoints());
    this.#listeners.clear();
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

  get tally(): Tally {
    return this.#tally;
  }

  jointView(name: string): JointView {
    const joint = this.joint(name);
    const assigned = joint.assignments.at(-1);
    const latest = new Map<string, Latest>();
    for (const probe of [...(assigned?.probes ?? []), ...(assigned?.ambient == null ? [] : [assigned.ambient])]) {
      const newest = this.#latest(probe);
      if (newest !== undefined) latest.set(probe, newest);
    }
    return jointView(this.state, joint, this.#tally.fold(name), latest, this.nowMs);
  }

  sumpView(name: string): SumpView {
    const sump = this.state.sumps.get(name);
    if (sump === undefined) throw new CodedError('not-found', `there is no sump "${name}" on this site`);
    return sumpView(sump, new Map(sump.joints.map((joint) => [joint, this.jointView(joint)])));
  }

  probeView(name: string): ProbeView {
    return probeView(this.state, name, this.state.probes.get(name) ?? null, this.#latest(name), this.#online.get(name) ?? null);
  }

  siteView(): SiteView {
    const joints = new Map([...this.state.joints.keys()].map((name) => [name, this.jointView(name)]));
    const strangers = [...this.#heard].filter((probe) => !this.state.probes.has(probe));
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

  #latest(probe: string): Latest | undefined {
    const newest = this.ledger.readings.latest(probe, TEMPERATURE);
    return newest === null ? undefined : { atMs: newest.atMs, milliC: newest.value };
  }

  #scheduleToRecord(name: string): SystemStatement[] {
    if (this.state.schedules.has(name)) return [];
    const definition = builtInSchedules.find((schedule) => schedule.name === name);
    if (definition === undefined) return [];
    const table = compileRateTable(definition);
    return [{ kind: 'schedule.recorded', definition, table, rateTableSha256: rateTableSha256(table) }];
  }

  #append(said: readonly Said[]): Appended[] {
    if (this.#fault !== null) throw new CodedError('not-recording', this.#fault.message);
    const appended = this.ledger.append(said, this.nowMs);
    for (const { entry } of appended) applyEntry(this.state, entry);
    return appended;
  }

  #settle(): void {
    this.#settling = null;
    const startedMs = this.#clock.now().monoMs;
    const joints = this.#tally.settle();
    this.#settledInMs = this.#clock.now().monoMs - startedMs;
    const fresh = [...this.#freshProbes];
    this.#freshProbes.clear();
    const strangers = fresh.filter((probe) => !this.#heard.has(probe));
    for (const probe of strangers) this.#heard.add(probe);
    if (strangers.some((probe) => !this.state.probes.has(probe))) this.#tell({ kind: 'structure' });
    for (const probe of fresh) this.#tell({ kind: 'probe', probe });
    for (const joint of joints) this.#tell({ kind: 'joint', joint });
  }

  #tell(change: Change): void {
    for (const listener of this.#listeners) listener(change);
  }
}
