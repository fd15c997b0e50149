import { request } from 'node:http';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { ask, problemOf } from '../support/api.ts';
import { startService, type TestService } from '../support/service.ts';

const HOUR_MS = 3_600_000;
const startMs = Math.floor(Date.now() / HOUR_MS) * HOUR_MS;
const at = (hours: number) => new Date(startMs + hours * HOUR_MS).toISOString();

let service: TestService;
beforeAll(async () => {
  service = await startService();
});
afterAll(() => service[Symbol.asyncDispose]());

const post = (body: string, type: string, token = service.token) =>
  fetch(`${service.httpUrl}/api/forecast`, {
    method: 'POST',
    headers: { authorization: `Bearer ${token}`, 'content-type': type },
    body,
  });

describe('a forecast document', () => {
  test('of whoever may give none is refused before a byte of it has come', async () => {
    const { promise, resolve, reject } = Promise.withResolvers<number | undefined>();
    const asked = request(`${service.httpUrl}/api/forecast`, {
      method: 'POST',
      headers: {
        authorization: `Bearer ${service.roleTokens.claims}`,
        'content-type': 'text/csv',
        'content-length': '1000000',
      },
    });
    asked.on('response', (response) => resolve(response.statusCode)).on('error', reject);
    asked.flushHeaders();
    expect(await promise).toBe(403);
    asked.on('error', () => {}).destroy();
    const refused = await problemOf(await post('no forecast', 'text/csv', service.roleTokens.claims));
    expect(refused).toMatchObject({ code: 'wrong-role', detail: expect.stringContaining('signed in as claims') });
  });

  test('with more rows than are taken is too large', async () => {
    for (const [body, type] of [
      [`time,celsius\n${'x,1\n'.repeat(200_000)}`, 'text/csv'],
      [JSON.stringify({ hours: Array.from({ length: 300_000 }, () => 1) }), 'application/json'],
    ] as const)
      expect(await problemOf(await post(body, type))).toMatchObject({ status: 413, code: 'too-large' });
  });

  test('is taken with the first of its bad rows named and all of them counted', async () => {
    const rows = ['time,celsius', `${at(0)},5`, `${at(1)},4`, ...Array.from({ length: 5_000 }, () => 'noon,5')];
    const response = await post(rows.join('\n'), 'text/csv', service.roleTokens.crew);
    expect(response.status).toBe(201);
    const taken = (await response.json()) as { rejected: { line: number }[] };
    expect(taken).toMatchObject({ hours: 2, rejectedTotal: 5_000, rejected: { length: 50, 0: { line: 4 } } });
    expect((await ask(service, '/api/forecast')).status).toBe(200);
  });

  test('that somebody sends again within a minute is asked about, by either door, and taken once that is confirmed', async () => {
    const hours = [0, 1, 2].map((hour) => ({ at: at(hour), celsius: 3 + hour, humidity: 80 }));
    const document = JSON.stringify({ hours });
    expect((await post(document, 'application/json')).status).toBe(201);
    const statement = { kind: 'forecast.given', hours, source: 'form' };
    const again = () => ask(service, '/api/entries', { method: 'POST', body: statement });
    for (const asked of [await post(document, 'application/json'), await again()])
      expect(await problemOf(asked)).toMatchObject({ code: 'entry-questioned', faults: [{ confirm: 'said-twice' }] });
    const other = JSON.stringify({ hours: hours.with(0, { at: at(0), celsius: 3.001, humidity: 80 }) });
    expect((await post(other, 'application/json')).status).toBe(201);
    const confirmed = { ...statement, hours: JSON.parse(other).hours, confirmed: ['said-twice'] };
    expect((await ask(service, '/api/entries', { method: 'POST', body: confirmed })).status).toBe(201);
  });
});
