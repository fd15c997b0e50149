import { once } from 'node:events';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { text } from 'node:stream/consumers';

import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { z } from 'zod';

import { runDemo } from '../../edge/demo/run.ts';
import { STORIES, STRANGER } from '../../edge/demo/scenario.ts';
import { sensorsAt } from '../../edge/demo/sensors.ts';
import { type Deciding, setUpAt, type Told, workAt } from '../../edge/demo/statements.ts';
import { SiteView } from '../../edge/site/views/site.ts';
import { read } from '../support/api.ts';
import { startService } from '../support/service.ts';
import { samplesIn, TestBroker } from './broker.ts';

const nowMs = Date.parse('2026-01-15T14:30:00-08:00');

interface Asked {
  readonly method: string;
  readonly path: string;
  readonly cookie: string | undefined;
  readonly body: unknown;
  /** Messages of probes that the broker had heard by then. */
  readonly heard: number;
}

let broker: TestBroker;
let site: Server;
let httpUrl: string;
let asked: Asked[];
/** What the site answers to a sign-in and to an entry. */
let answers: { session: { status: number; body: string }; entry: { status: number; body: string } };

beforeEach(async () => {
  broker = new TestBroker();
  await broker.start();
  asked = [];
  answers = { session: { status: 200, body: '{}' }, entry: { status: 201, body: '{"seq":1,"hash":"00"}' } };
  site = createServer(async (request, response) => {
    const said = await text(request);
    const body = said === '' ? null : JSON.parse(said);
    const { method = '', url: path = '' } = request;
    asked.push({ method, path, cookie: request.headers.cookie, body, heard: broker.on('/senml').length });
    const json = { 'content-type': 'application/json' };
    if (method === 'DELETE') response.writeHead(204).end();
    else if (method === 'GET')
      response.writeHead(200, json).end(JSON.stringify(path === '/api/site' ? { joints: [] } : { findings: findingsOf(path) }));
    else if (path === '/api/session')
      response
        .writeHead(answers.session.status, { ...json, 'set-cookie': `who=${body.name}; HttpOnly; Path=/` })
        .end(answers.session.body);
    else response.writeHead(answers.entry.status, json).end(answers.entry.body);
  }).listen(0, '127.0.0.1');
  await once(site, 'listening');
  httpUrl = `http://127.0.0.1:${(site.address() as AddressInfo).port}`;
});
afterEach(async () => {
  site.closeAllConnections();
  await new Promise((resolve) => site.close(resolve));
  await broker.stop();
});

const decisions = workAt(nowMs).flatMap(({ said }) => ('decide' in said ? [said] : []));
const idOf = ({ decide: { code, joint } }: Deciding) => `${code}:${joint}:there`;

/** The findings that the scenario decides on, as the joint at this path would show them. */
function findingsOf(path: string) {
  return decisions
    .filter(({ decide }) => path === `/api/joints/${decide.joint}`)
    .map((line) => ({
      ...{ id: idOf(line), code: line.decide.code, joint: line.decide.joint, severity: 'warning', sump: 'yard' },
      ...{ probes: [], from: '', to: null, numbers: {}, words: {}, blocks: [], mayDecide: [], provable: true, open: true },
      ...{ decision: null, decisions: [] },
    }));
}

function start(mqttUrl = broker.url) {
  const stopping = new AbortController();
  const lines: string[] = [];
  const log = (line: string) => lines.push(line);
  const tokens = { quality: 'a token for quality', crew: 'a token for crew' };
  const done = runDemo({ httpUrl, tokens, mqttUrl, site: 'yard', nowMs, signal: stopping.signal, log, probeKey: 'a key' });
  return { done, stop: () => stopping.abort(), lines };
}

/** Soundly formed temperature readings on a probe's topic. */
const heardFrom = (probe: string) =>
  samplesIn(
    broker.heard.filter(({ topic, payload }) => topic === `cure/yard/probe/${probe}/senml` && payload.startsWith('[{"bn"')),
  );

const entries = () => asked.filter(({ method, path }) => method === 'POST' && path === '/api/entries');

function statementOf({ said }: Told): unknown {
  if (!('decide' in said)) return said;
  const { decision, reason } = said.decide;
  return { kind: 'finding.decided', finding: idOf(said), decision, reason, at: said.at };
}

describe('runDemo', () => {
  it('sets up, delivers the whole history, tells of the work, goes on live, and leaves every probe offline at the end', async () => {
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

    const all = [...setUpAt(nowMs), ...workAt(nowMs)];
    expect(entries().map(({ body }) => body)).toEqual(JSON.parse(JSON.stringify(all.map(statementOf))));
    expect(entries().map(({ cookie }) => cookie)).toEqual(all.map(({ by }) => `who=${by.name}`));
    const [setUp, work] = [entries().slice(0, setUpAt(nowMs).length), entries().slice(setUpAt(nowMs).length)];
    expect(new Set(setUp.map(({ heard }) => heard))).toEqual(new Set([0]));
    const delivered = sensors.reduce(
      (sum, { history, loose, garbled }) => sum + Math.ceil(history.length / 300) + loose.length + garbled.length,
      0,
    );
    expect(new Set(work.map(({ heard }) => heard))).toEqual(new Set([delivered]));
    const sessions = asked.filter(({ path }) => path === '/api/session');
    expect(sessions.map(({ method, cookie, body }) => [method, cookie, body])).toEqual([
      ['POST', undefined, { name: 'Rosa', token: 'a token for crew' }],
      ['POST', undefined, { name: 'Teo', token: 'a token for crew' }],
      ['POST', undefined, { name: 'Ines', token: 'a token for quality' }],
      ...['Rosa', 'Teo', 'Ines'].map((name) => ['DELETE', `who=${name}`, null]),
    ]);

    for (const { probe, history, loose } of sensors) {
      const heard = heardFrom(probe).map(({ atMs, celsius }) => ({ atMs, celsius }));
      const temperatures = history.map(({ atMs, celsius }) => ({ atMs, celsius }));
      expect(heard.slice(0, history.length), probe).toEqual(temperatures);
      expect(heard.slice(history.length, history.length + loose.length), probe).toEqual(loose);
      const live = heard.slice(history.length + loose.length);
      expect(live.length, probe).toBeGreaterThan(0);
      expect(live.every(({ atMs }) => atMs >= nowMs && atMs < nowMs + 60_000)).toBe(true);
      // A minute on, a material has not moved by more than the noise and a little.
      expect(Math.abs((live[0]?.celsius ?? 99) - (history.at(-1)?.celsius ?? 0)), probe).toBeLessThan(0.5);
    }
    const garbled = broker.heard.filter(({ topic, payload }) => topic.includes(STRANGER.probe) && !payload.startsWith('[{"bn"'));
    expect(garbled.filter(({ topic }) => topic.endsWith('/senml')).map(({ payload }) => payload)).toEqual(STRANGER.garbled);
    for (const { probe } of sensors) {
      const status = broker.heard.filter(({ topic }) => topic === `cure/yard/probe/${probe}/status`);
      expect(status.map(({ payload }) => payload)).toEqual(['online', 'offline']);
      expect(broker.logins).toContainEqual({ client: `yard-${probe}`, username: probe, password: 'a key' });
    }
    const kept = sensors.reduce((sum, { history }) => sum + history.length, 0);
    expect(lines[0]).toContain(
      `set up with ${setUp.length} entries; ${sensors.length} probes deliver ${kept} measurements they have kept`,
    );
    expect(lines[1]).toContain(`the ${work.length} entries of the work`);
  });

  it('says which entry the site refuses, of whom and why, and connects no probe', async () => {
    answers.entry = { status: 409, body: '{"code":"entry-refused"}' };
    await expect(start().done).rejects.toThrow(/refuses Ines's entry \{"kind":"site.described".*409.*entry-refused/);
    expect(entries()).toHaveLength(1);
    expect(broker.logins).toEqual([]);
  });

  it('says whom the site does not let in', async () => {
    answers.session = { status: 401, body: '{"code":"bad-token"}' };
    await expect(start().done).rejects.toThrow(/does not let Rosa in as crew: 401.*bad-token/);
    expect(entries()).toEqual([]);
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
    // Each answer lets a probe send one more; the first ones go to greetings or to readings, as it happens.
    expect(broker.on('/senml').length).toBeLessThanOrEqual(2 * probes + 5);
    expect(entries()).toHaveLength(setUpAt(nowMs).length);
    expect(lines).toHaveLength(1);
  });

  it('shows on a real site, over its real doors, what the scenario declares', async () => {
    await using service = await startService({}, 'Demo');
    const stopping = new AbortController();
    const lines: string[] = [];
    const done = runDemo({
      httpUrl: service.httpUrl,
      tokens: service.roleTokens,
      mqttUrl: `mqtt://127.0.0.1:${service.mqttPort}`,
      site: 'yard',
      nowMs: Date.now(),
      signal: stopping.signal,
      log: (line) => lines.push(line),
    });
    await vi.waitFor(() => expect(lines.at(-1)).toMatch(/ready after/), { timeout: 20_000, interval: 100 });
    // What lies ahead is worked out in rounds.
    const isYetToCome = ({ joints }: SiteView) =>
      joints.some(({ projected }) => projected?.stages.some(({ reason }) => reason === 'not-yet'));
    await vi.waitFor(async () => expect(isYetToCome(await read(service, '/api/site', SiteView))).toBe(false), {
      timeout: 20_000,
      interval: 200,
    });
    const view = await read(service, '/api/site', SiteView);
    const quarantine = await read(service, '/api/quarantine', z.looseObject({ total: z.int() }));
    stopping.abort();
    await done;

    expect(
      view.joints.map(({ joint, phase, conditions, findings }) => ({
        ...{ joint, phase, conditions },
        open: findings.filter(({ open }) => open).map(({ code }) => code),
      })),
    ).toEqual(
      STORIES.flatMap(({ joints }) => joints.map(({ joint, atStart, open = [] }) => ({ joint, ...atStart, open: [...open] }))),
    );
    expect(
      view.sumps.map(({ activities }) => Object.fromEntries(activities.map(({ activity, state }) => [activity, state]))),
    ).toEqual(STORIES.map(({ activities }) => activities));
    expect(new Set(view.joints.map(({ laidUpBy }) => laidUpBy))).toEqual(new Set(['Rosa', 'Teo', null]));
    expect(view.sumps.at(-1)?.tests.map(({ verdict, by }) => [verdict, by])).toEqual([
      ['fail', 'Ines'],
      ['pass', 'Ines'],
    ]);
    // Two garbled messages, and those of the loose sensor.
    expect(quarantine.total).toBe(2 + (sensorsAt(nowMs).find(({ probe }) => probe === 's-seam-a')?.loose.length ?? 0));
    expect(view.probes.filter(({ registered }) => !registered).map(({ probe }) => probe)).toEqual([STRANGER.probe]);
  }, 60_000);
});
