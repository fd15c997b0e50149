import { chmodSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { parseNote, verifyNote } from '../../edge/evidence/note.ts';
import { BatchBuilder, type MessageBatch } from '../../edge/keeper/batch.ts';
import { Keeper, LedgerFault } from '../../edge/keeper/keeper.ts';
import type { Said } from '../../edge/ledger/ledger.ts';
import { checkLedger } from '../support/ledgerCheck.ts';
import { temperature } from '../support/probe.ts';
import { type TempFolder, tempFolder } from '../support/service.ts';

const NOW = { wallMs: Date.UTC(2026, 0, 15, 14, 30), monoMs: 1000 };
const sump = (name: string): Said => ({
  statement: { kind: 'sump.added', sump: name, label: name },
  by: { name: 'Ana', role: 'crew' },
});

function batchOf(...celsius: number[]): MessageBatch {
  const batch = new BatchBuilder();
  celsius.forEach((value, index) => {
    const pack = JSON.stringify([temperature(value, NOW.wallMs - index * 60_000)]);
    batch.add('readings', 'p1', new TextEncoder().encode(pack), NOW);
  });
  return batch.pack(true);
}

let folder: TempFolder;
let path: string;
beforeEach(() => {
  folder = tempFolder();
  path = join(folder.path, 'ledger.db');
});
afterEach(() => folder[Symbol.dispose]());

describe('the keeper of the ledger', () => {
  test('answers in the order it is asked, and what it answered is in the file', async () => {
    const keeper = await Keeper.open(path, 'yard');
    const order: string[] = [];
    const noted = async <T>(what: string, answer: Promise<T>): Promise<T> => {
      const value = await answer;
      order.push(what);
      return value;
    };
    const answers = await Promise.all([
      noted('append', keeper.append([sump('s1')], NOW.wallMs)),
      noted('deliver', keeper.deliver(batchOf(7, 7.5, 8), 1)),
      noted('keepCheckpoints', keeper.keepCheckpoints([])),
      noted('deliver again', keeper.deliver(batchOf(7, 7.5, 9), 1)),
    ]);
    expect(order).toEqual(['append', 'deliver', 'keepCheckpoints', 'deliver again']);
    expect(answers[0][0]).toMatchObject({ seq: 1, entry: { kind: 'sump.added', sump: 's1' } });
    expect(answers[1]).toMatchObject({ setAside: 0, taken: { names: ['p1'], taken: 3 } });
    expect([...answers[1].taken.value]).toEqual([7000, 7500, 8000]);
    // Two of the three were there already; the third contradicts one that was.
    expect(answers[3]).toMatchObject({ setAside: 1, taken: { taken: 3 } });
    expect(answers[3].taken.value).toHaveLength(0);
    await keeper.close();
    expect(checkLedger(path).get('0/p1')?.size).toBe(3);
  });

  test('refuses a file that is no ledger with the reason', async () => {
    writeFileSync(path, 'time,celsius\n'.repeat(100));
    await expect(Keeper.open(path, 'yard')).rejects.toThrow(/not a database/);
  });

  test('refuses what is not well formed and goes on', async () => {
    const keeper = await Keeper.open(path, 'yard');
    const fault = await keeper.append([sump('no/id')], NOW.wallMs).catch((caught: unknown) => caught);
    expect(fault).toBeInstanceOf(LedgerFault);
    expect(fault).toMatchObject({ ofStorage: false });
    expect(await keeper.append([sump('s1')], NOW.wallMs)).toHaveLength(1);
    await keeper.close();
  });

  test('writes nothing any more after a fault of the file, whatever it was asked when the fault came', async () => {
    const keeper = await Keeper.open(path, 'yard');
    await keeper.deliver(batchOf(7), 1);
    // Somebody else sits on the file for longer than SQLite is told to wait.
    const intruder = new DatabaseSync(path);
    intruder.exec('BEGIN IMMEDIATE');
    await expect(keeper.append([sump('s1')], NOW.wallMs)).rejects.toMatchObject({ ofStorage: true, message: /locked/ });
    intruder.exec('ROLLBACK');
    intruder.close();
    await expect(keeper.deliver(batchOf(7, 7.5), 1)).rejects.toMatchObject({ ofStorage: true });
    await expect(keeper.seal(NOW.wallMs, 1)).rejects.toMatchObject({ ofStorage: true });
    await expect(keeper.append([sump('s1')], NOW.wallMs)).rejects.toMatchObject({ ofStorage: true });
    await keeper.close();
    expect(checkLedger(path).get('0/p1')?.size).toBe(1);
  }, 30_000);

  test('signs for all that it was asked before, and for nothing twice', async () => {
    const keeper = await Keeper.open(path, 'yard');
    const [, first, again] = await Promise.all([
      keeper.append([sump('s1'), sump('s2')], NOW.wallMs),
      keeper.checkpoint(NOW.wallMs),
      keeper.checkpoint(NOW.wallMs + 1),
    ]);
    expect(first).toMatchObject({ size: 2, atMs: NOW.wallMs });
    expect(again).toEqual(first);
    expect(verifyNote(parseNote(first.note), 'warmhours/yard', keeper.publicKey)).toBe(true);
    await keeper.close();
    const reopened = await Keeper.open(path, 'yard');
    expect(reopened.publicKey).toEqual(keeper.publicKey);
    expect(reopened.unsound).toBeNull();
    expect(await reopened.checkpoint(NOW.wallMs + 2)).toEqual(first);
    await reopened.close();
  });

  test('writes nothing to a ledger that is not the one that was signed for', async () => {
    const keeper = await Keeper.open(path, 'yard');
    await keeper.append([sump('s1'), sump('s2'), sump('s3')], NOW.wallMs);
    await keeper.checkpoint(NOW.wallMs);
    await keeper.close();
    const database = new DatabaseSync(path);
    database.exec('DROP TRIGGER leaf_is_never_removed; DELETE FROM leaf WHERE seq = 3');
    database.close();
    const again = await Keeper.open(path, 'yard');
    expect(again.unsound).toMatch(/^the ledger has 2 leaves, and at .* there were 3 signed for/);
    for (const asked of [again.append([sump('s4')], NOW.wallMs), again.deliver(batchOf(7), 1), again.checkpoint(NOW.wallMs)])
      await expect(asked).rejects.toMatchObject({ ofStorage: true, message: again.unsound });
    await again.close();
    const left = new DatabaseSync(path, { readOnly: true });
    expect(left.prepare('SELECT count(*) AS n FROM leaf').get()?.n).toBe(2);
    left.close();
  });

  test('does not open with a site key that others can read', async () => {
    await (await Keeper.open(path, 'yard')).close();
    chmodSync(join(folder.path, 'site-key'), 0o644);
    await expect(Keeper.open(path, 'yard')).rejects.toThrow(/site-key has the mode 0644/);
  });

  test('answers nobody after it was closed', async () => {
    const keeper = await Keeper.open(path, 'yard');
    await keeper.close();
    await expect(keeper.deliver(batchOf(7), 1)).rejects.toBeInstanceOf(LedgerFault);
  });
});
