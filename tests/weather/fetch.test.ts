import { gzipSync } from 'node:zlib';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { CodedError } from '../../edge/errors.ts';
import { waitMs } from '../../edge/relay/backOff.ts';
import { ForecastFetch, type ForecastFetchParts, type ForecastSettings } from '../../edge/weather/fetch.ts';
import type { ForecastHours } from '../../edge/weather/hours.ts';
import { HandTime } from '../relay/handTime.ts';
import { type Receiver, startReceiver } from '../relay/receiver.ts';
import { freePort } from '../relay/victoria.ts';

const HOUR_MS = 3_600_000;
const MINUTE_MS = 60_000;
const NOW_MS = Date.parse('2026-01-15T18:20:00Z');
const SPANS = { firstMs: 2 * MINUTE_MS, longestMs: 60 * MINUTE_MS };

let source: Receiver;
let time: HandTime;
let nowMs: number;
let given: { hours: ForecastHours; source: string }[];
let said: string[];
let fetching: ForecastFetch | null;
beforeEach(async () => {
  source = await startReceiver();
  time = new HandTime();
  nowMs = NOW_MS;
  given = [];
  said = [];
  fetching = null;
});
afterEach(async () => {
  await fetching?.stop();
  await source[Symbol.asyncDispose]();
});

/** Hour by hour from `from` hours after 18:00 on. */
const hours = (from: number, count: number, celsius = 5): ForecastHours =>
  Array.from({ length: count }, (_, index) => ({
    at: new Date(Date.parse('2026-01-15T18:00:00Z') + (from + index) * HOUR_MS).toISOString(),
    celsius: celsius + index / 10,
  }));
const json = (document: unknown) => ({ status: 200, body: JSON.stringify(document) });

async function start(settings: Partial<ForecastSettings> = {}, parts: Partial<ForecastFetchParts> = {}): Promise<ForecastFetch> {
  const asleep = time.asleep();
  fetching = ForecastFetch.start({
    settings: { url: source.url, shape: null, header: null, ...settings },
    fetch,
    sleep: time.sleep,
    chance: () => 0.5,
    nowMs: () => nowMs,
    give: async (hours, source) => given.push({ hours, source }),
    given: null,
    log: (line) => said.push(line),
    ...parts,
  });
  await asleep;
  return fetching;
}

describe('the fetch', () => {
  test('gives what is still to come, at most ten days of it, and comes back about every hour', async () => {
    source.otherwise = json({ hours: hours(-3, 300), source: 'Weather desk' });
    const running = await start();
    // 240 hours of the document; of those from an hour ago on: 18:00 stands, 17:00 does not.
    // Its source is the host: what the answer calls itself may hold the key that it was asked with.
    expect(given).toEqual([{ hours: hours(-3, 240).slice(3), source: source.host }]);
    expect(running.status()).toEqual({
      url: source.host,
      everyMinutes: 60,
      triedAt: '2026-01-15T18:20:00.000Z',
      ok: true,
      detail: null,
    });
    expect(time.slept).toEqual([60 * MINUTE_MS]);
    expect(said).toEqual([]);
  });

  test.each([
    [0, 55],
    [1 - 2 ** -53, 65],
  ])('spreads its hours: chance %d makes %d minutes', async (chance, minutes) => {
    source.otherwise = json({ hours: hours(0, 48) });
    await start({}, { chance: () => chance });
    expect((time.slept[0] ?? 0) / MINUTE_MS).toBeCloseTo(minutes, 3);
  });

  test('gives the same forecast once, also when its first hours have passed, and a new one at once', async () => {
    source.otherwise = json({ hours: hours(0, 48) });
    await start();
    await time.pass();
    nowMs += 5 * HOUR_MS;
    await time.pass();
    expect(source.received).toHaveLength(3);
    expect(given).toHaveLength(1);
    source.otherwise = json({ hours: hours(0, 48, 4) });
    await time.pass();
    expect(given).toHaveLength(2);
    expect(given[1]?.hours[0]?.at).toBe('2026-01-15T23:00:00.000Z');
  });

  test('does not give again what it gave in an earlier run', async () => {
    source.otherwise = json({ hours: hours(0, 48) });
    const running = await start({}, { given: hours(0, 48) });
    expect(given).toEqual([]);
    expect(running.status().ok).toBe(true);
  });

  test('reads another program’s JSON by its shape, names the host as its source, and sends the header that is set', async () => {
    const rows = hours(0, 48).map(({ at, celsius }) => ({ t: Date.parse(at) / 1000, f: (celsius * 9) / 5 + 32 }));
    const body = gzipSync(JSON.stringify({ data: rows }));
    source.otherwise = { status: 200, body, headers: { 'content-encoding': 'gzip' } };
    await start({
      url: `${source.url}/v1?lat=1&key=query-secret`,
      shape: { rows: '/data', time: '/t', fahrenheit: '/f' },
      header: { name: 'X-Key', value: 'header-secret' },
    });
    expect(given).toEqual([{ hours: hours(0, 48), source: source.host }]);
    expect(source.received[0]).toMatchObject({
      method: 'GET',
      url: '/v1?lat=1&key=query-secret',
      headers: { 'x-key': 'header-secret', accept: 'application/json' },
    });
  });
});

describe('a failure', () => {
  test('backs off from a minute to an hour, is told once, and so is its end', async () => {
    source.otherwise = { status: 503 };
    const running = await start();
    for (let failure = 1; failure < 9; failure++) await time.pass();
    expect(time.slept).toEqual(Array.from({ length: 9 }, (_, index) => waitMs(index + 1, 0.5, SPANS)));
    expect(waitMs(1, 0, SPANS)).toBe(MINUTE_MS);
    expect(waitMs(20, 1 - 2 ** -53, SPANS)).toBeLessThanOrEqual(60 * MINUTE_MS);
    expect(running.status()).toMatchObject({ ok: false, detail: 'it answers 503' });
    expect(said).toEqual([`FORECAST: ${source.host} gives no forecast that can be used (it answers 503)`]);
    source.otherwise = json({ hours: hours(0, 48) });
    await time.pass();
    expect(said.slice(1)).toEqual([`FORECAST: ${source.host} gives a forecast again`]);
    expect(running.status()).toMatchObject({ ok: true, detail: null });
    expect(time.slept.at(-1)).toBe(60 * MINUTE_MS);
    source.otherwise = { status: 503 };
    await time.pass();
    expect(time.slept.at(-1)).toBe(waitMs(1, 0.5, SPANS));
  });

  test.each([
    ['a page', { status: 200, body: '<html>' }, /not JSON/],
    ['nothing', { status: 200 }, /not JSON/],
    ['another shape', json({ hourly: [] }), /"hours"/],
    ['no hours', json({ hours: [] }), /at least two hours/],
    ['only hours that have passed', json({ hours: hours(-30, 24) }), /fewer than two of its hours are still to come/],
    ['bytes that are no text', { status: 200, body: Uint8Array.of(0xff, 0xfe, 0xfd) }, /not UTF-8/],
    ['an error', { status: 401 }, /it answers 401$/],
  ])('is %s', async (_, answer, detail) => {
    source.otherwise = answer;
    const running = await start();
    expect(running.status()).toMatchObject({ ok: false, detail: expect.stringMatching(detail) });
    expect(given).toEqual([]);
  });

  test('is a redirect, which is not followed', async () => {
    await using elsewhere = await startReceiver();
    source.otherwise = { status: 302, headers: { location: elsewhere.url } };
    const running = await start();
    expect(running.status().detail).toBe('it answers 302; set the address that it redirects to');
    expect(elsewhere.received).toEqual([]);
  });

  test('is an answer that never ends: it is cut off, however much it is', async () => {
    let sent = 0;
    const closed = Promise.withResolvers<void>();
    source.otherwise = (response) => {
      response.on('close', () => closed.resolve());
      const more = () => {
        while (!response.destroyed && response.write(' '.repeat(64 * 1024))) sent += 64 * 1024;
        sent += 64 * 1024;
      };
      response.on('drain', more);
      more();
    };
    const running = await start();
    await closed.promise;
    expect(running.status().detail).toBe('its answer is longer than 2048 KiB');
    // What the sockets between them hold comes on top.
    expect(sent).toBeLessThan(20 * 1024 * 1024);
  });

  test.each([
    ['that never comes', () => {}],
    ['that stops in the middle', (response: { write(text: string): unknown }) => response.write('{"hours":[')],
  ])('is an answer %s', async (_, answer) => {
    source.otherwise = answer;
    const running = await start({}, { answerMs: 200 });
    expect(running.status().detail).toBe('no answer within 0.2 s');
  });

  test('is nobody there', async () => {
    const running = await start({ url: `http://127.0.0.1:${await freePort()}` });
    expect(running.status().detail).toMatch(/ECONNREFUSED/);
  });

  test('is a refusal by the site, and what was refused is given again', async () => {
    source.otherwise = json({ hours: hours(0, 48) });
    const refusals = [new CodedError('clock-not-set', 'set the clock of this machine')];
    const running = await start(
      {},
      {
        give: async (hours, source) => {
          const refusal = refusals.pop();
          if (refusal !== undefined) throw refusal;
          given.push({ hours, source });
        },
      },
    );
    expect(running.status()).toMatchObject({ ok: false, detail: 'set the clock of this machine' });
    await time.pass();
    expect(running.status().ok).toBe(true);
    expect(given).toHaveLength(1);
  });

  const SECRETS = ['PATH-KEY-987654', 'query-secret', 'a/b cd+EF', 'a%2Fb+cd%2BEF', 'header-secret', '483920183'];
  const keyed = () => ({
    url: `${source.url}/v1/PATH-KEY-987654/f?key=query-secret&pin=483920183&odd=a%2Fb+cd%2BEF`,
    header: { name: 'Authorization', value: 'Bearer header-secret' },
  });
  const shown = (running: ForecastFetch) => JSON.stringify([running.status(), said, given]);

  test('shows, logs and records no key, even where the answer repeats it', async () => {
    const repeated = [
      json({ hours: [], ...Object.fromEntries(SECRETS.map((secret) => [secret, 1])) }),
      json({ hours: SECRETS.map((at) => ({ at, celsius: 1 })) }),
      json({ hours: SECRETS.map((secret) => ({ [secret]: secret })) }),
      json({ hours: hours(0, 3).map(({ at }) => ({ at, celsius: 483920183 })) }),
      json({ hours: hours(0, 3).map(({ at }) => ({ at, celsius: 5, humidity: 483920183 })), source: SECRETS.join(' ') }),
      { status: 200, body: `{${SECRETS.join()}` },
      { status: 401, body: SECRETS.join() },
    ];
    for (const answer of repeated) {
      source.otherwise = answer;
      const running = await start(keyed());
      for (const secret of SECRETS) expect(shown(running)).not.toContain(secret);
      await running.stop();
    }
    expect(given).toHaveLength(1);
  });

  test('still says what kind of fault an answer has', async () => {
    source.otherwise = json({ hours: hours(0, 2).map(({ at }) => ({ at: at.replace('.000Z', ''), celsius: 5 })) });
    const running = await start(keyed());
    expect(running.status().detail).toMatch(/line 1: its time has no offset; line 2: its time has no offset$/);
  });

  test('takes every key out of what the network says, however it is written there', async () => {
    const { url, header } = keyed();
    const written = [...SECRETS, url, `${header.value}\n`, encodeURIComponent('a/b cd+EF').toLowerCase(), 'a/b+cd+EF'];
    for (const text of written) {
      const cause = new Error(`cannot ask "${text}"`);
      const running = await start({ url, header }, { fetch: () => Promise.reject(new TypeError('fetch failed', { cause })) });
      expect(running.status().detail).toMatch(/^cannot ask ".*…/);
      for (const secret of [...SECRETS, text.trim()]) expect(shown(running).toLowerCase()).not.toContain(secret.toLowerCase());
      await running.stop();
    }
  });
});

test('stops in the middle of a hanging answer, without a word', async () => {
  const asked = Promise.withResolvers<void>();
  source.otherwise = () => asked.resolve();
  const started = start();
  await asked.promise;
  const stoppedFromMs = performance.now();
  await fetching?.stop();
  expect(performance.now() - stoppedFromMs).toBeLessThan(5_000);
  expect(said).toEqual([]);
  await started;
});
