import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { FastifyInstance } from 'fastify';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { buildApp } from '../../server/app.ts';
import { Door } from '../../server/auth/door.ts';
import { ask } from '../support/api.ts';
import { HandClock } from '../support/clock.ts';
import { startService, TEST_TOKEN, type TestService, tempFolder } from '../support/service.ts';

let service: TestService;
const apps: FastifyInstance[] = [];
beforeAll(async () => {
  service = await startService();
});
afterAll(() => service[Symbol.asyncDispose]());
afterEach(async () => {
  for (const app of apps.splice(0)) await app.close();
});

async function appWith(webFolder: string): Promise<FastifyInstance> {
  const app = await buildApp({
    live: service.live,
    door: new Door({ tokens: { admin: TEST_TOKEN }, clock: new HandClock(Date.now()) }),
    connection: { mqttPort: service.mqttPort, probeAuth: 'open', probeKey: null },
    version: '0.0.0',
    webFolder,
    fetchStatus: () => null,
    logLevel: 'silent',
  });
  apps.push(app);
  return app;
}

describe('the pages', () => {
  test('are served from the folder they were built into, and every address of theirs answers with the first page', async () => {
    using folder = tempFolder();
    mkdirSync(join(folder.path, 'assets'));
    writeFileSync(join(folder.path, 'index.html'), '<!doctype html><title>pages</title>');
    writeFileSync(join(folder.path, 'assets', 'app.js'), 'export {};');
    const app = await appWith(folder.path);
    for (const url of ['/', '/joints/j1', '/joints/tank-2.entry', '/setup?step=2', '/index.html']) {
      const response = await app.inject({ url, headers: { accept: 'text/html' } });
      expect([url, response.statusCode, response.body]).toEqual([url, 200, '<!doctype html><title>pages</title>']);
      expect(response.headers['content-type']).toMatch(/^text\/html/);
      expect(response.headers['content-security-policy']).toContain("default-src 'self'");
    }
    const script = await app.inject('/assets/app.js');
    expect([script.statusCode, script.body, script.headers['content-type']]).toEqual([
      200,
      'export {};',
      expect.stringMatching(/javascript/),
    ]);
    for (const url of ['/assets/gone.js', '/favicon.ico', '/api/none', '/../../package.json', '/assets/..%2f..%2fledger.db']) {
      const response = await app.inject(url);
      expect([url, response.statusCode, response.json().code]).toEqual([url, 404, 'not-found']);
    }
    const post = await app.inject({ method: 'POST', url: '/joints/j1', payload: {} });
    expect(post.statusCode).toBe(404);
  });

  test('need no sign-in; only what they ask for does', async () => {
    using folder = tempFolder();
    writeFileSync(join(folder.path, 'index.html'), 'page');
    const app = await appWith(folder.path);
    expect((await app.inject('/')).statusCode).toBe(200);
    expect((await app.inject('/api/site')).statusCode).toBe(401);
  });

  test('are not there before they are built, and the interface is all the same', async () => {
    using folder = tempFolder();
    const app = await appWith(folder.path);
    expect((await app.inject('/')).json()).toMatchObject({ code: 'not-found' });
    expect((await app.inject('/api/health')).statusCode).toBe(200);
  });
});

describe('every answer', () => {
  test.each([
    ['data', '/api/site', {}],
    ['a refusal', '/api/site', { token: null }],
    ['something that is not there', '/api/none', {}],
    ['an address that is broken', '/api/joints/%E0%A4%A', {}],
    ['the description of the interface', '/api/openapi.json', { token: null }],
  ])('keeps browsers from guessing, framing and telling: %s', async (_, path, asking) => {
    const { headers } = await ask(service, path, asking);
    const policy = headers.get('content-security-policy') ?? '';
    for (const part of ["default-src 'self'", "frame-ancestors 'none'", "base-uri 'none'"]) expect(policy).toContain(part);
    expect(policy).not.toMatch(/script-src|unsafe-eval/);
    expect(headers.get('x-content-type-options')).toBe('nosniff');
    expect(headers.get('referrer-policy')).toBe('no-referrer');
    expect(headers.get('cross-origin-opener-policy')).toBe('same-origin');
    expect(headers.get('cache-control')).toBe('no-store');
  });

  test('of the live stream is for this moment and of this type only', async () => {
    const response = await ask(service, '/api/live');
    expect(response.headers.get('content-type')).toBe('text/event-stream');
    expect(response.headers.get('cache-control')).toBe('no-store');
    expect(response.headers.get('x-content-type-options')).toBe('nosniff');
    await response.body?.cancel();
  });
});
