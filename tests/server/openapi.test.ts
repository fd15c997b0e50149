import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { z } from 'zod';
import { Statement } from '../../edge/site/entries.ts';
import { buildApp } from '../../server/app.ts';
import { Door } from '../../server/auth/door.ts';
import { ask } from '../support/api.ts';
import { HandClock } from '../support/clock.ts';
import { startService, TEST_TOKEN, type TestService } from '../support/service.ts';

const Operation = z.looseObject({
  parameters: z.array(z.looseObject({ name: z.string(), in: z.enum(['path', 'query']), schema: z.looseObject({}) })).optional(),
  requestBody: z.looseObject({ content: z.record(z.string(), z.looseObject({ schema: z.looseObject({}) })) }).optional(),
  responses: z.record(z.string().regex(/^([1-5]\d\d|default)$/), z.looseObject({ description: z.string() })),
  security: z.array(z.record(z.string(), z.array(z.string()))).optional(),
});
/** What OpenAPI 3.1.0 asks of a document (§4.8.1 to §4.8.10), as far as this one goes. */
const Document = z.looseObject({
  openapi: z.literal('3.1.0'),
  info: z.looseObject({ title: z.string(), version: z.string() }),
  paths: z.record(z.string().startsWith('/'), z.partialRecord(z.enum(['get', 'post', 'delete']), Operation)),
  components: z.looseObject({
    securitySchemes: z.looseObject({ token: z.looseObject({ type: z.literal('http'), scheme: z.literal('bearer') }) }),
  }),
  security: z.array(z.record(z.string(), z.array(z.string()))),
});

let service: TestService;
let text: string;
let document: z.infer<typeof Document>;

beforeAll(async () => {
  service = await startService();
  const response = await ask(service, '/api/openapi.json', { token: null });
  expect(response.headers.get('content-type')).toMatch(/^application\/json/);
  text = await response.text();
  document = Document.parse(JSON.parse(text));
});
afterAll(() => service[Symbol.asyncDispose]());

const operations = () =>
  Object.entries(document.paths).flatMap(([path, methods]) =>
    Object.entries(methods).map(([method, operation]) => ({ path, method, operation })),
  );

/** The routes of a printed tree, whose branches hold what they add to the address of their parent: "GET /api/site" and so on. */
function routesIn(tree: string): string[] {
  const addresses: string[] = [];
  return tree.split('\n').flatMap((line) => {
    const [, indent = '', part = '', methods = ''] = /^([│ ├└─]*)([/.]\S*)(?: \(([A-Z, ]+)\))?/.exec(line) ?? [];
    const depth = indent.length / 4;
    addresses[depth] = (depth === 0 ? '' : (addresses[depth - 1] ?? '')) + part;
    const address = addresses[depth].replace(/:(\w+)/g, '{$1}');
    return methods.split(', ').flatMap((method) => (method === '' || method === 'HEAD' ? [] : [`${method} ${address}`]));
  });
}

describe('the description of the interface', () => {
  test('has every route that answers under /api, and no other', async () => {
    const app = await buildApp({
      live: service.live,
      door: new Door({ tokens: { admin: TEST_TOKEN }, clock: new HandClock(Date.now()) }),
      connection: { mqttPort: service.mqttPort, probeAuth: 'open', probeKey: null },
      version: '0.0.0',
      webFolder: service.dataFolder,
      fetchStatus: () => null,
      logLevel: 'silent',
    });
    await app.ready();
    const routes = routesIn(app.printRoutes({ commonPrefix: false }));
    await app.close();
    expect(routes).toContain('GET /api/site');
    const described = operations().map(({ path, method }) => `${method.toUpperCase()} ${path}`);
    expect(described.sort()).toEqual(routes.filter((route) => route !== 'GET /api/openapi.json').sort());
  });

  test('names every parameter of a path, and every answer', () => {
    for (const { path, operation } of operations()) {
      const inPath = [...path.matchAll(/\{(\w+)\}/g)].map(([, name]) => name);
      expect(operation.parameters?.filter((parameter) => parameter.in === 'path').map(({ name }) => name) ?? [], path).toEqual(
        inPath,
      );
      expect(Object.keys(operation.responses), path).not.toEqual([]);
    }
  });

  test('says which paths need no sign-in', () => {
    const open = operations().filter(({ operation }) => operation.security?.length === 0);
    expect(open.map(({ path, method }) => `${method} ${path}`).sort()).toEqual(['get /api/health', 'post /api/session']);
    expect(document.security).toEqual([{ token: [] }]);
  });

  test('refers to nothing that it does not hold', () => {
    const references = [...text.matchAll(/"\$ref":"#\/([^"]+)"/g)].map(([, pointer = '']) => pointer);
    for (const pointer of references) {
      const found = pointer
        .split('/')
        .reduce<unknown>((at, part) => (at as Record<string, unknown> | undefined)?.[part], document);
      expect(found, pointer).toBeDefined();
    }
  });

  test('holds every kind of entry that can be said', () => {
    const body = JSON.stringify(document.paths['/api/entries']?.post?.requestBody);
    for (const kind of Statement.options.map((option) => option.shape.kind.value)) expect(body).toContain(`"enum":["${kind}"]`);
  });
});
