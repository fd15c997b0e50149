import { join } from 'node:path';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import { compileRateTable } from '../../edge/cure/rateTable.ts';
import { Schedule } from '../../edge/cure/schedule.ts';
import { rateTableSha256 } from '../../edge/evidence/canonical.ts';
import { columnsOf, type TakenColumns } from '../../edge/keeper/batch.ts';
import type { FoldCheckpoint } from '../../edge/ledger/checkpoints.ts';
import { Ledger } from '../../edge/ledger/ledger.ts';
import { LedgerView } from '../../edge/ledger/ledgerView.ts';
import type { IncomingReading } from '../../edge/ledger/taker.ts';
import type { By, Statement, SystemStatement } from '../../edge/site/entries.ts';
import { applyEntry } from '../../edge/site/state/apply.ts';
import type { SiteState } from '../../edge/site/state/site.ts';
import { Tally } from '../../edge/tally/tally.ts';
import { siteOf, statesOf } from '../support/folds.ts';
import { delivery, START_MS } from '../support/readings.ts';

const ana: By = { name: 'Ana', role: 'crew' };

/** A schedule that lets an ambient probe stand in. */
const standIn = Schedule.parse({ ...builtInSchedules[0], name: 'stand-in', ambientStandIn: true });

function recorded(definition: Schedule): SystemStatement {
  const table = compileRateTable(definition);
  return { kind: 'schedule.recorded', definition, table, rateTableSha256: rateTableSha256(table) };
}

const opening: (Statement | SystemStatement)[] = [
  recorded(builtInSchedules[0] as Schedule),
  recorded(standIn),
  ...['p1', 'p2', 'p3'].map(
    (probe): Statement => ({
      kind: 'probe.registered',
      probe,
      role: 'material',
      sensor: { kind: 'digital' },
      uncertaintyCelsius: 0.5,
    }),
  ),
  { kind: 'probe.registered', probe: 'a1', role: 'ambient', sensor: { kind: 'digital' }, uncertaintyCelsius: 0.5 },
  { kind: 'sump.added', sump: 's1', label: 'North' },
  { kind: 'joint.added', joint: 'j1', sump: 's1', label: 'One', schedule: 'polyester-laminate', probes: ['p1'] },
  { kind: 'joint.added', joint: 'j2', sump: 's1', label: 'Two', schedule: 'stand-in', probes: ['p1', 'p2'], ambient: 'a1' },
  { kind: 'joint.added', joint: 'j3', sump: 's1', label: 'Three', schedule: 'polyester-laminate', probes: ['p2', 'p3', 'new'] },
];

/** A site at work on a real ledger file: what the program does around its tally, with the time told by hand. */
export class Job {
  readonly #path: string;
  nowMs = START_MS;
  #ledger: Ledger;
  #view: LedgerView;
  #site: SiteState;
  #tally: Tally;
  /** Places of the entries that can still be taken back. */
  readonly #revocable: number[] = [];
  /** Committed, but word of it has not come through to the tally. */
  #underway: TakenColumns[] = [];

  constructor(folder: string) {
    this.#path = join(folder, 'ledger.db');
    this.#ledger = new Ledger(this.#path);
    this.#ledger.append(
      opening.map((statement) => ({ statement, by: ana })),
      this.nowMs,
    );
    this.#view = new LedgerView(this.#path);
    this.#site = siteOf(this.#view);
    this.#tally = this.#tallyOf(this.#view.checkpoints());
  }

  say(statement: Statement): void {
    for (const { seq, entry } of this.#ledger.append([{ statement, by: ana }], this.nowMs)) {
      applyEntry(this.#site, entry, seq);
      if (['joint.laidUp', 'joint.relaid', 'joint.assigned'].includes(entry.kind)) this.#revocable.push(seq);
    }
    this.#tally.rulesChanged();
  }

  /** Takes back one of the things said before, if any is left; `pick` chooses. */
  takeBack(pick: number): void {
    const [seq] = this.#revocable.splice(pick % Math.max(1, this.#revocable.length), 1);
    if (seq !== undefined) this.say({ kind: 'entry.withdrawn', seq, reason: 'said by mistake' });
  }

  /** Commits readings. `late`: the tally hears of them with the next ones only, as between two threads. */
  deliver(readings: readonly IncomingReading[], late: boolean): void {
    const { taken, takenInAll } = this.#ledger.deliver([delivery(...readings)]);
    this.#underway.push(columnsOf(taken, takenInAll));
    if (!late) this.catchUp();
  }

  catchUp(): void {
    for (const columns of this.#underway.splice(0)) this.#tally.take(columns);
  }

  /** Keeps the folds and, unless the process dies before, seals what is older than an hour. */
  async keep(seal: boolean): Promise<void> {
    this.#ledger.keepCheckpoints(this.#tally.checkpoints());
    if (seal) await this.#ledger.seal(Math.floor(this.nowMs / 3_600_000) * 3_600_000, this.#tally.folded);
  }

  /** As after a kill: whatever was only in memory is gone. */
  async restart(): Promise<void> {
    await this.close();
    this.#ledger = new Ledger(this.#path);
    this.#view = new LedgerView(this.#path);
    this.#site = siteOf(this.#view);
    this.#tally = this.#tallyOf(this.#view.checkpoints());
    this.#underway = [];
  }

  async close(): Promise<void> {
    this.#view.close();
    await this.#ledger.close();
  }

  #tallyOf(checkpoints: readonly FoldCheckpoint[]): Tally {
    return new Tally(this.#site, this.#view.readings, checkpoints, () => this.nowMs);
  }

  /** Every fold as the tally has it, and as a tally has it that starts from nothing. */
  states(): Record<'kept' | 'fromNothing' | 'replayed', ReturnType<typeof statesOf>> {
    this.#tally.settle();
    const site = siteOf(this.#view);
    const joints = [...site.joints.keys()];
    return {
      kept: statesOf(this.#tally, this.#site),
      fromNothing: statesOf(new Tally(site, this.#view.readings, [], () => this.nowMs), site),
      replayed: Object.fromEntries(joints.map((joint) => [joint, this.#tally.replay(joint, () => {})?.state ?? null])),
    };
  }
}
