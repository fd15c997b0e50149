import { z } from 'zod';
import type { Door } from '../auth/door.ts';
import { SESSION_COOKIE } from '../auth/door.ts';
import { type Api, askedBy } from './api.ts';

const Session = z.strictObject({ name: z.string(), role: z.string(), automatic: z.boolean() });
/** It goes into every entry that this person makes. */
const Name = z
  .string()
  .refine((text) => text.isWellFormed(), 'has half a character in it')
  .trim()
  .min(1)
  .max(120);
const SignIn = z.strictObject({ name: Name, token: z.string().min(1).max(512) });

export function sessionRoutes(api: Api, door: Door): void {
  api.get('/api/session', { schema: { response: { 200: Session } } }, (request) => ({
    ...askedBy(request),
    automatic: door.automatic,
  }));

  api.post(
    '/api/session',
    { config: { open: true }, schema: { body: SignIn, response: { 200: Session }, security: [] } },
    (request, reply) => {
      const { secret, by } = door.signIn(request.body.name, request.body.token);
      reply.setCookie(SESSION_COOKIE, secret, { httpOnly: true, sameSite: 'strict', path: '/' });
      return { ...by, automatic: door.automatic };
    },
  );

  api.delete('/api/session', { schema: { response: { 204: z.null() } } }, (request, reply) => {
    door.signOut(request.cookies[SESSION_COOKIE]);
    reply.clearCookie(SESSION_COOKIE, { path: '/' }).code(204);
    return null;
  });
}
