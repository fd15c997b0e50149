import type { FastifyReply } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import { FINDING_CODES } from '../../edge/site/findings/catalogue.ts';
import { Instant } from '../../edge/site/said/words.ts';
import type { EvidenceDesk, HandedOut } from '../evidence/desk.ts';
import { type Finder, FOUND_MOST } from '../evidence/find/finder.ts';
import type { Judge } from '../evidence/judge.ts';
import { FoundView, RecallView, VerdictView } from '../evidence/views.ts';
import type { Api } from './api.ts';

/** Joints in one packet that are asked for one by one. */
const JOINTS_MOST = 100;
/** The largest packet that a site makes has about a third of this. */
const BUNDLE_BYTES_MOST = 64 * 1024 * 1024;
const WORDS_MOST = 120;

const JointNamed = z.strictObject({ joint: z.string() });
const SumpNamed = z.strictObject({ sump: z.string() });
const LotNamed = z.strictObject({ lot: z.string() });
/** Of the report. */
const PaperAsked = z.strictObject({ paper: z.enum(['letter', 'a4']).default('letter') });
const SeveralAsked = PaperAsked.extend({
  joint: z.preprocess((given) => (Array.isArray(given) ? given : [given]), z.array(z.string()).min(1).max(JOINTS_MOST)),
});

const Words = z.string().trim().min(1, 'leave it out, or give a word').max(WORDS_MOST).optional();
const Asked = z.strictObject({
  serial: Words,
  lot: Words,
  site: Words,
  sump: Words,
  joint: Words,
  person: Words,
  /** Words, or beginnings of three letters or more, of any of these. */
  q: Words,
  /** Worked on within this period. */
  from: Instant.optional(),
  to: Instant.optional(),
  finding: z.enum(['any', ...FINDING_CODES]).optional(),
});

const Fingerprint = z
  .string()
  .refine((text) => text.replace(/[\s:]/g, '').match(/^[0-9a-f]{64}$/i) !== null, 'a fingerprint has 64 hexadecimal digits');

/** An answer that is a file. */
function fileOf(mime: string, description: string) {
  return {
    produces: [mime],
    response: { 200: z.unknown().meta({ type: 'string', format: 'binary', description }) },
  };
}

const ZIP = fileOf('application/zip', 'A BagIt bag in a ZIP that anybody can verify offline.');
const PDF = fileOf('application/pdf', 'The report.');
const CSV = fileOf('text/csv', 'Every reading that bears on the joint.');

export interface EvidenceParts {
  readonly desk: EvidenceDesk;
  readonly finder: Finder;
  readonly judge: Judge;
}

/** Finding what is proven, handing it out, and judging what somebody brings. Whoever is signed in may read. */
export async function evidenceRoutes(api: Api, { desk, finder, judge }: EvidenceParts): Promise<void> {
  // Whoever only asks for the head of a packet must not have one made.
  const exposeHeadRoute = false;

  api.get(
    '/api/joints/:joint/evidence.zip',
    { exposeHeadRoute, schema: { params: JointNamed, querystring: PaperAsked, ...ZIP } },
    async (request, reply) =>
      send(reply, 'application/zip', await desk.packet(desk.ofJoints([request.params.joint]), request.query.paper)),
  );

  api.get(
    '/api/joints/:joint/evidence.pdf',
    { exposeHeadRoute, schema: { params: JointNamed, querystring: PaperAsked, ...PDF } },
    async (request, reply) =>
      send(reply, 'application/pdf', await desk.report(desk.ofJoints([request.params.joint]), request.query.paper)),
  );

  api.get(
    '/api/joints/:joint/evidence.csv',
    { exposeHeadRoute, schema: { params: JointNamed, ...CSV } },
    async (request, reply) =>
      send(reply, 'text/csv; charset=utf-8; header=present', await desk.csv(desk.ofJoints([request.params.joint]))),
  );

  api.get(
    '/api/sumps/:sump/evidence.zip',
    { exposeHeadRoute, schema: { params: SumpNamed, querystring: PaperAsked, ...ZIP } },
    async (request, reply) =>
      send(reply, 'application/zip', await desk.packet(desk.ofSump(request.params.sump), request.query.paper)),
  );

  api.get('/api/evidence.zip', { exposeHeadRoute, schema: { querystring: SeveralAsked, ...ZIP } }, async (request, reply) =>
    send(reply, 'application/zip', await desk.packet(desk.ofJoints(request.query.joint), request.query.paper)),
  );

  api.get(
    '/api/evidence',
    {
      schema: {
        description: `Joints that fit all that is asked for, newest work first, ${FOUND_MOST} at most.`,
        querystring: Asked,
        response: { 200: FoundView },
      },
    },
    (request) => {
      const { from, to, ...wanted } = request.query;
      const msOf = (instant: string | undefined) => (instant === undefined ? undefined : Date.parse(instant));
      return finder.find({ ...wanted, fromMs: msOf(from), toMs: msOf(to) });
    },
  );

  api.get(
    '/api/lots/:lot/recall',
    {
      schema: {
        description: 'Every joint that the lot went into.',
        params: LotNamed,
        response: { 200: RecallView },
      },
    },
    (request) => finder.recall(request.params.lot),
  );

  // In a scope of its own: everywhere else a ZIP is of the wrong type.
  await api.register(async (scope) => {
    scope.removeAllContentTypeParsers();
    scope.addContentTypeParser('application/zip', { parseAs: 'buffer' }, (_request, body, done) => done(null, body));
    scope.withTypeProvider<ZodTypeProvider>().post(
      '/api/verify',
      {
        bodyLimit: BUNDLE_BYTES_MOST,
        schema: {
          description: 'Judges a bundle by its own bytes, and by a fingerprint of its key that was got another way.',
          consumes: ['application/zip'],
          body: z.unknown().meta({ type: 'string', format: 'binary', description: 'A bundle.' }),
          querystring: z.strictObject({ key: Fingerprint.optional() }),
          response: { 200: VerdictView },
        },
      },
      async (request) => {
        const bytes = Buffer.isBuffer(request.body) ? request.body : Buffer.alloc(0);
        const { ok, checks, summary, record, proves } = await judge.judge(bytes, request.query.key ?? null);
        return {
          ok,
          checks: [...checks],
          summary: summary && { ...summary, joints: [...summary.joints] },
          record,
          proves: [...proves],
        };
      },
    );
  });
}

function send(reply: FastifyReply, mime: string, { fileName, body }: HandedOut): FastifyReply {
  return reply.type(mime).header('content-disposition', `attachment; filename="${fileName}"`).send(body);
}
