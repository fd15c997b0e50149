import type { FastifyError, FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { hasZodFastifySchemaValidationErrors, type ZodFastifySchemaValidationError } from 'fastify-type-provider-zod';
import { z } from 'zod';
import { CodedError, type ErrorCode, errorCodes, type FaultAt } from '../edge/errors.ts';

/** Problem document (RFC 9457) with our two members: `code`, stable for programs, and `faults`, each with its path. */
export const Problem = z.strictObject({
  type: z.string(),
  title: z.string(),
  status: z.int(),
  detail: z.string(),
  code: z.string(),
  faults: z.array(z.strictObject({ path: z.string(), message: z.string(), confirm: z.string().optional() })),
});

/** Makes every failure of `app` a problem document. */
export function answerWithProblems(app: FastifyInstance): void {
  app.setErrorHandler((error: FastifyError, request, reply) => {
    const known = coded(error, request);
    if (known.code === 'internal') request.log.error(error);
    sendProblem(reply, known);
  });
}

/** Answers what the framework refuses before it has found a route, such as an address with a broken escape. */
export function answerEarly(error: FastifyError, request: FastifyRequest, reply: FastifyReply): void {
  sendProblem(reply, coded(error, request));
}

export function sendProblem(reply: FastifyReply, { code, message, faults }: CodedError): FastifyReply {
  const { status, title } = errorCodes[code];
  return reply
    .code(status)
    .type('application/problem+json')
    .serializer((document: unknown) => JSON.stringify(document))
    .send({ type: `urn:warmhours:problem:${code}`, title, status, detail: message, code, faults });
}

/** The code for what the framework itself refuses. */
const FRAMEWORK_CODES: Readonly<Record<string, ErrorCode>> = {
  FST_ERR_CTP_BODY_TOO_LARGE: 'too-large',
  FST_ERR_CTP_INVALID_MEDIA_TYPE: 'wrong-type',
  FST_ERR_CTP_EMPTY_JSON_BODY: 'bad-request',
  FST_ERR_CTP_INVALID_JSON_BODY: 'bad-request',
  FST_ERR_CTP_INVALID_CONTENT_LENGTH: 'bad-request',
  FST_ERR_BAD_URL: 'bad-request',
};

function coded(error: FastifyError, request: FastifyRequest): CodedError {
  if (error instanceof CodedError) return error;
  if (hasZodFastifySchemaValidationErrors(error)) {
    const faults = error.validation.map(faultOf);
    const code = request.routeOptions.url === '/api/entries' ? 'bad-entry' : 'bad-request';
    return new CodedError(
      code,
      faults.map(({ path, message }) => (path === '' ? message : `${path}: ${message}`)).join('; '),
      faults,
    );
  }
  const code =
    FRAMEWORK_CODES[error.code] ?? (error.statusCode !== undefined && error.statusCode < 500 ? 'bad-request' : 'internal');
  return new CodedError(code, code === 'internal' ? 'please try again; if it happens again, the log says more' : error.message);
}

function faultOf({ keyword, instancePath, message, params }: ZodFastifySchemaValidationError): FaultAt {
  const path = instancePath.slice(1).replaceAll('/', '.');
  const unknown = keyword === 'unrecognized_keys' ? params.keys : undefined;
  if (Array.isArray(unknown))
    return { path: path === '' ? String(unknown[0]) : `${path}.${unknown[0]}`, message: `no such field: ${unknown.join(', ')}` };
  return { path, message: message ?? 'not understood' };
}
