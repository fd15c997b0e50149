import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { readingsIn, slicesOf } from '../../edge/intake/csv.ts';
import { importedReadings } from '../../edge/intake/imported.ts';
import { TIME_BASES } from '../../edge/intake/quantities.ts';
import { BatchBuilder } from '../../edge/keeper/batch.ts';
import { Keeper } from '../../edge/keeper/keeper.ts';
import { LedgerView } from '../../edge/ledger/ledgerView.ts';
import { sourceOf } from '../../edge/site/sources.ts';
import { checkLedger } from '../support/ledgerCheck.ts';
import { temperature } from '../support/probe.ts';
import { HOUR_MS, MINUTE_MS, reading, START_MS } from '../support/readings.ts';
import { type TempFolder, tempFolder } from '../support/service.ts';

const ARRIVAL = { wallMs: START_MS + 1000 * HOUR_MS, monoMs: 5000 };
const TEMPERATURE = 0;
const HUMIDITY = 1;
const SHA256 = 'abcdef0123456789'.repeat(4);

let folder: TempFolder;
let path: string;
let keeper: Keeper;
beforeEach(async () => {
  folder = tempFolder();
  path = join(folder.path, 'ledger.db');
  keeper = await Keeper.open(path, 'yard');
});
afterEach(async () => {
  await keeper.close();
  folder[Symbol.dispose]();
});

const minutes = (count: number, source = sourceOf('p1', SHA256)) =>
  Array.from({ length: count }, (_, minute) => reading(START_MS + minute * MINUTE_MS, 5000 + (minute % 300), { probe: source }));

describe('readings of a file', () => {
  test('are kept in pieces, all of them, and once', async () => {
    const file = minutes(25_001);
    expect(await keeper.importReadings(file)).toEqual({ new: 25_001, same: 0, conflicts: 0, taken: 25_001 });
    expect(await keeper.importReadings(file.toReversed())).toEqual({ new: 0, same: 25_001, conflicts: 0, taken: 25_001 });
    expect(checkLedger(path).get(`${TEMPERATURE}/p1#abcdef012345`)?.size).toBe(25_001);
  });

  test('may be none', async () => {
    expect(await keeper.importReadings([])).toEqual({ new: 0, same: 0, conflicts: 0, taken: 0 });
  });

  test('that contradict kept ones are counted and left out; they go to no quarantine', async () => {
    await keeper.importReadings(minutes(10));
    const changed = minutes(12).map((one, index) => (index < 3 ? { ...one, value: one.value + 1 } : one));
    expect(await keeper.importReadings(changed)).toEqual({ new: 2, same: 7, conflicts: 3, taken: 12 });
    const ledger = new LedgerView(path);
    expect(ledger.readings.range('p1#abcdef012345', TEMPERATURE, START_MS, START_MS + 1).value).toEqual(Int32Array.of(5000));
    expect(ledger.quarantined()).toBe(0);
    ledger.close();
  });

  test('are a series of their own beside what the probe sent, sealed and again found the same', async () => {
    const batch = new BatchBuilder();
    const sent = JSON.stringify([temperature(7.25, START_MS)]);
    batch.add('readings', 'p1', new TextEncoder().encode(sent), ARRIVAL);
    await keeper.deliver(batch.pack(true), 1);
    const file = minutes(120);
    const { taken } = await keeper.importReadings(file);
    expect(taken).toBe(121);
    expect(await keeper.seal(START_MS + 3 * HOUR_MS, taken)).toBe(3);
    expect(await keeper.importReadings(file)).toEqual({ new: 0, same: 120, conflicts: 0, taken: 121 });
    const ledger = new LedgerView(path);
    expect(ledger.hotCount()).toBe(0);
    const own = (probe: string) => ledger.readings.range(probe, TEMPERATURE, 0, Number.POSITIVE_INFINITY).value.length;
    expect([own('p1'), own('p1#abcdef012345')]).toEqual([1, 120]);
    ledger.close();
  });

  test('let what probes send in between', async () => {
    const order: string[] = [];
    const imported = keeper.importReadings(minutes(60_000)).then(() => order.push('file'));
    const batch = new BatchBuilder();
    batch.add('readings', 'p2', new TextEncoder().encode(JSON.stringify([temperature(7.25, START_MS)])), ARRIVAL);
    await keeper.deliver(batch.pack(true), 1).then(() => order.push('probe'));
    await imported;
    expect(order).toEqual(['probe', 'file']);
  });

  test('are those of the file, by the logger’s clock, humidity and all', async () => {
    const text = `time,celsius,humidity\n${new Date(START_MS).toISOString()},7.25,61\n${new Date(START_MS + 1000).toISOString()},7.5,\n`;
    const file = await readingsIn(slicesOf(new TextEncoder().encode(text)), 'log.csv');
    const source = sourceOf('p1', file.sha256);
    const readings = [...importedReadings(source, file, ARRIVAL, 3)];
    const came = { probe: source, arrivalMs: ARRIVAL.wallMs, monoMs: 5000, boot: 3, basis: TIME_BASES.indexOf('imported') };
    expect(readings).toEqual([
      { ...came, quantity: TEMPERATURE, atMs: START_MS, value: 7250 },
      { ...came, quantity: HUMIDITY, atMs: START_MS, value: 61_000 },
      { ...came, quantity: TEMPERATURE, atMs: START_MS + 1000, value: 7500 },
    ]);
    expect(await keeper.importReadings(readings)).toMatchObject({ new: 3 });
    const ledger = new LedgerView(path);
    expect(ledger.readings.hotSince(0)).toMatchObject([{ basis: 3, probe: source }, { quantity: HUMIDITY }, { value: 7500 }]);
    ledger.close();
  });
});
