import { renameSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { LedgerMoved } from '../../edge/ledger/inPlace.ts';
import { Ledger } from '../../edge/ledger/ledger.ts';
import { tempFolder } from '../support/service.ts';

const said = [{ statement: { kind: 'sump.added', sump: 's1', label: 'North' }, by: { name: 'Ana', role: 'crew' } }] as const;

test.each<[string, (path: string) => void]>([
  ['the ledger is deleted', (path) => rmSync(path)],
  ['the ledger is moved away', (path) => renameSync(path, `${path}.old`)],
  ['its write-ahead log is deleted', (path) => rmSync(`${path}-wal`)],
])('nothing is called kept once %s', async (_what, harm) => {
  using folder = tempFolder();
  const path = join(folder.path, 'ledger.db');
  const ledger = new Ledger(path);
  ledger.append(said, 0);
  expect(ledger.deliver([]).taken).toEqual([]);
  harm(path);
  expect(() => ledger.append(said, 0)).toThrow(LedgerMoved);
  expect(() => ledger.deliver([])).toThrow(/removed or replaced while it was in use/);
  await ledger.close();
});
