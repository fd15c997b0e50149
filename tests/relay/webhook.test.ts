import { setTimeout as pause } from 'node:timers/promises';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import type { NumberedEntry } from '../../edge/ledger/leaves.ts';
import { waitMs } from '../../edge/relay/backOff.ts';
import { keyIn, signedHeaders } from '../../edge/relay/signature.ts';
import { Webhook, type WebhookParts } from '../../edge/relay/webhook.ts';
import { type By, Entry } from '../../edge/site/entries.ts';
import { HandClock } from '../support/clock.ts';
import { HandTime } from './handTime.ts';
import { type Receiver, startReceiver } from './receiver.ts';
import { freePort } from './victoria.ts';

const START_MS = Date.parse('2026-01-15T18:00:00Z');
const HOUR_MS = 3_600_000;
const IDLE_MS = 10 * 60_000;
const SPANS = { firstMs: 2_000, longestMs: 10 * 60_000 };
const SECRET = 'whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw';
const key = keyIn(SECRET) ?? expect.fail('no key');
const system: By = { name: 'warmhours', role: 'system' };
const crew: By = { name: 'R. Oak', role: 'crew' };

/** Entries and cursors in memory, with the ledger's own rules. */
class WrittenLedger {
  readonly entries: NumberedEntry[] = [];
  readonly cursors = new Map<string, number>();
  fault: Error | null = null;
  nowMs = START_MS;

  add(statement: object, by: By = system): number {
    const seq = (this.entries.at(-1)?.seq ?? 0) + 2;
    this.entries.push({ seq, entry: Entry.parse({ ...statement, by, recordedAt: new Date(this.nowMs).toISOString() }) });
    return seq;
  }

  raise(number: number): number {
    const warning = `cold-ahead:j${number}:${START_MS}`;
    return this.add({ kind: 'warning.raised', warning, code: 'cold-ahead', owner: `j${number}`, numbers: { lowMilliC: -1000 } });
  }

  entriesAfter(seq: number): NumberedEntry[] {
    return this.entries.filter((numbered) => numbered.seq > seq);
  }

  cursor(name: string): number {
    return this.cursors.get(name) ?? 0;
  }

  async keepCursor(name: string, seq: number): Promise<void> {
    if (this.fault !== null) throw this.fault;
    this.cursors.set(name, seq);
  }
}

let receiver: Receiver;
let ledger: WrittenLedger;
let time: HandTime;
let clock: HandClock;
let said: string[];
let webhook: Webhook | null;
beforeEach(async () => {
  receiver = await startReceiver();
  ledger = new WrittenLedger();
  ledger.add({ kind: 'note.added', text: 'the beginning' }, crew);
  time = new HandTime();
  clock = new HandClock(START_MS);
  said = [];
  webhook = null;
});
afterEach(async () => {
  await webhook?.stop();
  await receiver[Symbol.asyncDispose]();
});

/** Starts the webhook; resolves when it sleeps. */
async function start(parts: Partial<WebhookParts> = {}): Promise<Webhook> {
  const asleep = time.asleep();
  webhook = Webhook.start({
    site: 'yard',
    settings: { url: `${receiver.url}/hook?key=query-secret`, key },
    ledger,
    keepCursor: (name, seq) => ledger.keepCursor(name, seq),
    fetch,
    sleep: time.sleep,
    chance: () => 0.5,
    now: () => clock.now(),
    log: (line) => said.push(line),
    ...parts,
  });
  await asleep;
  return webhook;
}
/** Wakes it, and resolves when it sleeps again. */
async function wake(): Promise<void> {
  const asleep = time.asleep();
  webhook?.wake();
  await asleep;
}
const owners = () => receiver.received.map(({ body }) => (JSON.parse(body) as { data: { owner?: string } }).data.owner);
const kept = () => [...ledger.cursors.values()];

describe('the webhook', () => {
  test('tells of every kind of warning entry and of nothing else, in order, signed, under one id each', async () => {
    await start();
    const warning = `cold-ahead:j1:${START_MS}`;
    const seqs = [
      ledger.raise(1),
      ledger.add({ kind: 'note.added', text: 'between' }, crew) && ledger.add({ kind: 'warning.acknowledged', warning }, crew),
      ledger.add({ kind: 'warning.snoozed', warning, until: '2026-01-15T20:00:00Z' }, crew),
      ledger.add({ kind: 'warning.ended', warning }),
    ];
    clock.advance(90_500);
    await wake();
    const at = '2026-01-15T18:00:00.000Z';
    expect(receiver.received.map(({ body }) => JSON.parse(body))).toEqual([
      {
        type: 'warning.raised',
        site: 'yard',
        at,
        data: { warning, code: 'cold-ahead', owner: 'j1', numbers: { lowMilliC: -1000 } },
      },
      { type: 'warning.acknowledged', site: 'yard', at, data: { warning, by: 'R. Oak' } },
      { type: 'warning.snoozed', site: 'yard', at, data: { warning, until: '2026-01-15T20:00:00Z', by: 'R. Oak' } },
      { type: 'warning.ended', site: 'yard', at, data: { warning } },
    ]);
    receiver.received.forEach(({ method, url, headers, body }, index) => {
      expect([method, url, headers['content-type']]).toEqual(['POST', '/hook?key=query-secret', 'application/json']);
      expect(headers).toMatchObject(signedHeaders(key, `yard:${seqs[index]}`, START_MS / 1000 + 90, body));
    });
    expect(kept()).toEqual([seqs.at(-1)]);
    expect(time.slept).toEqual([IDLE_MS, IDLE_MS]);
    expect(said).toEqual([]);
  });

  test('begins at its very first start with what is still to come, and keeps that', async () => {
    ledger.raise(1);
    const end = ledger.add({ kind: 'note.added', text: 'the end' }, crew);
    const first = await start();
    expect(kept()).toEqual([end]);
    await first.stop();
    ledger.raise(2);
    await start();
    expect(owners()).toEqual(['j2']);
  });

  test('goes on after a restart where it left off, with the same id for what it sends twice', async () => {
    await (await start()).stop();
    for (const number of [1, 2, 3]) ledger.raise(number);
    receiver.script.push({ status: 200 }, { status: 500 });
    await (await start()).stop();
    await start();
    expect(owners()).toEqual(['j1', 'j2', 'j2', 'j3']);
    const ids = receiver.received.map(({ headers }) => headers['webhook-id']);
    expect(ids[1]).toBe(ids[2]);
    expect(new Set(ids).size).toBe(3);
  });

  test('sends again what it could not keep its cursor for', async () => {
    await start();
    ledger.raise(1);
    ledger.fault = new Error('disk full');
    await wake();
    ledger.fault = null;
    await time.pass();
    expect(owners()).toEqual(['j1', 'j1']);
    expect(kept()).toEqual([4]);
  });

  test('of a site with full stops in its name signs none in its ids', async () => {
    await start({ site: 'north.yard.2' });
    ledger.raise(1);
    await wake();
    expect(receiver.received[0]?.headers['webhook-id']).toBe('north~yard~2:4');
  });

  test('keeps apart what it sends to different addresses', async () => {
    await (await start()).stop();
    await start({ settings: { url: `${receiver.url}/other`, key } });
    expect(ledger.cursors.size).toBe(2);
    expect(JSON.stringify([...ledger.cursors.keys()])).not.toContain('query-secret');
  });
});

describe('a failure', () => {
  test.each([
    ['an outage', 503],
    ['a receiver that is too busy', 429],
    ['a receiver that was too slow', 408],
    ['a redirect', 307],
  ])('that is %s is tried again, ever later, until the word is 24 hours old; then the next one is sent', async (_, status) => {
    await start();
    receiver.otherwise = { status, headers: { location: receiver.url } };
    const first = ledger.raise(1);
    ledger.nowMs += HOUR_MS;
    ledger.raise(2);
    await wake();
    const waits: number[] = [];
    for (let failure = 1; failure <= 12; failure++) {
      waits.push(time.slept.at(-1) ?? 0);
      await time.pass();
    }
    expect(waits).toEqual(waits.map((_, index) => waitMs(index + 1, 0.5, SPANS)));
    expect(waitMs(1, 0, SPANS)).toBe(1_000);
    expect(waitMs(30, 1 - 2 ** -53, SPANS)).toBeLessThanOrEqual(10 * 60_000);
    expect(new Set(owners())).toEqual(new Set(['j1']));
    expect(said).toEqual([expect.stringMatching(`^WEBHOOK: ${receiver.host} takes no warnings \\(it answers ${status}`)]);

    clock.advance(24 * HOUR_MS - 1);
    await time.pass();
    expect(new Set(owners())).toEqual(new Set(['j1']));
    clock.advance(1);
    receiver.script.push({ status: 200 });
    await time.pass();
    expect(owners().slice(-2)).toEqual(['j1', 'j2']);
    expect(said.slice(1)).toEqual([
      expect.stringMatching(
        /^WEBHOOK: warning\.raised of "cold-ahead:j1:\d+" is not sent to .* could not be delivered within 24 hours \(it answers/,
      ),
      `WEBHOOK: ${receiver.host} takes warnings again`,
    ]);
    expect(kept()).toEqual([first + 2]);
    expect(time.slept.at(-1)).toBe(IDLE_MS);
  });

  test('of a receiver that was down for a day leaves out all that is older, at once and with one line', async () => {
    await start();
    receiver.otherwise = { status: 503 };
    for (let number = 1; number <= 5; number++) {
      ledger.raise(number);
      ledger.nowMs += 60_000;
    }
    await wake();
    clock.advance(24 * HOUR_MS + 4 * 60_000 - 1);
    await time.pass();
    expect(owners().at(-1)).toBe('j5');
    expect(said.slice(1)).toEqual([
      expect.stringMatching(/^WEBHOOK: warning\.raised of "cold-ahead:j1:\d+" and 3 more after it is not sent to .*24 hours/),
    ]);
    expect(kept()).toEqual([10]);
  });

  test('is not begun anew by a restart: what is older than 24 hours by then is not even tried', async () => {
    await (await start()).stop();
    receiver.otherwise = { status: 503 };
    ledger.raise(1);
    ledger.nowMs += HOUR_MS;
    ledger.raise(2);
    clock.advance(23 * HOUR_MS);
    await (await start()).stop();
    expect(owners()).toEqual(['j1']);
    clock.advance(HOUR_MS);
    receiver.otherwise = { status: 200 };
    await start();
    expect(owners()).toEqual(['j1', 'j2']);
    expect(said.filter((line) => line.includes('24 hours'))).toHaveLength(1);
  });

  test('over one message alone holds up the others for a minute, not for a day', async () => {
    await start();
    const seqs = [1, 2, 3, 4].map((number) => ledger.raise(number));
    receiver.otherwise = (response, body) => response.writeHead(/"owner":"j[12]"/.test(body) ? 500 : 204).end();
    await wake();
    for (let round = 1; round < 6; round++) await time.pass();
    expect([...new Set(owners())]).toEqual(['j1', 'j2', 'j3', 'j4']);
    expect(owners().filter((owner) => owner === 'j1')).toHaveLength(6);
    expect(time.slept.slice(1, 6).reduce((sum, ms) => sum + ms, 0)).toBeLessThan(70_000);
    expect(said.slice(1)).toEqual([
      expect.stringMatching(/j1:\d+" and 1 more after it is not sent to .* breaks down over it .*\(it answers 500\)$/),
      `WEBHOOK: ${receiver.host} takes warnings again`,
    ]);
    expect(kept()).toEqual([seqs[3]]);
  });

  test('over every message is an outage: nothing is given up, and few of them are tried', async () => {
    await start();
    for (let number = 1; number <= 20; number++) ledger.raise(number);
    receiver.otherwise = { status: 500 };
    await wake();
    for (let round = 1; round < 10; round++) await time.pass();
    expect(new Set(owners()).size).toBe(6);
    expect([said.length, kept()]).toEqual([1, [2]]);
  });

  test('is not told by the wall clock: a step of it cuts nothing short', async () => {
    await start();
    receiver.otherwise = { status: 503 };
    ledger.raise(1);
    await wake();
    clock.setBy(400 * 24 * HOUR_MS);
    await time.pass();
    await time.pass();
    expect(said).toHaveLength(1);
    expect(kept()).toEqual([2]);
  });

  test.each([400, 401, 404, 410])('that is a refusal (%d) is tried six times, told, and left out', async (status) => {
    await start();
    ledger.raise(1);
    ledger.raise(2);
    receiver.script.push(...Array.from({ length: 6 }, () => ({ status })));
    await wake();
    for (let round = 1; round < 6; round++) await time.pass();
    expect(owners()).toEqual(['j1', 'j1', 'j1', 'j1', 'j1', 'j1', 'j2']);
    expect(said).toEqual([
      `WEBHOOK: ${receiver.host} takes no warnings (it answers ${status}); they are sent again`,
      expect.stringMatching(new RegExp(`j1:\\d+" is not sent to .*: it was refused 6 times \\(it answers ${status}\\)$`)),
      `WEBHOOK: ${receiver.host} takes warnings again`,
    ]);
  });

  test('that left something out leaves it awake for what comes next', async () => {
    await start();
    ledger.raise(1);
    receiver.script.push(...Array.from({ length: 6 }, () => ({ status: 410 })));
    await wake();
    for (let round = 1; round < 6; round++) await time.pass();
    ledger.raise(2);
    await wake();
    expect(owners().at(-1)).toBe('j2');
  });

  test('is nobody there, no answer, or a cut connection', async () => {
    await start({ settings: { url: `http://127.0.0.1:${await freePort()}`, key } });
    ledger.raise(1);
    await wake();
    expect(said.at(-1)).toMatch(/takes no warnings \(connect ECONNREFUSED/);
    await webhook?.stop();
    await (await start({ answerMs: 200 })).stop();
    ledger.raise(2);
    receiver.script.push(
      () => {},
      (response) => response.destroy(),
    );
    await start({ answerMs: 200 });
    expect(said.at(-1)).toMatch(/takes no warnings \(no answer within 0\.2 s\)/);
    await time.pass();
    expect(said.at(-1)).toMatch(/takes no warnings \(/);
    expect(said).toHaveLength(3);
    await time.pass();
    expect(owners()).toEqual(['j2', 'j2', 'j2']);
  });

  test('does not follow a redirect', async () => {
    await using elsewhere = await startReceiver();
    await start();
    ledger.raise(1);
    receiver.otherwise = { status: 302, headers: { location: elsewhere.url } };
    await wake();
    expect(elsewhere.received).toEqual([]);
    expect(said.at(-1)).toMatch(/it answers 302; set the address that it redirects to/);
  });

  test('is waited for although it is woken, and shows neither secret nor address', async () => {
    await start();
    ledger.raise(1);
    receiver.otherwise = { status: 500, body: SECRET };
    await wake();
    webhook?.wake();
    // Ample for another request.
    await pause(200);
    expect([receiver.received.length, time.slept.length]).toEqual([1, 2]);
    expect(said.join('\n')).not.toMatch(/query-secret|MfKQ9r8G|\/hook/);
  });
});

test('a hanging receiver does not hold up the end, and its cursor stays', async () => {
  await start();
  ledger.raise(1);
  receiver.otherwise = () => {};
  webhook?.wake();
  await vi.waitFor(() => expect(receiver.received).toHaveLength(1));
  const stoppedFromMs = performance.now();
  await webhook?.stop();
  expect(performance.now() - stoppedFromMs).toBeLessThan(5_000);
  expect(said).toEqual([]);
  expect(kept()).toEqual([2]);
});
