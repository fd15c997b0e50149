import { z } from 'zod';
import { Statement } from '../../edge/site/entries.ts';
import type { LiveSite } from '../../edge/tally/liveSite.ts';
import { type Api, askedBy } from './api.ts';

const Appended = z.strictObject({ seq: z.int(), hash: z.string() });

export function entryRoutes(api: Api, live: LiveSite): void {
  api.post('/api/entries', { schema: { body: Statement, response: { 201: Appended } } }, async (request, reply) => {
    const appended = await live.say(request.body, askedBy(request));
    reply.code(201);
    return appended;
  });
}
