import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { expect, test } from 'vitest';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import { compileRateTable } from '../../edge/cure/rateTable.ts';
import { rateTableSha256 } from '../../edge/evidence/canonical.ts';
import { Ledger } from '../../edge/ledger/ledger.ts';
import { LedgerView } from '../../edge/ledger/ledgerView.ts';
import type { By } from '../../edge/site/entries.ts';
import { statementsFor } from '../support/api.ts';
import { foldedBothWays } from '../support/folds.ts';
import { checkLedger } from '../support/ledgerCheck.ts';
import { BATCH, writtenReading } from '../support/ledgerWritten.ts';
import { START_MS } from '../support/readings.ts';
import { tempFolder } from '../support/service.ts';

const KILLS = 5;
const writer = join(import.meta.dirname, '..', 'support', 'ledgerWriter.ts');
const ana: By = { name: 'Ana', role: 'crew' };

/** Runs the writer from its `first` reading on and kills it after a while; returns the first that it did not call committed. */
async function killedAfter(ms: number, path: string, first: number): Promise<number> {
  const child = spawn(process.execPath, [writer, path, String(first)], { stdio: ['ignore', 'pipe', 'pipe'] });
  let out = '';
  let err = '';
  child.stdout.on('data', (chunk: Buffer) => (out += chunk.toString()));
  child.stderr.on('data', (chunk: Buffer) => (err += chunk.toString()));
  await once(child.stdout, 'data');
  await sleep(ms);
  child.kill('SIGKILL');
  const [, signal] = await once(child, 'close');
  expect([signal, err]).toEqual(['SIGKILL', '']);
  return Number(out.slice(0, out.lastIndexOf('\n')).split('\n').at(-1));
}

test('a process that is killed while it writes and seals leaves every committed reading once and folds that agree', async () => {
  using folder = tempFolder();
  const path = join(folder.path, 'ledger.db');
  const definition = builtInSchedules[0] ?? expect.fail('there is no schedule');
  const table = compileRateTable(definition);
  const ledger = new Ledger(path);
  ledger.append(
    [
      { statement: { kind: 'schedule.recorded', definition, table, rateTableSha256: rateTableSha256(table) }, by: ana },
      ...['w1', 'w2', 'w10']
        .flatMap((probe) => statementsFor({ joint: `of-${probe}`, probes: [probe], laidUpMs: START_MS }))
        .map((statement) => ({ statement, by: ana })),
    ],
    START_MS,
  );
  await ledger.close();

  let committed = 0;
  let sealed = 0;
  for (let kill = 0; kill < KILLS; kill++) {
    const afterMs = Math.round(Math.random() * 400);
    const before = committed;
    committed = await killedAfter(afterMs, path, committed);
    const kept = checkLedger(path);
    const total = [...kept.values()].reduce((sum, own) => sum + own.size, 0);
    const story = `killed after ${afterMs} ms, told of ${before} and then ${committed}, found ${total}`;
    // The last batch may have been committed without a word left to say so.
    expect([committed, committed + BATCH], story).toContain(total);
    for (let index = 0; index < total; index++) {
      const { probe, atMs, value } = writtenReading(index);
      if (kept.get(`0/${probe}`)?.get(atMs)?.value !== value) expect.fail(`reading ${index} is not there; ${story}`);
    }
    const view = new LedgerView(path);
    const { fromNothing, fromCheckpoints } = foldedBothWays(view);
    expect(fromCheckpoints, story).toEqual(fromNothing);
    sealed = total - view.hotCount();
    view.close();
    committed = total;
  }
  expect(committed).toBeGreaterThan(BATCH);
  expect(sealed).toBeGreaterThan(0);
}, 120_000);
