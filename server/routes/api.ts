import type { IncomingMessage, ServerResponse } from 'node:http';
import type { FastifyBaseLogger, FastifyInstance, FastifyRequest, RawServerDefault } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { CodedError } from '../../edge/errors.ts';
import type { By } from '../../edge/site/entries.ts';

/** The application as routes see it: schemas check what comes in and type it. */
export type Api = FastifyInstance<RawServerDefault, IncomingMessage, ServerResponse, FastifyBaseLogger, ZodTypeProvider>;

/** Who asks. The door has let them in already. */
export function askedBy(request: Pick<FastifyRequest, 'by'>): By {
  if (request.by === null) throw new CodedError('sign-in-needed', 'sign in first');
  return request.by;
}
