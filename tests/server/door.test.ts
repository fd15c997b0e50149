import { request as httpRequest } from 'node:http';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { z } from 'zod';
import type { CodedError } from '../../edge/errors.ts';
import { Door } from '../../server/auth/door.ts';
import { ask, problemOf, read } from '../support/api.ts';
import { HandClock } from '../support/clock.ts';
import { startService, TEST_TOKEN, type TestService } from '../support/service.ts';

const Session = z.strictObject({ name: z.string(), role: z.string(), automatic: z.boolean() });

let service: TestService;
beforeAll(async () => {
  service = await startService();
});
afterAll(() => service[Symbol.asyncDispose]());

const signIn = (name: string, token: string, headers: Record<string, string> = {}) =>
  ask(service, '/api/session', { method: 'POST', token: null, body: { name, token }, headers });
const cookieOf = (response: Response) => /warmhours_session=[^;]*/.exec(response.headers.get('set-cookie') ?? '')?.[0] ?? '';
const note = { kind: 'note.added', text: 'hello' };

describe('every path but health, sign-in and the description of the interface', () => {
  test.each([
    '/api/site',
    '/api/schedules',
    '/api/joints/j1',
    '/api/joints/j1/history',
    '/api/quarantine',
    '/api/connection',
    '/api/live',
    '/api/session',
  ])('is closed to strangers: %s', async (path) => {
    const response = await ask(service, path, { token: null });
    expect(response.status).toBe(401);
    expect(await problemOf(response)).toMatchObject({ code: 'sign-in-needed' });
  });

  test('is closed to entries of strangers', async () => {
    const response = await ask(service, '/api/entries', { method: 'POST', token: null, body: note });
    expect(await problemOf(response)).toMatchObject({ code: 'sign-in-needed' });
  });

  test('opens to nobody with a cookie or a token that was made up', async () => {
    const made = await ask(service, '/api/site', { token: null, headers: { cookie: `warmhours_session=${'a'.repeat(32)}` } });
    expect(await problemOf(made)).toMatchObject({ code: 'sign-in-needed' });
    for (const authorization of [`Bearer ${TEST_TOKEN}x`, 'Bearer', `Basic ${btoa(`admin:${TEST_TOKEN}`)}`, TEST_TOKEN]) {
      const response = await ask(service, '/api/site', { token: null, headers: { authorization } });
      expect(response.status).toBe(401);
      expect(await problemOf(response)).toMatchObject({ code: 'bad-token' });
    }
  });

  test('opens with the token, in any spelling of the scheme', async () => {
    for (const scheme of ['Bearer', 'bearer'])
      expect(
        (await ask(service, '/api/site', { token: null, headers: { authorization: `${scheme} ${TEST_TOKEN}` } })).status,
      ).toBe(200);
    expect(await read(service, '/api/session', Session)).toEqual({ name: 'api', role: 'admin', automatic: false });
  });

  test.each(['/api/health', '/api/openapi.json'])('%s is open', async (path) => {
    expect((await ask(service, path, { token: null })).status).toBe(200);
  });
});

describe('a session', () => {
  test('starts with the token, travels in a cookie that pages cannot read, and ends at sign-out', async () => {
    const response = await signIn('Ana', TEST_TOKEN);
    expect(response.status).toBe(200);
    expect(Session.parse(await response.json())).toEqual({ name: 'Ana', role: 'admin', automatic: false });
    const set = response.headers.get('set-cookie') ?? '';
    for (const part of [/HttpOnly/i, /SameSite=Strict/i, /Path=\//]) expect(set).toMatch(part);
    const cookie = cookieOf(response);
    // 24 random bytes.
    expect(Buffer.from(cookie.slice('warmhours_session='.length), 'base64url')).toHaveLength(24);

    const inside = { token: null, headers: { cookie } };
    expect(Session.parse(await (await ask(service, '/api/session', inside)).json())).toMatchObject({ name: 'Ana' });
    const said = await ask(service, '/api/entries', { method: 'POST', body: note, ...inside });
    expect(said.status).toBe(201);
    const { entry } = [...service.live.ledger.entries()].at(-1) ?? {};
    expect(entry).toMatchObject({ kind: 'note.added', by: { name: 'Ana', role: 'admin' } });

    const out = await ask(service, '/api/session', { method: 'DELETE', ...inside });
    expect([out.status, await out.text()]).toEqual([204, '']);
    expect(out.headers.get('set-cookie')).toMatch(/warmhours_session=;/);
    expect((await ask(service, '/api/site', inside)).status).toBe(401);
  });

  test('is another one for everybody, and one sign-out leaves the others in', async () => {
    const [ana, ben] = [cookieOf(await signIn('Ana', TEST_TOKEN)), cookieOf(await signIn('Ben', TEST_TOKEN))];
    expect(ana).not.toBe(ben);
    await ask(service, '/api/session', { method: 'DELETE', token: null, headers: { cookie: ana } });
    const left = await ask(service, '/api/session', { token: null, headers: { cookie: ben } });
    expect(await left.json()).toMatchObject({ name: 'Ben' });
  });

  test.each([
    ['without a name', { token: TEST_TOKEN }, 'name'],
    ['with a blank name', { name: '  ', token: TEST_TOKEN }, 'name'],
    ['with half a character in its name', { name: 'Ana \ud800', token: TEST_TOKEN }, 'name'],
    ['with a role of its own choice', { name: 'Ana', token: TEST_TOKEN, role: 'admin' }, 'role'],
  ])('does not start %s', async (_, body, path) => {
    const response = await ask(service, '/api/session', { method: 'POST', token: null, body });
    const problem = await problemOf(response);
    expect(problem.code).toBe('bad-request');
    expect(problem.faults.map((fault) => fault.path)).toEqual([path]);
  });

  test('ends after a working day', () => {
    const clock = new HandClock(Date.now());
    const door = new Door({ tokens: { admin: TEST_TOKEN }, clock });
    const { secret } = door.signIn('Ana', TEST_TOKEN);
    const asked = { headers: {}, cookies: { warmhours_session: secret }, hostname: '127.0.0.1' } as unknown as Parameters<
      Door['admit']
    >[0];
    expect(door.admit(asked)?.name).toBe('Ana');
    clock.advance(12 * 3_600_000 - 1);
    expect(door.admit(asked)?.name).toBe('Ana');
    clock.advance(1);
    expect(door.admit(asked)).toBeNull();
  });
});

describe('other sites', () => {
  const inside = async () => ({ cookie: cookieOf(await signIn('Ana', TEST_TOKEN)) });

  test.each([
    ['another origin', () => ({ origin: 'http://elsewhere.example' })],
    ['the same name on another port', () => ({ origin: `${service.httpUrl.replace(/:\d+$/, '')}:1` })],
    ['no origin to speak of', () => ({ origin: 'null' })],
    ['a browser that says cross-site', () => ({ 'sec-fetch-site': 'cross-site' })],
    ['a browser that says same-site', () => ({ 'sec-fetch-site': 'same-site' })],
  ])('cannot post through the browser of somebody who is signed in: %s', async (_, headers) => {
    const response = await ask(service, '/api/entries', {
      method: 'POST',
      token: null,
      body: note,
      headers: { ...(await inside()), ...headers() },
    });
    expect(response.status).toBe(403);
    expect(await problemOf(response)).toMatchObject({ code: 'wrong-origin' });
  });

  test('our own page can', async () => {
    const headers = { ...(await inside()), origin: service.httpUrl, 'sec-fetch-site': 'same-origin' };
    expect((await ask(service, '/api/entries', { method: 'POST', token: null, body: note, headers })).status).toBe(201);
  });
});

describe('guessing', () => {
  let own: TestService;
  beforeEach(async () => {
    own = await startService();
  });
  afterEach(() => own[Symbol.asyncDispose]());

  test('is stopped after ten wrong tokens, by bearer or at sign-in, and does not lock the right one out', async () => {
    const statuses: number[] = [];
    for (let guess = 0; guess < 14; guess++) {
      const token = `wrong token number ${guess} of this attempt`;
      const response =
        guess % 2 === 0
          ? await ask(own, '/api/site', { token: token.replaceAll(' ', '-') })
          : await ask(own, '/api/session', { method: 'POST', token: null, body: { name: 'Eve', token } });
      statuses.push(response.status);
      expect((await problemOf(response)).code).toBe(response.status === 429 ? 'too-many' : 'bad-token');
    }
    expect(statuses).toEqual([...new Array(10).fill(401), ...new Array(4).fill(429)]);
    expect((await ask(own, '/api/site')).status).toBe(200);
  });

  test('may be tried again after a minute', () => {
    const clock = new HandClock(Date.now());
    const door = new Door({ tokens: { admin: TEST_TOKEN }, clock });
    const codeOf = (token: string) => {
      try {
        door.signIn('Eve', token);
        return 'in';
      } catch (fault) {
        return (fault as CodedError).code;
      }
    };
    const codes = Array.from({ length: 11 }, () => codeOf('wrong'));
    expect(codes).toEqual([...new Array(10).fill('bad-token'), 'too-many']);
    clock.advance(59_999);
    expect(codeOf('wrong')).toBe('too-many');
    clock.advance(1);
    expect(codeOf('wrong')).toBe('bad-token');
    expect(codeOf(TEST_TOKEN)).toBe('in');
  });
});

describe('the automatic sign-in of a demo', () => {
  test('is for loopback addresses by their own name only', async () => {
    await using demo = await startService({}, 'Demo');
    const response = await ask(demo, '/api/session', { token: null });
    expect(await response.json()).toEqual({ name: 'Demo', role: 'admin', automatic: true });
    const { port } = new URL(demo.httpUrl);
    const statusAs = (host: string) =>
      new Promise((resolve, reject) => {
        const asked = httpRequest({ port, host: '127.0.0.1', path: '/api/site', headers: { host } }, (answer) => {
          answer.resume();
          resolve(answer.statusCode);
        });
        asked.on('error', reject).end();
      });
    for (const host of [`127.0.0.1:${port}`, `localhost:${port}`, `[::1]:${port}`, '[::1]'])
      expect(await statusAs(host)).toBe(200);
    // A page of another site whose name was pointed at this machine sends its own name as the host.
    for (const host of [`rebound.example:${port}`, `[::1].rebound.example:${port}`, `[2001:db8::1]:${port}`])
      expect(await statusAs(host)).not.toBe(200);
  });

  test('is refused anywhere else', async () => {
    await expect(startService({ http: { host: '0.0.0.0', port: 0 } }, 'Demo')).rejects.toThrow(/loopback only/);
  });
});
