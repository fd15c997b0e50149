import { copyFileSync, existsSync } from 'node:fs';
import { join } from 'node:path';
import { DatabaseSync, StatementSync } from 'node:sqlite';
import { afterEach, expect, test, vi } from 'vitest';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import { compileRateTable } from '../../edge/cure/rateTable.ts';
import { rateTableSha256 } from '../../edge/evidence/canonical.ts';
import { rootOf } from '../../edge/evidence/merkle.ts';
import { columnsOf } from '../../edge/keeper/batch.ts';
import { Ledger, type Said } from '../../edge/ledger/ledger.ts';
import { LedgerView } from '../../edge/ledger/ledgerView.ts';
import type { ProbeReading } from '../../edge/ledger/readings.ts';
import type { IncomingReading } from '../../edge/ledger/taker.ts';
import type { By } from '../../edge/site/entries.ts';
import { Tally } from '../../edge/tally/tally.ts';
import { statementsFor } from '../support/api.ts';
import { foldedBothWays, siteOf } from '../support/folds.ts';
import { checkLedger } from '../support/ledgerCheck.ts';
import { delivery, HOUR_MS, MINUTE_MS, reading, START_MS } from '../support/readings.ts';
import { tempFolder } from '../support/service.ts';

afterEach(() => vi.restoreAllMocks());

const definition = builtInSchedules[0] ?? expect.fail('there is no schedule');
const table = compileRateTable(definition);
const ana: By = { name: 'Ana', role: 'crew' };
const entries: Said[] = [
  {
    statement: { kind: 'schedule.recorded', definition, table, rateTableSha256: rateTableSha256(table) },
    by: { name: 'warmhours', role: 'system' },
  },
  ...statementsFor({ probes: ['p1', 'p2'], laidUpMs: START_MS }).map((statement) => ({ statement, by: ana })),
];

const at = (minute: number, probe: string, milliC = 8000 + minute) => reading(START_MS + minute * MINUTE_MS, milliC, { probe });
/** What comes between two sealings: two probes, one of them late now and then, a duplicate and a contradiction. */
const batches: readonly (readonly IncomingReading[])[][] = [
  [[at(0, 'p1'), at(10, 'p1')], [at(0, 'p2')]],
  [
    [at(20, 'p1'), at(70, 'p1')],
    [at(15, 'p2'), at(62, 'p2'), at(0, 'p2')],
  ],
  [
    [at(30, 'p1'), at(40, 'p1'), at(0, 'p1', 1000)],
    [at(75, 'p2'), at(130, 'p2')],
  ],
];

/** Thrown in the place of a statement that the process did not live to run. */
class PowerCut extends Error {}

/** Lets `most` statements through to SQLite and none after that. */
function cutAfter(most: number): void {
  let count = 0;
  const meter = <A extends unknown[], R>(call: (...values: A) => R) =>
    function (this: unknown, ...values: A): R {
      if (++count > most) throw new PowerCut();
      return call.apply(this, values);
    };
  const { exec } = DatabaseSync.prototype;
  vi.spyOn(DatabaseSync.prototype, 'exec').mockImplementation(meter(exec));
  for (const method of ['run', 'get', 'all', 'iterate'] as const) {
    const call = StatementSync.prototype[method];
    vi.spyOn(StatementSync.prototype, method).mockImplementation(meter(call as (...values: unknown[]) => unknown) as never);
  }
}

/** A life of a ledger; `committed` grows as its calls return. */
async function live(
  path: string,
  committed: { entries: number; readings: ProbeReading[]; signed: number },
  open: { close(): unknown }[],
): Promise<void> {
  const ledger = new Ledger(path);
  open.push(ledger);
  ledger.append(entries, START_MS);
  committed.entries = entries.length;
  const view = new LedgerView(path);
  open.push(view);
  const tally = new Tally(siteOf(view), view.readings);
  for (const [index, batch] of batches.entries()) {
    const { taken, takenInAll } = ledger.deliver(batch.map((message) => delivery(...message)));
    committed.readings.push(...taken);
    tally.take(columnsOf(taken, takenInAll));
    ledger.keepCheckpoints(tally.checkpoints());
    await ledger.seal(START_MS + index * HOUR_MS, tally.folded);
    committed.signed = ledger.checkpoint((size) => `note of ${size}`, START_MS).size;
  }
}

/** The same ledger as a reader of the disk finds it while its process is gone. */
function leftOver(path: string, folder: string): string {
  const copy = join(folder, 'ledger.db');
  for (const suffix of ['', '-wal']) if (existsSync(path + suffix)) copyFileSync(path + suffix, copy + suffix);
  return copy;
}

const pairs = (readings: Iterable<{ atMs: number; value: number }>) =>
  [...readings].map(({ atMs, value }) => `${atMs} ${value}`).sort();

test('a power cut between any two statements leaves a ledger with all that was committed, once, and nothing half done', async () => {
  let lived = false;
  let most = 0;
  for (; !lived; most++) {
    using folder = tempFolder();
    using copied = tempFolder();
    const committed = { entries: 0, readings: [] as ProbeReading[], signed: 0 };
    const open: { close(): unknown }[] = [];
    const path = join(folder.path, 'ledger.db');
    cutAfter(most);
    try {
      await live(path, committed, open);
      lived = true;
    } catch (fault) {
      expect(fault, `cut ${most}`).toBeInstanceOf(PowerCut);
    }
    const copy = leftOver(path, copied.path);
    vi.restoreAllMocks();
    for (const one of open.reverse()) await Promise.resolve(one.close()).catch(() => undefined);

    const ledger = new Ledger(copy);
    const view = new LedgerView(copy);
    expect([...view.entries()], `cut ${most}`).toHaveLength(committed.entries);
    const hashes = [...view.leaves()].map(({ hash }) => Buffer.from(hash, 'hex'));
    expect(Buffer.from(view.tree.root()), `cut ${most}`).toEqual(Buffer.from(rootOf(hashes)));
    const signed = view.signed.newest();
    expect(signed?.size ?? 0, `cut ${most}`).toBe(committed.signed);
    ledger.mustBeSound();
    const { fromNothing, fromCheckpoints } = foldedBothWays(view);
    expect(fromCheckpoints, `cut ${most}`).toEqual(fromNothing);
    view.close();
    await ledger.close();
    const kept = [...checkLedger(copy).values()].flatMap((own) => [...own.values()]);
    expect(pairs(kept), `cut ${most}`).toEqual(pairs(committed.readings));

    // The probes send again what was not acknowledged, and a little more.
    const again = new Ledger(copy);
    for (const batch of batches) again.deliver(batch.map((message) => delivery(...message)));
    await again.close();
    expect(
      [...checkLedger(copy).values()].map(({ size }) => size),
      `cut ${most}`,
    ).toEqual([6, 5]);
  }
  // Every statement of that life had its cut.
  expect(most).toBeGreaterThan(90);
}, 120_000);

test('a statement that fails leaves the ledger as it was before the call, in memory too', async () => {
  for (let most = 0; ; most++) {
    using folder = tempFolder();
    const path = join(folder.path, 'ledger.db');
    const ledger = new Ledger(path);
    const [first = [], second = [], third = []] = batches;
    ledger.deliver(first.map((message) => delivery(...message)));
    await ledger.seal(START_MS + HOUR_MS, 3);
    // One statement fails, as a full disk makes it; those after it work, as they do once there is room.
    let count = 0;
    const run = StatementSync.prototype.run;
    vi.spyOn(StatementSync.prototype, 'run').mockImplementation(function (this: StatementSync, ...values) {
      if (count++ === most) throw new Error('disk full');
      return run.apply(this, values);
    });
    const deliver = () => ledger.deliver([...second, ...third].map((message) => delivery(...message)));
    let failed = true;
    try {
      deliver();
      failed = false;
    } catch (fault) {
      expect(fault).toMatchObject({ message: 'disk full' });
    }
    vi.restoreAllMocks();
    if (failed) expect(deliver(), `statement ${most}`).toMatchObject({ takenInAll: 11, setAside: 1 });
    await ledger.close();
    expect([...checkLedger(path).values()].map(({ size }) => size)).toEqual([6, 5]);
    if (!failed) break;
    expect(most).toBeLessThan(100);
  }
});
