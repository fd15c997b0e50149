import { existsSync } from 'node:fs';
import { join } from 'node:path';
import compress from '@fastify/compress';
import serveStatic from '@fastify/static';
import swagger from '@fastify/swagger';
import fastify, { type FastifyInstance, type FastifyReply, type FastifyRequest } from 'fastify';
import { jsonSchemaTransform, serializerCompiler, validatorCompiler, type ZodTypeProvider } from 'fastify-type-provider-zod';
import { CodedError } from '../edge/errors.ts';
import type { LiveSite } from '../edge/tally/liveSite.ts';
import type { FetchStatus } from '../edge/weather/fetch.ts';
import { type Door, guard } from './auth/door.ts';
import { EvidenceDesk } from './evidence/desk.ts';
import { Finder } from './evidence/find/finder.ts';
import { Judge } from './evidence/judge.ts';
import { Stream } from './live/stream.ts';
import { answerEarly, answerWithProblems, sendProblem } from './problem.ts';
import { entryRoutes } from './routes/entries.ts';
import { evidenceRoutes } from './routes/evidence.ts';
import { forecastRoutes } from './routes/forecast.ts';
import { healthRoutes } from './routes/health.ts';
import { importRoutes } from './routes/imports.ts';
import { jointRoutes } from './routes/joints.ts';
import { ledgerRoutes } from './routes/ledger.ts';
import { liveRoutes } from './routes/live.ts';
import { outlookRoutes } from './routes/outlook.ts';
import { type Connection, probeRoutes } from './routes/probes.ts';
import { sessionRoutes } from './routes/session.ts';
import { siteRoutes } from './routes/site.ts';

export interface AppOptions {
  readonly live: LiveSite;
  readonly door: Door;
  readonly connection: Connection;
  readonly version: string;
  /** Folder of the built pages; without them only the API answers. */
  readonly webFolder: string;
  /** How fetching forecasts goes; null where no source is set. */
  readonly fetchStatus: () => FetchStatus | null;
  readonly logLevel: 'silent' | 'warn' | 'info';
}

/** A statement is a few hundred bytes; a page never sends more than this. */
const BODY_BYTES_MOST = 64 * 1024;

/** From the first byte of a request to its last. */
const REQUEST_MS = 30_000;

const HEADERS: Readonly<Record<string, string>> = {
  'content-security-policy':
    "default-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; frame-ancestors 'none'; base-uri 'none'; form-action 'self'",
  'x-content-type-options': 'nosniff',
  'referrer-policy': 'no-referrer',
  'cross-origin-opener-policy': 'same-origin',
};

/** The page that checks bundles carries its script and style inside; its own policy lets through these two alone, by their hashes. */
const OFFLINE_PAGE = '/verify.html';
const OFFLINE_PAGE_POLICY =
  "default-src 'none'; script-src 'unsafe-inline'; style-src 'unsafe-inline'; worker-src blob:; img-src data:; frame-ancestors 'none'; base-uri 'none'; form-action 'none'";

/** The HTTP side of a site: API, live stream and pages. Built, not listening. */
export async function buildApp(options: AppOptions): Promise<FastifyInstance> {
  const { live, door } = options;
  const app = fastify({
    logger: { level: options.logLevel, stream: process.stderr },
    bodyLimit: BODY_BYTES_MOST,
    // A stop waits for nobody who holds a request half sent.
    forceCloseConnections: true,
    requestTimeout: REQUEST_MS,
    frameworkErrors(error, request, reply) {
      guardBrowser(request, reply);
      answerEarly(error, request, reply);
    },
  });
  app.setValidatorCompiler(validatorCompiler);
  app.setSerializerCompiler(serializerCompiler);
  answerWithProblems(app);
  app.addHook('onSend', async (request, reply) => guardBrowser(request, reply));
  await app.register(compress, { encodings: ['gzip', 'identity'], threshold: 1024 });
  await app.register(swagger, {
    openapi: {
      openapi: '3.1.0',
      info: { title: 'Warmhours', version: options.version, description: 'Cure progress of bonded joints, in warm hours.' },
      components: { securitySchemes: { token: { type: 'http', scheme: 'bearer' } } },
      security: [{ token: [] }],
    },
    transform: jsonSchemaTransform,
  });

  const stream = new Stream(live);
  app.addHook('preClose', async () => stream.close());

  await app.register(async (api) => {
    await guard(api, door);
    const typed = api.withTypeProvider<ZodTypeProvider>();
    healthRoutes(typed, live, options.version);
    sessionRoutes(typed, door);
    siteRoutes(typed, live);
    jointRoutes(typed, live);
    entryRoutes(typed, live);
    probeRoutes(typed, live, options.connection);
    await importRoutes(typed, live);
    outlookRoutes(typed, live);
    ledgerRoutes(typed, live);
    await forecastRoutes(typed, live, options.fetchStatus);
    await evidenceRoutes(typed, {
      desk: new EvidenceDesk({ live, program: `warmhours ${options.version}`, webFolder: options.webFolder }),
      finder: new Finder(live),
      judge: new Judge(),
    });
    liveRoutes(typed, stream);
    api.get('/api/openapi.json', { config: { open: true }, schema: { hide: true } }, () => app.swagger());
  });

  if (existsSync(join(options.webFolder, 'index.html'))) await servePages(app, options.webFolder);
  else app.setNotFoundHandler(nothingHere);
  return app;
}

function guardBrowser(request: FastifyRequest, reply: FastifyReply): void {
  reply.headers(HEADERS);
  if (request.url.split('?')[0] === OFFLINE_PAGE) reply.header('content-security-policy', OFFLINE_PAGE_POLICY);
  if (request.url.startsWith('/api/')) reply.header('cache-control', 'no-store');
}

/** Built files under their own names, and the one page under every other address that is not the API's. */
async function servePages(app: FastifyInstance, folder: string): Promise<void> {
  await app.register(serveStatic, {
    root: folder,
    wildcard: false,
    cacheControl: false,
    // Names in assets/ carry a hash of what they hold; everything else is asked for afresh.
    setHeaders: (reply, path) =>
      reply.header('cache-control', path.includes('/assets/') ? 'public, max-age=31536000, immutable' : 'no-cache'),
  });
  app.setNotFoundHandler((request, reply) => {
    const { method, url, headers } = request;
    // An id may hold a dot, as a file's name does; a browser that goes to a page says that it wants one.
    const named = /\.\w+$/.test(url) && headers.accept?.includes('text/html') !== true;
    const wantsPage = method === 'GET' && !url.startsWith('/api/') && !url.startsWith('/assets/') && !named;
    return wantsPage ? reply.sendFile('index.html') : nothingHere(request, reply);
  });
}

function nothingHere(request: FastifyRequest, reply: FastifyReply): FastifyReply {
  return sendProblem(reply, new CodedError('not-found', `nothing answers ${request.method} ${request.url.slice(0, 200)}`));
}
