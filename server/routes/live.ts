import { CodedError } from '../../edge/errors.ts';
import type { Stream } from '../live/stream.ts';
import type { Api } from './api.ts';

export function liveRoutes(api: Api, stream: Stream): void {
  api.get(
    '/api/live',
    { schema: { description: 'Server-sent events: site, joint, sump, probe, quarantine, beat.' } },
    (request, reply) => {
      if (!stream.hasRoom) throw new CodedError('too-many', 'too many pages are watching; close some');
      reply.hijack();
      reply.raw.writeHead(200, {
        'content-type': 'text/event-stream',
        'cache-control': 'no-store',
        'x-accel-buffering': 'no',
        'x-content-type-options': 'nosniff',
      });
      if (request.method === 'HEAD') reply.raw.end();
      else stream.add(reply.raw);
    },
  );
}
