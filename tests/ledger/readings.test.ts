import { join } from 'node:path';
import { StatementSync } from 'node:sqlite';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { Ledger } from '../../edge/ledger/ledger.ts';
import { LedgerView } from '../../edge/ledger/ledgerView.ts';
import type { IncomingReading } from '../../edge/ledger/taker.ts';
import { checkLedger } from '../support/ledgerCheck.ts';
import { delivery, HOUR_MS, MINUTE_MS, reading, START_MS } from '../support/readings.ts';
import { type TempFolder, tempFolder } from '../support/service.ts';

const EVER = Number.POSITIVE_INFINITY;
const LATER_MS = START_MS + 100 * HOUR_MS;

let folder: TempFolder;
let path: string;
let ledger: Ledger;
let view: LedgerView;
const open = () => {
  ledger = new Ledger(path);
  view = new LedgerView(path);
};
const close = async () => {
  view.close();
  await ledger.close();
};
beforeEach(() => {
  folder = tempFolder();
  path = join(folder.path, 'ledger.db');
  open();
});
afterEach(async () => {
  vi.restoreAllMocks();
  await close();
  folder[Symbol.dispose]();
});

/** Readings of a probe as pairs of instant and value. */
const range = (probe = 'p1', quantity = 0, fromMs = -EVER, untilMs = EVER) => {
  const { atMs, value } = view.readings.range(probe, quantity, fromMs, untilMs);
  return Array.from(atMs, (at, index) => [at, value[index]]);
};
const sealAll = () => ledger.seal(LATER_MS, view.readings.taken);

describe('readings', () => {
  test('come back in time order, hot and sealed as one, from the first instant asked for to before the last', async () => {
    const at = (minute: number) => START_MS + minute * MINUTE_MS;
    ledger.deliver([delivery(reading(at(10), 1010), reading(at(5), 1005), reading(at(70), 1070))]);
    await sealAll();
    ledger.deliver([delivery(reading(at(7), 1007), reading(at(65), 1065), reading(at(130), 1130))]);
    await sealAll();
    ledger.deliver([delivery(reading(at(6), 1006), reading(at(200), 1200), reading(at(71), 1071))]);
    const all = [5, 6, 7, 10, 65, 70, 71, 130, 200].map((minute) => [at(minute), 1000 + minute]);
    expect(range()).toEqual(all);
    for (let from = 0; from < all.length; from++)
      for (let until = from; until < all.length; until++) {
        const [fromMs, untilMs] = [all[from]?.[0], all[until]?.[0]] as [number, number];
        expect(range('p1', 0, fromMs, untilMs), `${from} to ${until}`).toEqual(all.slice(from, until));
        expect(range('p1', 0, fromMs + 1, untilMs + 1)).toEqual(all.slice(from + 1, until + 1));
      }
    expect(view.readings.taken).toBe(9);
    expect(view.hotCount()).toBe(3);
  });

  test('of other probes and quantities stay apart', () => {
    ledger.deliver([
      delivery(reading(START_MS, 1), reading(START_MS, 2, { probe: 'p2' }), reading(START_MS, 3, { quantity: 1 })),
      delivery(reading(START_MS + 1, 4, { quantity: 1 })),
    ]);
    expect([range('p1'), range('p2'), range('p1', 1), range('p2', 1), range('none')]).toEqual([
      [[START_MS, 1]],
      [[START_MS, 2]],
      [
        [START_MS, 3],
        [START_MS + 1, 4],
      ],
      [],
      [],
    ]);
  });

  test('that move into a block while somebody reads are seen once', async () => {
    ledger.deliver([delivery(...Array.from({ length: 5 }, (_, index) => reading(START_MS + index, index)))]);
    const all = StatementSync.prototype.all;
    let moved = false;
    let sealing: Promise<number> | null = null;
    vi.spyOn(StatementSync.prototype, 'all').mockImplementation(function (this: StatementSync, ...values) {
      const rows = all.apply(this, values);
      // As the writing thread may do at any time: here, right after the reader has seen the hot rows.
      if (!moved && rows.length === 5) {
        moved = true;
        sealing = ledger.seal(LATER_MS, 5);
      }
      return rows;
    });
    expect(range()).toEqual([0, 1, 2, 3, 4].map((index) => [START_MS + index, index]));
    expect(await sealing).toBe(1);
    expect(view.hotCount()).toBe(0);
    expect(range()).toHaveLength(5);
  });

  test('newest of every series, hot or sealed, after reopening too', async () => {
    ledger.deliver([delivery(reading(START_MS + 5, 50), reading(START_MS + 9, 90, { probe: 'p2' }))]);
    await sealAll();
    ledger.deliver([
      delivery(reading(START_MS + 7, 70, { probe: 'p2' }), reading(START_MS + 6, 60), reading(START_MS, 1, { quantity: 2 })),
    ]);
    const newest = [
      { probe: 'p1', quantity: 0, atMs: START_MS + 6, value: 60 },
      { probe: 'p2', quantity: 0, atMs: START_MS + 9, value: 90 },
      { probe: 'p1', quantity: 2, atMs: START_MS, value: 1 },
    ];
    expect(view.readings.latest()).toEqual(newest);
    await close();
    open();
    expect(view.readings.latest()).toEqual(newest);
    expect(view.readings.taken).toBe(5);
  });
});

describe('a reading that comes again', () => {
  test.each([
    ['before sealing', async () => {}],
    ['after sealing', async () => void (await sealAll())],
    [
      'after sealing and reopening',
      async () => {
        await sealAll();
        await close();
        open();
      },
    ],
  ])('%s: the same is taken once, another value is set aside and the first stays', async (_, between) => {
    const first = reading(START_MS, 7500);
    expect(ledger.deliver([delivery(first)])).toEqual({ taken: [first], takenInAll: 1, setAside: 0 });
    await between();
    // Another arrival, clock basis or boot does not make it another reading.
    const again = reading(START_MS, 7500, { arrivalMs: START_MS + HOUR_MS, basis: 1, boot: 2 });
    expect(ledger.deliver([delivery(again), delivery(again)])).toEqual({ taken: [], takenInAll: 1, setAside: 0 });
    expect(view.quarantined()).toBe(0);

    const other = reading(START_MS, 9250, { arrivalMs: START_MS + HOUR_MS });
    expect(ledger.deliver([delivery(other)])).toEqual({ taken: [], takenInAll: 1, setAside: 1 });
    expect(range()).toEqual([[START_MS, 7500]]);
    expect(view.quarantine(5)).toMatchObject([
      {
        reason: 'conflicting-duplicate',
        topic: 'cure/yard/probe/p1/senml',
        probe: 'p1',
        atMs: START_MS + HOUR_MS,
        detail: 'at 2026-01-15T14:00:00.000Z the probe first said 7.5, now 9.25; the first is kept',
      },
    ]);
    await close();
    expect(checkLedger(path).get('0/p1')?.get(START_MS)).toEqual({ ...first, probe: undefined, quantity: undefined });
    open();
  });

  test('within one message or one commit is settled in the order it stands', () => {
    const values = [1000, 2000, 1000];
    const { taken, setAside } = ledger.deliver([
      delivery(...values.map((value) => reading(START_MS, value))),
      delivery(reading(START_MS, 2000)),
    ]);
    expect([taken.length, setAside]).toEqual([1, 2]);
    expect(range()).toEqual([[START_MS, 1000]]);
  });
});

describe('whatever comes, in whatever order, sealed whenever', () => {
  const readings = fc.record({
    probe: fc.constantFrom('p1', 'p2'),
    quantity: fc.constantFrom(0, 1),
    // Few instants over a few hours, so that duplicates, neighbours and hour ends are common.
    at: fc.oneof(
      fc.integer({ min: 0, max: 12 }).map((step) => step * 20 * MINUTE_MS),
      fc.constantFrom(HOUR_MS - 1, HOUR_MS + 1),
    ),
    value: fc.constantFrom(7000, 7062, -5000),
  });
  const steps = fc.array(
    fc.oneof(
      {
        weight: 3,
        arbitrary: fc.record({ messages: fc.array(fc.array(readings, { maxLength: 6 }), { minLength: 1, maxLength: 4 }) }),
      },
      { weight: 1, arbitrary: fc.record({ sealHours: fc.integer({ min: 0, max: 5 }) }) },
      { weight: 1, arbitrary: fc.constant('reopen' as const) },
    ),
    { minLength: 1, maxLength: 12 },
  );

  test('the first value of every instant is kept once, the rest of other values is set aside', async () => {
    await fc.assert(
      fc.asyncProperty(steps, async (plan) => {
        using own = tempFolder();
        const file = join(own.path, 'ledger.db');
        let writer = new Ledger(file);
        let reader = new LedgerView(file);
        const kept = new Map<string, Map<number, IncomingReading>>();
        let conflicts = 0;
        let arrivals = 0;
        for (const step of plan) {
          if (step === 'reopen') {
            reader.close();
            await writer.close();
            writer = new Ledger(file);
            reader = new LedgerView(file);
          } else if ('sealHours' in step) await writer.seal(START_MS + step.sealHours * HOUR_MS, reader.readings.taken);
          else {
            const messages = step.messages.map((message) =>
              message.map(({ at, ...rest }) => reading(START_MS + at, rest.value, { ...rest, arrivalMs: START_MS + arrivals++ })),
            );
            for (const message of messages) {
              let contradicts = false;
              for (const incoming of message) {
                const key = `${incoming.quantity}/${incoming.probe}`;
                const own = kept.get(key) ?? new Map<number, IncomingReading>();
                kept.set(key, own);
                const before = own.get(incoming.atMs);
                if (before === undefined) own.set(incoming.atMs, incoming);
                else if (before.value !== incoming.value) contradicts = true;
              }
              if (contradicts) conflicts++;
            }
            writer.deliver(messages.map((message) => delivery(...message)));
          }
          expect(reader.quarantined()).toBe(conflicts);
          expect(reader.readings.taken).toBe([...kept.values()].reduce((sum, own) => sum + own.size, 0));
          for (const [key, own] of kept) {
            const [quantity = '', probe = ''] = key.split('/');
            const { atMs, value } = reader.readings.range(probe, Number(quantity), -EVER, EVER);
            const expected = [...own.values()].sort((a, b) => a.atMs - b.atMs);
            expect([...atMs]).toEqual(expected.map((one) => one.atMs));
            expect([...value]).toEqual(expected.map((one) => one.value));
          }
        }
        reader.close();
        await writer.close();
        const found = checkLedger(file);
        for (const [key, own] of kept)
          for (const [atMs, { probe: _probe, quantity: _quantity, ...stored }] of own)
            expect(found.get(key)?.get(atMs)).toEqual(stored);
      }),
      { numRuns: 30 },
    );
  });
});
