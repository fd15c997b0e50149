import { statSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { inTransaction, openDatabase } from '../../edge/ledger/database.ts';
import { PAYLOAD_KEPT_BYTES, Quarantine, ROWS_KEPT } from '../../edge/ledger/quarantine.ts';
import { tempFolder } from '../support/service.ts';

const junk = {
  atMs: Date.UTC(2026, 0, 15),
  probe: 'p'.repeat(64),
  reason: 'conflicting-duplicate',
  payload: new Uint8Array(65_536).fill(0x41),
  bytes: 200_000,
};

test('what strangers send stays below 50 MB, however long it is', () => {
  using folder = tempFolder();
  const path = join(folder.path, 'ledger.db');
  const database = openDatabase(path);
  const quarantine = new Quarantine(database);
  // Three bytes each in UTF-8.
  const [topic, detail] = ['€'.repeat(20_000), '€'.repeat(70_000)];
  for (let round = 0; round < 11; round++)
    inTransaction(database, () => {
      for (let item = 0; item < ROWS_KEPT / 10; item++) quarantine.add({ ...junk, topic, detail });
    });
  const [newest] = quarantine.newest(1);
  expect(newest).toMatchObject({ id: (ROWS_KEPT / 10) * 11, bytes: 200_000, reason: 'conflicting-duplicate' });
  expect(newest?.payload).toHaveLength(PAYLOAD_KEPT_BYTES);
  expect(newest?.topic).toMatch(/^€{60,66}\ufffd?…$/);
  expect(newest?.detail).toMatch(/^€{190,200}\ufffd?…$/);
  expect(quarantine.newest(3 * ROWS_KEPT).length).toBeLessThan(ROWS_KEPT + 256);
  database.close();
  expect(statSync(path).size).toBeLessThan(50e6);
});

test('what is short is kept as it came', () => {
  using folder = tempFolder();
  const database = openDatabase(join(folder.path, 'ledger.db'));
  const quarantine = new Quarantine(database);
  const item = { ...junk, topic: '€'.repeat(66), detail: 'd'.repeat(600), payload: new Uint8Array(PAYLOAD_KEPT_BYTES).fill(7) };
  quarantine.add(item);
  expect(quarantine.newest(1)).toEqual([{ ...item, id: 1 }]);
  database.close();
});
