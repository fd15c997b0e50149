import { z } from 'zod';
import { iso } from '../../edge/site/views/iso.ts';
import type { LiveSite } from '../../edge/tally/liveSite.ts';
import { type Api, askedBy } from './api.ts';

/** What has to be typed into a probe. */
export interface Connection {
  readonly mqttPort: number;
  readonly probeAuth: 'required' | 'open';
  readonly probeKey: string | null;
}

const ConnectionView = z.strictObject({
  site: z.string(),
  mqttPort: z.int(),
  topic: z.string(),
  probeAuth: z.enum(['required', 'open']),
  probeKey: z.string().nullable(),
});

const QuarantineView = z.strictObject({
  /** How many were ever set aside. */
  total: z.int(),
  items: z.array(
    z.strictObject({
      id: z.int(),
      at: z.string(),
      topic: z.string(),
      probe: z.string().nullable(),
      reason: z.string(),
      detail: z.string(),
      /** Its beginning, as text. */
      payload: z.string(),
      bytes: z.int(),
    }),
  ),
});

const QUARANTINE_ROWS = 200;
/** All that is kept of one. */
const PAYLOAD_SHOWN_CHARACTERS = 1024;

export function probeRoutes(api: Api, live: LiveSite, connection: Connection): void {
  api.get('/api/connection', { schema: { response: { 200: ConnectionView } } }, (request) => ({
    site: live.site,
    topic: `cure/${live.site}/probe/{probe}/senml`,
    ...connection,
    probeKey: askedBy(request).role === 'admin' ? connection.probeKey : null,
  }));

  api.get('/api/quarantine', { schema: { response: { 200: QuarantineView } } }, () => ({
    total: live.ledger.quarantined(),
    items: live.ledger.quarantine(QUARANTINE_ROWS).map(({ id, atMs, topic, probe, reason, detail, payload, bytes }) => ({
      id,
      at: iso(atMs),
      topic,
      probe,
      reason,
      detail,
      payload: new TextDecoder().decode(payload).slice(0, PAYLOAD_SHOWN_CHARACTERS),
      bytes,
    })),
  }));
}
