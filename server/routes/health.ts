import { z } from 'zod';
import { iso } from '../../edge/site/views/iso.ts';
import type { LiveSite } from '../../edge/tally/liveSite.ts';
import type { Api } from './api.ts';

const Health = z.strictObject({
  status: z.enum(['ok', 'failing']),
  /** Whether readings and statements are being kept. */
  recording: z.boolean(),
  version: z.string(),
  asOf: z.string(),
});

export function healthRoutes(api: Api, live: LiveSite, version: string): void {
  api.get('/api/health', { config: { open: true }, schema: { response: { 200: Health }, security: [] } }, () => ({
    status: live.recording ? ('ok' as const) : ('failing' as const),
    recording: live.recording,
    version,
    asOf: iso(live.nowMs),
  }));
}
