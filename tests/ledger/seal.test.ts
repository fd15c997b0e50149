import { join } from 'node:path';
import { DatabaseSync, StatementSync } from 'node:sqlite';
import { setImmediate as turn } from 'node:timers/promises';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { type Block, decodeBlock } from '../../edge/evidence/block.ts';
import { Ledger } from '../../edge/ledger/ledger.ts';
import { LedgerView } from '../../edge/ledger/ledgerView.ts';
import { checkLedger } from '../support/ledgerCheck.ts';
import { delivery, HOUR_MS, MINUTE_MS, reading, START_MS } from '../support/readings.ts';
import { type TempFolder, tempFolder } from '../support/service.ts';

let folder: TempFolder;
let path: string;
let ledger: Ledger;
let view: LedgerView;
beforeEach(() => {
  folder = tempFolder();
  path = join(folder.path, 'ledger.db');
  ledger = new Ledger(path);
  view = new LedgerView(path);
});
afterEach(async () => {
  vi.restoreAllMocks();
  view.close();
  await ledger.close();
  folder[Symbol.dispose]();
});

const at = (minute: number) => START_MS + minute * MINUTE_MS;
const seal = (hours: number, taken = view.readings.taken) => ledger.seal(START_MS + hours * HOUR_MS, taken);

/** All blocks in ledger order: their bytes and what they say. */
function blocks(): { hex: string; block: Block; minutes: number[] }[] {
  const database = new DatabaseSync(path);
  const rows = database.prepare('SELECT body FROM leaf WHERE kind = 2 ORDER BY seq').all();
  database.close();
  return rows.map(({ body }) => {
    const block = decodeBlock(body as Uint8Array);
    const minutes = block.readings.map(({ atMs }) => (atMs - START_MS) / MINUTE_MS);
    return { hex: Buffer.from(body as Uint8Array).toString('hex'), block, minutes };
  });
}

describe('sealing', () => {
  test('makes one block for each series and hour that has ended, and leaves the rest', async () => {
    const minutes = [0, 30, 59, 60, 119, 120, 150];
    ledger.deliver([
      ...minutes.map((minute) => delivery(reading(at(minute), minute))),
      delivery(reading(at(10), 1, { probe: 'p2' }), reading(at(10), 2, { quantity: 1 }), reading(at(11), 3, { quantity: 1 })),
    ]);
    expect(await seal(2)).toBe(4);
    expect(blocks().map(({ block, minutes: own }) => [block.probe, block.quantity, own])).toEqual([
      ['p1', 0, [0, 30, 59]],
      ['p1', 0, [60, 119]],
      ['p2', 0, [10]],
      ['p1', 1, [10, 11]],
    ]);
    expect(view.hotCount()).toBe(2);
    expect(await seal(2)).toBe(0);
    expect(await seal(3)).toBe(1);
    expect(view.hotCount()).toBe(0);
  });

  test('keeps all that is known of a reading', async () => {
    const all = [
      reading(at(0), -5000, { basis: 2, arrivalMs: at(500), monoMs: 12, boot: 3 }),
      reading(at(1), 85_000, { basis: 1, arrivalMs: at(2), monoMs: 1, boot: 4 }),
    ];
    ledger.deliver([delivery(...all)]);
    await seal(1);
    expect(blocks().map(({ block }) => block)).toEqual([
      { probe: 'p1', quantity: 0, readings: all.map(({ probe: _probe, quantity: _quantity, ...stored }) => stored) },
    ]);
  });

  test('puts what comes late for a sealed hour into a further block and changes no sealed one', async () => {
    ledger.deliver([delivery(reading(at(0), 1), reading(at(40), 2))]);
    await seal(1);
    const [first] = blocks();
    ledger.deliver([delivery(reading(at(20), 3), reading(at(0), 1))]);
    await seal(1);
    ledger.deliver([delivery(reading(at(50), 4))]);
    await seal(1);
    expect(blocks().map(({ minutes }) => minutes)).toEqual([[0, 40], [20], [50]]);
    expect(blocks()[0]).toEqual(first);
    expect([...view.readings.range('p1', 0, at(0), at(60)).value]).toEqual([1, 3, 2, 4]);
  });

  test('up to the middle of an hour makes a block of what was measured by then, and a further one of the rest', async () => {
    ledger.deliver([delivery(...[0, 29, 30, 40].map((minute) => reading(at(minute), minute)))]);
    expect(await seal(0.5)).toBe(1);
    expect(await seal(1)).toBe(1);
    expect(blocks().map(({ minutes }) => minutes)).toEqual([
      [0, 29],
      [30, 40],
    ]);
    expect([...view.readings.range('p1', 0, at(0), at(60)).value]).toEqual([0, 29, 30, 40]);
  });

  test('leaves what was taken after the folds were kept, late or not, for the next time', async () => {
    ledger.deliver([delivery(reading(at(0), 1), reading(at(10), 2))]);
    ledger.deliver([delivery(reading(at(5), 3), reading(at(70), 4))]);
    expect(await seal(5, 2)).toBe(1);
    expect(blocks().map(({ minutes }) => minutes)).toEqual([[0, 10]]);
    expect(view.readings.hotSince(0).map(({ taken }) => taken)).toEqual([3, 4]);
    expect(view.readings.taken).toBe(4);
  });

  test('lets others write between its transactions, and does not seal what they add', async () => {
    // More series than go into one transaction.
    const probes = Array.from({ length: 150 }, (_, index) => `p${String(index).padStart(3, '0')}`);
    ledger.deliver(probes.map((probe) => delivery(reading(at(0), 1, { probe }))));
    const sealing = ledger.seal(START_MS + HOUR_MS, 150);
    const some = view.hotCount();
    expect(some).toBeGreaterThan(0);
    expect(some).toBeLessThan(150);
    ledger.deliver(probes.map((probe) => delivery(reading(at(1), 2, { probe }), reading(at(0), 1, { probe }))));
    await turn();
    ledger.deliver([delivery(reading(at(2), 3, { probe: 'p149' }))]);
    expect(await sealing).toBe(150);
    expect(blocks().map(({ minutes }) => minutes)).toEqual(probes.map(() => [0]));
    expect(view.hotCount()).toBe(151);
    expect(await seal(1)).toBe(150);
    expect([...view.readings.range('p149', 0, at(0), at(60)).value]).toEqual([1, 2, 3]);
    view.close();
    await ledger.close();
    checkLedger(path);
    ledger = new Ledger(path);
    view = new LedgerView(path);
  });

  test('asked for twice at once is done one after the other, each as far as it was asked', async () => {
    ledger.deliver([delivery(reading(at(0), 1), reading(at(70), 2), reading(at(130), 3))]);
    expect(await Promise.all([seal(1), seal(2), seal(1)])).toEqual([1, 1, 0]);
    expect(blocks().map(({ minutes }) => minutes)).toEqual([[0], [70]]);
  });

  test('goes on after a pass that failed', async () => {
    ledger.deliver([delivery(reading(at(0), 1))]);
    vi.spyOn(StatementSync.prototype, 'run').mockImplementationOnce(() => {
      throw new Error('disk full');
    });
    const [failed, done] = await Promise.allSettled([seal(1), seal(1)]);
    expect(failed).toMatchObject({ status: 'rejected', reason: { message: 'disk full' } });
    expect(done).toEqual({ status: 'fulfilled', value: 1 });
    expect(blocks()).toHaveLength(1);
  });

  test('is over before the ledger closes', async () => {
    ledger.deliver(Array.from({ length: 200 }, (_, index) => delivery(reading(at(0), 1, { probe: `p${index}` }))));
    const sealing = seal(1);
    await ledger.close();
    expect(await sealing).toBe(200);
    ledger = new Ledger(path);
    expect(blocks()).toHaveLength(200);
  });
});
