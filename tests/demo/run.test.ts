import { once } from 'node:events';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { text } from 'node:stream/consumers';

import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';

import { runDemo } from '../../edge/demo/run.ts';
import { STRANGER } from '../../edge/demo/scenario.ts';
import { sensorsAt } from '../../edge/demo/sensors.ts';
import { statementsAt } from '../../edge/demo/statements.ts';
import { samplesIn, TestBroker } from './broker.ts';

const nowMs = Date.parse('2026-01-15T14:30:00-08:00');

let broker: TestBroker;
let site: Server;
let httpUrl: string;
let posted: { path: string | undefined; authorization: string | undefined; body: unknown }[];
let answer: { status: number; body: string };

beforeEach(async () => {
  broker = new TestBroker();
  await broker.start();
  posted = [];
  answer = { status: 201, body: '{"seq":1,"hash":"00"}' };
  site = createServer(async (request, response) => {
    posted.push({ path: request.url, authorization: request.headers.authorization, body: JSON.parse(await text(request)) });
    response.writeHead(answer.status, { 'content-type': 'application/json' }).end(answer.body);
  }).listen(0, '127.0.0.1');
  await once(site, 'listening');
  httpUrl = `http://127.0.0.1:${(site.address() as AddressInfo).port}`;
});
afterEach(async () => {
  site.closeAllConnections();
  await new Promise((resolve) => site.close(resolve));
  await broker.stop();
});

function start(mqttUrl = broker.url) {
  const stopping = new AbortController();
  const lines: string[] = [];
  const log = (line: string) => lines.push(line);
  const done = runDemo({
    httpUrl,
    token: 'a token',
    mqttUrl,
    site: 'yard',
    nowMs,
    signal: stopping.signal,
    log,
    probeKey: 'a key',
  });
  return { done, stop: () => stopping.abort(), lines };
}

/** Soundly formed temperature readings on a probe's topic. */
const heardFrom = (probe: string) =>
  samplesIn(
    broker.heard.filter(({ topic, payload }) => topic === `cure/yard/probe/${probe}/senml` && payload.startsWith('[{"bn"')),
  );

describe('runDemo', () => {
  it('makes the entries, delivers the whole history, goes on live, and leaves every probe offline at the end', async () => {
    const { done, stop, lines } = start();
    const sensors = sensorsAt(nowMs);
    await vi.waitFor(
      () => {
        for (const { probe, history, loose } of sensors)
          expect(heardFrom(probe).length, probe).toBeGreaterThan(history.length + loose.length);
      },
      { timeout: 20_000, interval: 500 },
    );
    stop();
    await done;

    expect(posted.map(({ body }) => body)).toEqual(JSON.parse(JSON.stringify(statementsAt(nowMs))));
    expect(posted.every(({ path, authorization }) => path === '/api/entries' && authorization === 'Bearer a token')).toBe(true);
    for (const { probe, history, loose } of sensors) {
      const heard = heardFrom(probe).map(({ atMs, celsius }) => ({ atMs, celsius }));
      expect(heard.slice(0, history.length), probe).toEqual(history);
      expect(heard.slice(history.length, history.length + loose.length), probe).toEqual(loose);
      const live = heard.slice(history.length + loose.length);
      expect(live.length, probe).toBeGreaterThan(0);
      expect(live.every(({ atMs }) => atMs >= nowMs && atMs < nowMs + 60_000)).toBe(true);
      // Half a minute on, a material has not moved by more than the noise and a little.
      expect(Math.abs((live[0]?.celsius ?? 99) - (history.at(-1)?.celsius ?? 0)), probe).toBeLessThan(0.5);
    }
    const garbled = broker.heard.filter(({ topic, payload }) => topic.includes(STRANGER.probe) && !payload.startsWith('[{"bn"'));
    expect(garbled.filter(({ topic }) => topic.endsWith('/senml')).map(({ payload }) => payload)).toEqual(STRANGER.garbled);
    for (const { probe } of sensors) {
      const status = broker.heard.filter(({ topic }) => topic === `cure/yard/probe/${probe}/status`);
      expect(status.map(({ payload }) => payload)).toEqual(['online', 'offline']);
      expect(broker.logins).toContainEqual({ client: `yard-${probe}`, username: probe, password: 'a key' });
    }
    expect(lines.join('\n')).toMatch(/42 entries.*13 probes.*35038 readings/);
  });

  it('says which entry the site refuses, and why, and connects no probe', async () => {
    answer = { status: 409, body: '{"code":"entry-refused"}' };
    await expect(start().done).rejects.toThrow(/refuses the demonstration's entry \{"kind":"site.described".*409.*entry-refused/);
    expect(posted).toHaveLength(1);
    expect(broker.logins).toEqual([]);
  });

  it('passes on why the probes cannot connect and leaves none behind', async () => {
    const { url } = broker;
    await broker.stop();
    await expect(start(url).done).rejects.toThrow(/probe .* cannot connect to .*: nothing listens there/);
  });

  it('ends without a word when it is stopped in the middle of the delivery', async () => {
    const probes = sensorsAt(nowMs).length;
    broker.answersLeft = probes + 5;
    const { done, stop, lines } = start();
    await vi.waitFor(() => expect(broker.on('/senml').length).toBeGreaterThan(probes), { timeout: 15_000 });
    stop();
    await done;
    expect(broker.on('/senml').length).toBeLessThanOrEqual(probes + 5);
    expect(lines).toHaveLength(1);
  });
});
