import { once } from 'node:events';
import { createServer, type IncomingMessage, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { gunzipSync } from 'node:zlib';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { EngineRefusal } from '../../edge/relay/engine.ts';
import { InfluxEngine } from '../../edge/relay/influx.ts';
import { type Point, pointsOf } from '../../edge/relay/points.ts';
import { START_MS } from '../support/readings.ts';
import { freePort } from './victoria.ts';

interface Asked {
  readonly request: IncomingMessage;
  readonly lines: string[];
}

/** What the next request is answered with; null: it never is. */
let answer: { status: number; body?: string; type?: string } | null;
let server: Server;
let url: string;
const asked: Asked[] = [];
beforeEach(async () => {
  asked.length = 0;
  answer = { status: 204 };
  server = createServer(async (request, response) => {
    const chunks: Buffer[] = [];
    for await (const chunk of request) chunks.push(chunk as Buffer);
    const body = Buffer.concat(chunks);
    const plain = request.headers['content-encoding'] === 'gzip' ? gunzipSync(body) : body;
    asked.push({ request, lines: plain.toString().split('\n') });
    if (answer === null) return;
    response.writeHead(answer.status, answer.type === undefined ? {} : { 'content-type': answer.type }).end(answer.body);
  }).listen(0, '127.0.0.1');
  await once(server, 'listening');
  url = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
});
afterEach(async () => {
  server.closeAllConnections();
  server.close();
  await once(server, 'close');
});

const engineAt = (base = url) => new InfluxEngine({ url: base, org: 'north & co', bucket: 'cure/1', token: 'secret-1' });
const point = (index: number, value = index / 1000): Point => ({
  measurement: 'temperature',
  tags: { site: 'yard', probe: 'n-base.a_1' },
  value,
  atMs: START_MS + index,
});
const faultOf = (writing: Promise<void>): Promise<unknown> =>
  writing.then(
    () => null,
    (fault: unknown) => fault,
  );

describe('points', () => {
  test('stand in line protocol with fixed tags, a float in the unit itself and a stamp in milliseconds', async () => {
    const stored = { basis: 0, arrivalMs: START_MS, monoMs: 0, boot: 1 };
    const values = [7062, -5000, 0, 9, 100_500];
    const points = [0, 1, 2, 3].flatMap((quantity) =>
      pointsOf('north-yard', {
        probe: 'p1',
        quantity,
        readings: values.map((value, index) => ({ ...stored, atMs: START_MS + index, value })),
      }),
    );
    await engineAt().write(points);
    const written = ['7.062', '-5', '0', '0.009', '100.5'];
    expect(asked[0]?.lines).toEqual(
      ['temperature', 'humidity', 'battery_volts', 'battery_percent'].flatMap((measurement) =>
        written.map((value, index) => `${measurement},probe=p1,site=north-yard value=${value} ${START_MS + index}`),
      ),
    );
  });

  test('hold a resistance in ohms and a level in metres', () => {
    const stored = { atMs: START_MS, basis: 0, arrivalMs: START_MS, monoMs: 0, boot: 1 };
    const one = (quantity: number, value: number) =>
      pointsOf('yard', { probe: 'p1', quantity, readings: [{ ...stored, value }] });
    expect(one(4, 107_790)).toMatchObject([{ measurement: 'resistance', value: 107.79 }]);
    expect(one(5, 1_234_567)).toMatchObject([{ measurement: 'level', value: 1.234567 }]);
    expect(() => one(6, 1)).toThrow(/holds quantity 6, which this program does not know/);
  });

  test('go to the bucket, signed in, with their precision said', async () => {
    await engineAt().write([point(1)]);
    const { request } = asked[0] as Asked;
    const target = new URL(request.url ?? '', url);
    expect(request.method).toBe('POST');
    expect(target.pathname).toBe('/api/v2/write');
    expect(Object.fromEntries(target.searchParams)).toEqual({ org: 'north & co', bucket: 'cure/1', precision: 'ms' });
    expect(request.headers.authorization).toBe('Token secret-1');

    await new InfluxEngine({ url: `${url}/tenant`, org: '', bucket: 'b', token: '' }).write([point(1)]);
    expect(asked[1]?.request.url).toBe('/tenant/api/v2/write?org=&bucket=b&precision=ms');
    expect(asked[1]?.request.headers.authorization).toBeUndefined();
  });

  test('are split into requests of a bounded size, in order, and none is left out', async () => {
    const points = Array.from({ length: 12_001 }, (_, index) => point(index));
    await engineAt().write(points);
    expect(asked.map(({ lines }) => lines.length)).toEqual([5000, 5000, 2001]);
    expect(asked.flatMap(({ lines }) => lines.map((line) => Number(line.split(' ')[2])))).toEqual(points.map(({ atMs }) => atMs));
  });
});

describe('an answer', () => {
  test.each([
    [400, '{"code":"invalid","message":"unable to parse"}', /^400 unable to parse$/],
    [401, '{"code":"unauthorized","message":"unauthorized access"}', /^401 unauthorized access$/],
    [404, '{"code":"not found","message":"bucket \\"cure\\" not found"}', /^404 bucket "cure" not found$/],
    [422, 'beyond retention', /^422 .*beyond retention/],
    [301, '', /^301/],
    [200, '<html>', /answers 200, where 204/],
    [201, '', /answers 201, where 204/],
  ])('of %i is a refusal with what it says', async (status, body, words) => {
    answer = { status, body, type: body.startsWith('{') ? 'application/json' : 'text/plain' };
    const fault = await faultOf(engineAt().write([point(1)]));
    expect(fault).toBeInstanceOf(EngineRefusal);
    expect((fault as Error).message).toMatch(words);
  });

  test.each([429, 500, 503])('of %i asks to come again', async (status) => {
    answer = { status, body: 'not now' };
    const fault = await faultOf(engineAt().write([point(1)]));
    expect(fault).toBeInstanceOf(Error);
    expect(fault).not.toBeInstanceOf(EngineRefusal);
    expect((fault as Error).message).toMatch(new RegExp(`^${status} .*not now`));
  });

  test('that cannot come, because nobody listens, is told by the reason', async () => {
    const fault = await faultOf(engineAt(`http://localhost:${await freePort()}`).write([point(1)]));
    expect(fault).not.toBeInstanceOf(EngineRefusal);
    expect((fault as Error).message).toMatch(/ECONNREFUSED/);
  });

  test('that does not come in time is not waited for, and its connection is closed', async () => {
    answer = null;
    const engine = new InfluxEngine({ url, org: '', bucket: 'b', token: '' }, 200);
    const fault = await faultOf(engine.write([point(1)]));
    expect(fault).not.toBeInstanceOf(EngineRefusal);
    expect(fault).toMatchObject({ message: 'no answer within 0.2 s' });
    const [{ request }] = asked as [Asked];
    await expect.poll(() => request.socket.destroyed).toBe(true);
    answer = { status: 204 };
    await engine.write([point(1)]);
    expect(asked).toHaveLength(2);
  });

  test('that does not come is given up with the engine, connection and all', async () => {
    answer = null;
    const engine = engineAt();
    const writing = faultOf(engine.write(Array.from({ length: 6000 }, (_, index) => point(index))));
    await expect.poll(() => asked.length).toBe(1);
    const socketClosed = once((asked[0] as Asked).request.socket, 'close');
    engine.close();
    expect(await writing).toBeInstanceOf(Error);
    await socketClosed;
    expect(asked).toHaveLength(1);
    // What is begun after that does not even leave.
    expect(await faultOf(engine.write([point(1)]))).toBeInstanceOf(Error);
    expect(asked).toHaveLength(1);
  });
});
