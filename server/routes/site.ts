import { z } from 'zod';
import { Schedule } from '../../edge/cure/schedule.ts';
import { SiteView } from '../../edge/site/views.ts';
import type { LiveSite } from '../../edge/tally/liveSite.ts';
import type { Api } from './api.ts';

export function siteRoutes(api: Api, live: LiveSite): void {
  api.get('/api/site', { schema: { response: { 200: SiteView } } }, () => live.siteView());

  api.get('/api/schedules', { schema: { response: { 200: z.strictObject({ schedules: z.array(Schedule) }) } } }, () => ({
    schedules: live.schedules(),
  }));
}
