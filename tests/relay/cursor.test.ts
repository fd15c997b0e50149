import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { Keeper } from '../../edge/keeper/keeper.ts';
import { Ledger } from '../../edge/ledger/ledger.ts';
import { LedgerView } from '../../edge/ledger/ledgerView.ts';
import { delivery, HOUR_MS, MINUTE_MS, reading, START_MS } from '../support/readings.ts';
import { type TempFolder, tempFolder } from '../support/service.ts';

let folder: TempFolder;
let path: string;
beforeEach(() => {
  folder = tempFolder();
  path = join(folder.path, 'ledger.db');
});
afterEach(() => folder[Symbol.dispose]());

test('blocks are read after a leaf, whole, in ledger order, past entries, until there are enough readings', async () => {
  const ledger = new Ledger(path);
  const view = new LedgerView(path);
  expect(view.blocksAfter(0, 10)).toEqual([]);
  for (let hour = 0; hour < 4; hour++) {
    const by = { name: 'Ana', role: 'crew' } as const;
    ledger.append([{ statement: { kind: 'note.added', text: `hour ${hour}` }, by }], START_MS);
    const minutes = [0, 1, 2, 3, 4];
    ledger.deliver([delivery(...minutes.map((minute) => reading(START_MS + hour * HOUR_MS + minute * MINUTE_MS, hour)))]);
    await ledger.seal(START_MS + (hour + 1) * HOUR_MS, view.readings.taken);
  }
  ledger.deliver([delivery(reading(START_MS + 5 * HOUR_MS, 5))]);
  const seqs = (after: number, readingsMost: number) => view.blocksAfter(after, readingsMost).map(({ seq }) => seq);
  expect(seqs(0, 1)).toEqual([2]);
  expect(seqs(0, 5)).toEqual([2]);
  expect(seqs(0, 6)).toEqual([2, 4]);
  expect(seqs(2, 11)).toEqual([4, 6, 8]);
  expect(seqs(3, 100)).toEqual([4, 6, 8]);
  expect(seqs(8, 100)).toEqual([]);
  expect(view.blocksAfter(6, 100)).toEqual([
    { seq: 8, block: expect.objectContaining({ probe: 'p1', quantity: 0, readings: expect.objectContaining({ length: 5 }) }) },
  ]);
  // Stopping early holds no old state of the file: what is written next can be seen.
  ledger.deliver([delivery(reading(START_MS + 5 * HOUR_MS + 1, 5))]);
  await ledger.seal(START_MS + 6 * HOUR_MS, view.readings.taken);
  expect(seqs(8, 100)).toEqual([9]);
  view.close();
  await ledger.close();
});

test('cursors are kept by name through the writing thread, and over a restart', async () => {
  const keeper = await Keeper.open(path, 'yard');
  const view = new LedgerView(path);
  expect(view.cursor('one')).toBe(0);
  await keeper.keepCursor('one', 7);
  await keeper.keepCursor('another', 3);
  await keeper.keepCursor('one', 12);
  expect([view.cursor('one'), view.cursor('another'), view.cursor('third')]).toEqual([12, 3, 0]);
  view.close();
  await keeper.close();
  const again = new LedgerView(path);
  expect(again.cursor('one')).toBe(12);
  again.close();
});
