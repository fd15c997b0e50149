import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { Ledger } from '../../edge/ledger/ledger.ts';
import { LedgerView } from '../../edge/ledger/ledgerView.ts';
import type { IncomingReading } from '../../edge/ledger/taker.ts';
import { InfluxEngine } from '../../edge/relay/influx.ts';
import { Mirror } from '../../edge/relay/mirror.ts';
import type { Point } from '../../edge/relay/points.ts';
import { checkLedger } from '../support/ledgerCheck.ts';
import { delivery, HOUR_MS, reading, START_MS } from '../support/readings.ts';
import { type TempFolder, tempFolder } from '../support/service.ts';
import { HandTime } from './handTime.ts';
import { freePort, startVictoria, type Victoria } from './victoria.ts';

const NAMES = ['temperature_value', 'humidity_value', 'battery_volts_value', 'battery_percent_value'];
const HOURS = 8;
/** Four probes every 7 s, some of it humidity and battery: enough for several batches. */
const STEP_MS = 7_000;

let folder: TempFolder;
let path: string;
let ledger: Ledger;
let view: LedgerView;
let port: number;
let victoria: Victoria;
let time: HandTime;
let said: string[];
/** Points that the engine said it took. */
let sent: number;
beforeEach(async () => {
  folder = tempFolder();
  path = join(folder.path, 'ledger.db');
  ledger = new Ledger(path);
  view = new LedgerView(path);
  port = await freePort();
  victoria = await startVictoria(join(folder.path, 'victoria'), port);
  time = new HandTime();
  said = [];
  sent = 0;
});
afterEach(async () => {
  await victoria.stop();
  view.close();
  await ledger.close();
  folder[Symbol.dispose]();
});

function written(): IncomingReading[] {
  const readings: IncomingReading[] = [];
  for (let index = 0; index * STEP_MS < HOURS * HOUR_MS; index++) {
    const atMs = START_MS + index * STEP_MS + 3;
    for (const [number, probe] of ['p1', 'p2', 'n-base.a_1', 'p3'].entries())
      readings.push(reading(atMs, ((index * 37 + number * 1009) % 40_000) - 9_999, { probe }));
    if (index % 10 === 0) readings.push(reading(atMs, 40_000 + index, { probe: 'p1', quantity: 1 }));
    if (index % 50 === 0) readings.push(reading(atMs, 3_300 - index, { probe: 'p2', quantity: 2 }));
    if (index % 50 === 0) readings.push(reading(atMs, 100_000 - index, { probe: 'p3', quantity: 3 }));
  }
  return readings;
}

/** A ledger of sealed hours, with a late part in a block of its own and a last hour that is not sealed yet. */
async function fill(): Promise<void> {
  const all = written();
  // The buffered readings of one probe come when their hours have long been sealed.
  const late = all.filter(({ probe, atMs }) => probe === 'p3' && atMs < START_MS + 2 * HOUR_MS && atMs % 3 === 0);
  ledger.deliver([delivery(...all.filter((one) => !late.includes(one)))]);
  await ledger.seal(START_MS + (HOURS - 1) * HOUR_MS, view.readings.taken);
  ledger.deliver([delivery(...late)]);
  await ledger.seal(START_MS + (HOURS - 1) * HOUR_MS, view.readings.taken);
}

/** What the engine should have, read past the program's own store. */
function sealed(untilMs: number): Map<string, Map<number, number>> {
  const found = new Map<string, Map<number, number>>();
  for (const [key, own] of checkLedger(path)) {
    const [quantity, probe] = [Number(key.slice(0, 1)), key.slice(2)];
    const samples = [...own.values()]
      .filter(({ atMs }) => atMs < untilMs)
      .map(({ atMs, value }) => [atMs, value / 1000] as const);
    found.set(`${NAMES[quantity]}/yard/${probe}`, new Map(samples));
  }
  return found;
}
/** The engine shows what it took a moment later than it says so. */
const seen = () => expect.poll(() => victoria.samples(), { timeout: 15_000, interval: 200 });
const count = (samples: Map<string, Map<number, number>>) => [...samples.values()].reduce((sum, own) => sum + own.size, 0);

/** `before`: called before each batch leaves. */
function startMirror(before: (batch: number) => Promise<void> = async () => {}): Mirror {
  const engine = new InfluxEngine({ url: `http://127.0.0.1:${port}`, org: '', bucket: 'cure', token: '' });
  let batch = 0;
  return Mirror.start({
    site: 'yard',
    ledger: view,
    keepCursor: async (name, seq) => ledger.keepCursor(name, seq),
    engine: {
      name: engine.name,
      close: () => engine.close(),
      async write(points: readonly Point[]) {
        await before(++batch);
        await engine.write(points);
        sent += points.length;
      },
    },
    sleep: time.sleep,
    chance: () => 0,
    log: (line) => said.push(line),
  });
}

test('every sealed reading, late ones too, stands in the engine with its instant and value, once', async () => {
  await fill();
  const mirror = startMirror();
  await time.asleep();
  const untilMs = START_MS + (HOURS - 1) * HOUR_MS;
  const expected = sealed(untilMs);
  expect(count(expected)).toBeGreaterThan(14_000);
  expect(sent).toBe(count(expected));
  await seen().toEqual(expected);

  // The hour that has been waiting, and a reading that comes late for the first.
  ledger.deliver([delivery(reading(START_MS + 1, 12_345, { probe: 'p9' }))]);
  await ledger.seal(START_MS + HOURS * HOUR_MS, view.readings.taken);
  const next = time.asleep();
  mirror.wake();
  await next;
  await mirror.stop();
  const all = sealed(Number.POSITIVE_INFINITY);
  expect(count(all)).toBe(written().length + 1);
  expect(sent).toBe(count(all));
  await seen().toEqual(all);

  // A mirror that starts again has nothing to send.
  const begun = time.asleep();
  const again = startMirror(() => Promise.reject(new Error('it sends something')));
  await begun;
  await again.stop();
  expect(said).toEqual([]);
  expect(sent).toBe(count(all));
});

test('an engine that is gone for a while, and a program that dies before its cursor is kept, leave the same in the end', async () => {
  await fill();
  const expected = sealed(START_MS + (HOURS - 1) * HOUR_MS);
  const first = startMirror(async (batch) => {
    if (batch === 2) await victoria.stop();
  });
  await time.asleep();
  expect(said).toEqual([
    expect.stringMatching(/^MIRROR: http:\S+ bucket "cure" gets no readings \(.*(ECONNREFUSED|hang up|ECONNRESET)/),
  ]);
  const cursorOf = () => view.cursor(`mirror http://127.0.0.1:${port} bucket "cure"`);
  const kept = cursorOf();
  expect(kept).toBeGreaterThan(0);
  await time.pass();
  expect(time.slept).toEqual([1000, 2000]);

  victoria = await startVictoria(join(folder.path, 'victoria'), port);
  expect(count(await victoria.samples())).toBeLessThan(count(expected));
  await time.pass();
  await first.stop();
  expect(said.slice(1)).toEqual([expect.stringMatching(/takes readings again$/)]);
  await seen().toEqual(expected);

  // As if the program had died between the engine's answer and the cursor: the last batches are sent a second time.
  expect(sent).toBe(count(expected));
  ledger.keepCursor(`mirror http://127.0.0.1:${port} bucket "cure"`, kept);
  const begun = time.asleep();
  const second = startMirror();
  await begun;
  await second.stop();
  expect(sent).toBeGreaterThan(count(expected));
  await seen().toEqual(expected);
});
